package capture

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// modelFiles are the parts of a speech model that every decode needs.
func modelFiles() []string {
	return []string{
		"cmudict-en-us.dict", "en-us-phone.lm.bin",
		"en-us/feat.params", "en-us/mdef", "en-us/means", "en-us/variances", "en-us/transition_matrices",
		"en-us/sendump", "en-us/noisedict",
	}
}

// checkModel looks for the files, and into the two that the library reads
// without looking: damage there would end the process. It returns how many of the
// model's states are those of plain phones: they are the first.
func checkModel(dir string) (phoneStates int, err error) {
	for _, f := range modelFiles() {
		switch info, err := os.Stat(filepath.Join(dir, f)); {
		case err != nil:
			return 0, fmt.Errorf("%w (%v)", ErrNoModel, err)
		case info.Size() == 0:
			return 0, damaged(dir, f, errors.New("it is empty"))
		}
	}
	phoneStates, senones, err := checkDefinition(filepath.Join(dir, "en-us/mdef"))
	if err != nil {
		return 0, damaged(dir, "en-us/mdef", err)
	}
	if err := checkWeights(filepath.Join(dir, "en-us/sendump"), senones); err != nil {
		return 0, damaged(dir, "en-us/sendump", err)
	}
	return phoneStates, nil
}

func damaged(dir, file string, err error) error {
	return fmt.Errorf("speech model %s is damaged: %s: %w; apt-get install --reinstall pocketsphinx-en-us", dir, file, err)
}

var errCutShort = errors.New("it is cut short")

// Sizes in the binary model definition, as the format description at the head
// of every such file gives them: phones are an int32 state sequence, an int32
// transition matrix and 4 bytes of context; tree nodes are two int16 and an
// int32; state sequences are int16 senones.
const (
	definitionMagic = "BMDF"
	nodeBytes       = 8
)

// checkDefinition reads the model definition and checks that every number in
// it points at something. It returns how many senones (tied states) there are, in
// plain phones and in all; no number of all for a definition in text, which the
// library checks by itself.
func checkDefinition(path string) (plain, senones int, err error) {
	b, err := os.ReadFile(path)
	if err != nil {
		return 0, 0, err
	}
	if !bytes.HasPrefix(b, []byte(definitionMagic)) {
		for line := range bytes.Lines(b) {
			if _, err := fmt.Sscanf(string(line), "%d n_tied_ci_state", &plain); err == nil {
				return plain, 0, nil
			}
		}
		return 0, 0, errors.New("it does not say how many states plain phones have")
	}
	r := reader{b: b[len(definitionMagic):]}
	r.int()         // version
	r.skip(r.int()) // format description
	phones0, phones, states, plain := r.int(), r.int(), r.int(), r.int()
	senones, matrices, sequences := r.int(), r.int(), r.int()
	contexts, nodes, _ := r.int(), r.int(), r.int()
	for _, n := range []int{phones0, phones, states, plain, senones, matrices, sequences, contexts, nodes} {
		if r.short || n < 0 || n > 1<<24 {
			return 0, 0, errCutShort
		}
	}
	if plain > senones {
		return 0, 0, errors.New("it has more states of plain phones than states")
	}
	names := r.left()
	for range phones0 {
		r.skip(bytes.IndexByte(r.b, 0) + 1)
	}
	r.skip((4 - (names-r.left())%4) % 4)
	r.skip(nodes * nodeBytes)
	for range phones {
		sequence, matrix := r.int(), r.int()
		r.skip(4)
		if !r.short && (sequence < 0 || sequence >= sequences || matrix < 0 || matrix >= matrices) {
			return 0, 0, errors.New("a phone points at nothing")
		}
	}
	if size := r.int(); states > 0 && !r.short && size != sequences*states {
		return 0, 0, errors.New("the state sequences have another size than it says")
	}
	return plain, senones, checkSequences(&r, sequences*states, senones)
}

// checkSequences wants every senone used, and no other.
func checkSequences(r *reader, n, senones int) error {
	used := make([]bool, senones)
	for range n {
		s := r.uint16()
		switch {
		case r.short:
			return errCutShort
		case s >= senones:
			return errors.New("a state points at nothing")
		}
		used[s] = true
	}
	for _, u := range used {
		if !u && n > 0 {
			return errors.New("a state is never used")
		}
	}
	if r.short {
		return errCutShort
	}
	return nil
}

// checkWeights checks that the mixture weights are all there: the library
// maps the file into memory and would fall off its end.
func checkWeights(path string, senones int) error {
	b, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	r := reader{b: b}
	r.skip(r.int()) // title
	features, clusters := 1, 0
	for {
		n := r.int()
		if r.short || n <= 0 {
			break
		}
		line := bytes.TrimRight(r.bytes(n), "\x00")
		_, _ = fmt.Sscanf(string(line), "feature_count %d", &features)
		_, _ = fmt.Sscanf(string(line), "cluster_count %d", &clusters)
	}
	rows, columns := r.int(), r.int()
	if r.short || rows <= 0 || columns <= 0 || rows > 1<<16 || columns > 1<<24 || features < 1 || features > 64 {
		return errCutShort
	}
	if senones > 0 && columns != senones {
		return fmt.Errorf("it has %d states, the definition has %d", columns, senones)
	}
	want := features * rows * columns
	if clusters > 0 {
		want /= 2 // two 4-bit cluster numbers a byte
	}
	if r.left() < want {
		return errCutShort
	}
	return nil
}

// reader takes little-endian numbers from bytes; past the end it gives zeros
// and is short.
type reader struct {
	b     []byte
	short bool
}

func (r *reader) left() int { return len(r.b) }

func (r *reader) bytes(n int) []byte {
	if n < 0 || n > len(r.b) {
		r.short, r.b = true, nil
		return make([]byte, 4)
	}
	out := r.b[:n]
	r.b = r.b[n:]
	return out
}

func (r *reader) skip(n int)  { r.bytes(n) }
func (r *reader) int() int    { return int(int32(binary.LittleEndian.Uint32(r.bytes(4)))) }
func (r *reader) uint16() int { return int(binary.LittleEndian.Uint16(r.bytes(2))) }
