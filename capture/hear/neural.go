//go:build !novoice

package hear

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"

	"golang.org/x/sync/errgroup"

	ort "github.com/yalue/onnxruntime_go"
)

// Neural is the model, loaded. It is safe for concurrent use; one call at a
// time runs.
type Neural struct {
	mu               sync.Mutex
	encoder, decoder *ort.DynamicAdvancedSession
	tokens           *tokens
}

// Open loads the model of a folder and checks that its files are those that
// were measured; it takes about half a second. Errors: ErrMissing; a file that
// is another one; a library that does not load. Close it after use.
func Open(dir string) (*Neural, error) {
	var checked errgroup.Group
	for name := range sums() {
		checked.Go(func() error { return check(dir, name) })
	}
	if err := checked.Wait(); err != nil {
		return nil, err
	}
	pieces, err := os.ReadFile(filepath.Join(dir, tokenizerFile))
	if err != nil {
		return nil, err
	}
	n := &Neural{}
	if n.tokens, err = readTokens(pieces); err != nil {
		return nil, err
	}
	if err := openLibrary(filepath.Join(dir, libraryFile)); err != nil {
		return nil, fmt.Errorf("second listener: %w", err)
	}
	n.encoder, err = session(filepath.Join(dir, encoderFile), []string{"input_values", "attention_mask"}, []string{"last_hidden_state"})
	if err == nil {
		in, out := decoderNames()
		n.decoder, err = session(filepath.Join(dir, decoderFile), in, out)
	}
	if err != nil {
		n.Close()
		return nil, fmt.Errorf("second listener: %w", err)
	}
	return n, nil
}

// Close frees the model; every Sound of it must be closed before.
func (n *Neural) Close() {
	n.mu.Lock()
	defer n.mu.Unlock()
	for _, s := range []*ort.DynamicAdvancedSession{n.encoder, n.decoder} {
		if s != nil {
			_ = s.Destroy()
		}
	}
	n.encoder, n.decoder = nil, nil
	closeLibrary()
}

// Encode runs the encoder; its time grows with the length of the sound. Sound
// of other lengths than a tenth of a second to half a minute is an error.
func (n *Neural) Encode(samples []int16) (*Sound, error) {
	seconds := float64(len(samples)) / Rate
	if !Hears(len(samples)) {
		return nil, fmt.Errorf("second listener: %.2f s of sound; it hears 0.%d to %d s", seconds, shortestTenths, longest)
	}
	n.mu.Lock()
	defer n.mu.Unlock()
	if n.encoder == nil {
		return nil, errors.New("the second listener is closed")
	}
	in := make([]float32, len(samples))
	for i, v := range samples {
		in[i] = float32(v) / (1 << 15)
	}
	var b batch
	defer b.free()
	out := []ort.Value{nil}
	ins := []ort.Value{b.floats(in, 1, int64(len(in))), b.ones(1, int64(len(in)))}
	if b.err != nil {
		return nil, b.err
	}
	if err := n.encoder.Run(ins, out); err != nil {
		return nil, fmt.Errorf("second listener: %w", err)
	}
	b.own(out...)
	hidden := out[0].(*ort.Tensor[float32])
	s := &Sound{n: n, seconds: seconds, samples: int64(len(in)), frames: hidden.GetShape()[1]}
	s.hidden = append(s.hidden, hidden.GetData()...)
	return s, nil
}

// batch makes the values of one call, and frees them.
type batch struct {
	values []ort.Value
	err    error
}

func (b *batch) own(values ...ort.Value) { b.values = append(b.values, values...) }

func (b *batch) free() {
	for _, v := range b.values {
		if v != nil {
			_ = v.Destroy()
		}
	}
}

func tensor[T ort.TensorData](b *batch, data []T, shape ...int64) ort.Value {
	t, err := ort.NewTensor(ort.NewShape(shape...), data)
	if err != nil {
		b.err = errors.Join(b.err, err)
		return nil
	}
	b.own(t)
	return t
}

func (b *batch) floats(data []float32, shape ...int64) ort.Value { return tensor(b, data, shape...) }

func (b *batch) ones(shape ...int64) ort.Value {
	data := make([]int64, ort.NewShape(shape...).FlattenedSize())
	for i := range data {
		data[i] = 1
	}
	return tensor(b, data, shape...)
}
