//go:build novoice

package hear

// Neural is the model; this build cannot load it.
type Neural struct{ tokens *tokens }

// Open always fails: this build leaves the second listener out.
func Open(string) (*Neural, error) { return nil, ErrLeftOut }

func (*Neural) Close() {}

func (*Neural) Encode([]int16) (*Sound, error) { return nil, ErrLeftOut }

func (*Sound) step(*memory, [][]int64) ([][]float32, *memory, error) { return nil, nil, ErrLeftOut }

// Version names the model and the library that runs it.
func Version() string { return ErrLeftOut.Error() }
