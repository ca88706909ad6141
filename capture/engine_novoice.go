//go:build novoice

package capture

// engine stands in for the recogniser library, which this build leaves out.
type engine struct{}

func openEngine([]string) (*engine, error)                 { return nil, ErrNoRecogniser }
func (*engine) close()                                     {}
func (*engine) addWord(string, string) error               { return ErrNoRecogniser }
func (*engine) hasWord(string) bool                        { return false }
func (*engine) compile(string) (network, error)            { return network{}, ErrNoRecogniser }
func (*engine) setNetwork(string, network) error           { return ErrNoRecogniser }
func (*engine) setPhones(string, string) error             { return ErrNoRecogniser }
func (*engine) setLanguage(string, string) error           { return ErrNoRecogniser }
func (*engine) setKeyphrase(string, string, float64) error { return ErrNoRecogniser }
func (*engine) unset(string) error                         { return ErrNoRecogniser }
func (*engine) setFloat(string, float64) error             { return ErrNoRecogniser }
func (*engine) decode(string, []int16) (decoded, error)    { return decoded{}, ErrNoRecogniser }
