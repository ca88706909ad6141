package capture

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"slices"
)

// The speech model knows the silence of quiet rooms, and of noise nothing: the blows of a
// hammer drill fit words better. Its empty place for noise takes a model of the noises of the job
// (make adapt); silence and all sounds of speech stay as they are. The model is that of Debian's
// pocketsphinx-en-us (Carnegie Mellon University, BSD); of another one nothing is changed.

// noiseModel is means, variances and weights of the noise, little-endian: by stream and
// density, and the weights by state, stream and density, a byte each.
//
//go:embed noise.bin
var noiseModel []byte

// place is where a model of noise lies in the speech model: which phone it is, and the first
// of its states. The definition of the speech model names the phone +NSN+.
type place struct{ phone, state int }

var noisePlace = place{phone: 0, state: 0}

const (
	noiseStates = 3
	densities   = 128
	streams     = 3
	streamSize  = 13
	phones      = 42

	noiseNumbers = 4 * streams * streamSize * densities // bytes of its means
	noiseWeights = noiseStates * streams * densities
)

// noisedModel is the SHA-256 of the three files that the noise was made for, one after the other.
const noisedModel = "44c2f45760a62ea62365a2b770fd59187168c04bf6dc6ff3bdb49c796f4f2e41"

// noiseParts are the parts of a model in which noise lies, by the library's option.
var noiseParts = [...]struct{ option, file string }{
	{"-mean", "means"}, {"-var", "variances"}, {"-sendump", "sendump"},
}

// KnowsNoise reports that the model in dir is given the noises of the job.
func KnowsNoise(dir string) bool {
	_, ok := noiseFiles(dir)
	return ok
}

// noiseFiles are the files of a model with the noise put in, in the order of
// noiseParts; ok is false for a model that it was not made for.
func noiseFiles(dir string) (files [][]byte, ok bool) {
	sum := sha256.New()
	for _, p := range noiseParts {
		b, err := os.ReadFile(filepath.Join(dir, "en-us", p.file))
		if err != nil {
			return nil, false
		}
		sum.Write(b)
		files = append(files, b)
	}
	if hex.EncodeToString(sum.Sum(nil)) != noisedModel {
		return nil, false
	}
	files, err := noisePlace.put(files, noiseModel)
	return files, err == nil
}

// put puts a model of noise into means, variances and weights.
func (p place) put(files [][]byte, noise []byte) ([][]byte, error) {
	if len(files) != len(noiseParts) || len(noise) != 2*noiseNumbers+noiseWeights {
		return nil, errCutShort
	}
	out := make([][]byte, len(files))
	for i := range 2 { // means and variances
		sizes, numbers, err := parameters(files[i])
		if err != nil || len(numbers) != phones*noiseNumbers {
			return nil, errCutShort
		}
		numbers = bytes.Clone(numbers)
		copy(numbers[p.phone*noiseNumbers:], noise[i*noiseNumbers:][:noiseNumbers])
		out[i] = slices.Concat([]byte("s3\nversion 1.0\nendhdr\n"), sizes, numbers)
	}
	out[2] = bytes.Clone(files[2])
	weights, states := weightsIn(out[2])
	if len(weights) != streams*densities*states || states < p.state+noiseStates {
		return nil, errCutShort
	}
	for i, w := range noise[2*noiseNumbers:] { // by state, stream and density
		state, row := p.state+i/(streams*densities), i%(streams*densities)
		weights[row*states+state] = w
	}
	return out, nil
}

// parameters are the numbers of a file of means or variances, 4 bytes each, and the
// sizes before them. The sum behind them is left out.
func parameters(file []byte) (sizes, numbers []byte, err error) {
	_, body, ok := bytes.Cut(file, []byte("endhdr\n"))
	r := reader{b: body}
	r.skip(4) // the order of bytes
	r.skip(4) // phones
	n := r.int()
	r.skip(4) // densities
	if !ok || r.short || n < 1 || n > streams {
		return nil, nil, errCutShort
	}
	r.skip(4 * n)
	count := r.int()
	sizes = body[:len(body)-r.left()]
	if numbers = r.bytes(4 * count); r.short {
		return nil, nil, errCutShort
	}
	return sizes, numbers, nil
}

// weightsIn are the weights in a file, a byte each: by stream, density and state.
func weightsIn(file []byte) (weights []byte, states int) {
	r := reader{b: file}
	for n := r.int(); n > 0 && !r.short; n = r.int() {
		r.skip(n)
	}
	r.int() // densities
	states = r.int()
	if r.short {
		return nil, 0
	}
	return r.b, states
}

// noiseOptions lays the model with its noise down for the library to read: its options, and
// what takes the files away again once they are read.
func noiseOptions(dir string) (options map[string]string, done func(), err error) {
	files, ok := noiseFiles(dir)
	if !ok {
		return map[string]string{}, func() {}, nil
	}
	tmp, err := os.MkdirTemp("", "downlead-speech-")
	if err != nil {
		return nil, func() {}, fmt.Errorf("lay down the speech model: %w", err)
	}
	done = func() { _ = os.RemoveAll(tmp) }
	options = map[string]string{}
	for i, p := range noiseParts {
		options[p.option] = filepath.Join(tmp, p.file)
		if err := os.WriteFile(options[p.option], files[i], 0o600); err != nil {
			done()
			return nil, func() {}, fmt.Errorf("lay down the speech model: %w", err)
		}
	}
	return options, done, nil
}
