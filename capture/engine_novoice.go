//go:build novoice || !linux

package capture

// engine stands in for the recogniser library, which this build leaves out.
type engine struct{}

// scoreLog stands in for what the recogniser writes down of sounds.
type scoreLog struct{}

func newScoreLog() (*scoreLog, error)        { return nil, ErrNoRecogniser }
func (*scoreLog) options() map[string]string { return nil }
func (*scoreLog) begin() error               { return ErrNoRecogniser }
func (*scoreLog) end()                       {}
func (*scoreLog) stop()                      {}
func (*scoreLog) of([]int16)                 {}
func (*scoreLog) has([]int16) bool           { return false }
func (*scoreLog) behind(int) ([]int, error)  { return nil, ErrNoRecogniser }
func (*scoreLog) close()                     {}

func openEngine([]string) (*engine, error)                 { return nil, ErrNoRecogniser }
func (*engine) close()                                     {}
func (*engine) addWord(string, string) error               { return ErrNoRecogniser }
func (*engine) hasWord(string) bool                        { return false }
func (*engine) pronunciation(string) string                { return "" }
func (*engine) compile(string) (network, error)            { return network{}, ErrNoRecogniser }
func (*engine) setNetwork(string, network) error           { return ErrNoRecogniser }
func (*engine) setPhones(string, string) error             { return ErrNoRecogniser }
func (*engine) setLanguage(string, string) error           { return ErrNoRecogniser }
func (*engine) setKeyphrase(string, string, float64) error { return ErrNoRecogniser }
func (*engine) unset(string) error                         { return ErrNoRecogniser }
func (*engine) setFloat(string, float64) error             { return ErrNoRecogniser }
func (*engine) decode(string, []int16) (decoded, error)    { return decoded{}, ErrNoRecogniser }
func (*engine) score(string, []int16, *scoreLog) error     { return ErrNoRecogniser }
func (*engine) decodeScores(string, *scoreLog) (decoded, error) {
	return decoded{}, ErrNoRecogniser
}
func (*engine) learn([]string, *engine) error { return ErrNoRecogniser }
