package hear

import (
	"errors"
	"fmt"
	"math"

	ort "github.com/yalue/onnxruntime_go"
)

// decoderNames are the decoder's inputs and outputs: keys and values of what
// was decoded and of the sound, by layer.
func decoderNames() (in, out []string) {
	in = []string{"encoder_attention_mask", "input_ids", "encoder_hidden_states"}
	out = []string{"logits"}
	for layer := range layers {
		for _, part := range []string{"decoder.key", "decoder.value", "encoder.key", "encoder.value"} {
			in = append(in, fmt.Sprintf("past_key_values.%d.%s", layer, part))
			out = append(out, fmt.Sprintf("present.%d.%s", layer, part))
		}
	}
	return append(in, "use_cache_branch"), out
}

// memory is what the decoder keeps of the tokens before, for some sequences of
// one length: keys and values by layer. heard is the same of the sound, one for
// all sequences.
type memory struct {
	rows, tokens int64
	said         [2 * layers][]float32 // rows by heads by tokens by head
	heard        [2 * layers][]float32 // heads by frames by head
}

// begin decodes the start token: it returns the log-probabilities of the first
// token and the memory to go on with.
func (s *Sound) begin() ([][]float32, *memory, error) {
	return s.step(&memory{rows: 1}, [][]int64{{startToken}})
}

// step decodes the next tokens of every sequence, as many of each, and returns
// the log-probabilities of what follows the last, with the memory after it.
func (s *Sound) step(m *memory, next [][]int64) ([][]float32, *memory, error) {
	s.n.mu.Lock()
	defer s.n.mu.Unlock()
	if s.n.decoder == nil {
		return nil, nil, errors.New("the second listener is closed")
	}
	rows, more := int64(len(next)), int64(len(next[0]))
	first := m.tokens == 0
	var b batch
	defer b.free()
	ids := make([]int64, 0, rows*more)
	for _, row := range next {
		ids = append(ids, row...)
	}
	// All of the sound is heard, and a mask of one sample says so for every
	// frame; the memory holds what the decoder takes from the sound.
	hidden := b.floats(s.hidden, 1, s.frames, width)
	if !first {
		hidden = b.floats(make([]float32, rows*width), rows, 1, width)
	}
	in := []ort.Value{b.ones(rows, 1), tensor(&b, ids, rows, more), hidden}
	for layer := range layers {
		for part := range 2 {
			in = append(in, b.floats(m.said[2*layer+part], rows, heads, m.tokens, head))
		}
		for part := range 2 {
			if first {
				in = append(in, b.floats(nil, rows, heads, 0, head))
			} else {
				in = append(in, b.floats(repeated(m.heard[2*layer+part], rows), rows, heads, s.frames, head))
			}
		}
	}
	in = append(in, tensor(&b, []bool{!first}, 1))
	if b.err != nil {
		return nil, nil, b.err
	}
	out := make([]ort.Value, 1+4*layers)
	if err := s.n.decoder.Run(in, out); err != nil {
		return nil, nil, fmt.Errorf("second listener: %w", err)
	}
	b.own(out...)
	after := &memory{rows: rows, tokens: m.tokens + more, heard: m.heard}
	for layer := range layers {
		for part := range 2 {
			after.said[2*layer+part] = copied(out[1+4*layer+part])
			if first {
				after.heard[2*layer+part] = copied(out[1+4*layer+2+part])
			}
		}
	}
	logits := out[0].(*ort.Tensor[float32]).GetData()
	probabilities := make([][]float32, rows)
	for r := range probabilities {
		last := (int64(r)*more + more - 1) * vocabulary
		probabilities[r] = logSoftmax(logits[last : last+vocabulary])
	}
	return probabilities, after, nil
}

// chosen is the memory of some sequences of m, in that order, with repeats.
func (m *memory) chosen(rows []int) *memory {
	c := &memory{rows: int64(len(rows)), tokens: m.tokens, heard: m.heard}
	size := int(heads * m.tokens * head)
	for i, part := range m.said {
		for _, r := range rows {
			c.said[i] = append(c.said[i], part[r*size:(r+1)*size]...)
		}
	}
	return c
}

func copied(v ort.Value) []float32 {
	return append([]float32(nil), v.(*ort.Tensor[float32]).GetData()...)
}

func repeated(part []float32, times int64) []float32 {
	if times == 1 {
		return part
	}
	out := make([]float32, 0, int64(len(part))*times)
	for range times {
		out = append(out, part...)
	}
	return out
}

// logSoftmax turns logits into log-probabilities.
func logSoftmax(logits []float32) []float32 {
	most := logits[0]
	for _, v := range logits {
		most = max(most, v)
	}
	sum := 0.0
	for _, v := range logits {
		if d := v - most; d > -20 {
			sum += math.Exp(float64(d))
		}
	}
	norm := most + float32(math.Log(sum))
	out := make([]float32, len(logits))
	for i, v := range logits {
		out[i] = v - norm
	}
	return out
}

// mostTokens is how many tokens a second of sound may have: people say some
// five syllables in it, and what goes on and on is the model repeating itself.
const mostTokens = 7

// Free is what the model writes down by itself, taking the likeliest token
// each time, with its log-probability in nats; "" where it hears nothing.
func (s *Sound) Free() (text string, logP float64, err error) {
	said, m, err := s.begin()
	var ids []int64
	for most := 4 + int(s.seconds*mostTokens); err == nil && len(ids) < most; {
		best := int64(0)
		for id, p := range said[0] {
			if p > said[0][best] {
				best = int64(id)
			}
		}
		logP += float64(said[0][best])
		if best == endToken {
			break
		}
		ids = append(ids, best)
		said, m, err = s.step(m, [][]int64{{best}})
	}
	return s.n.tokens.decode(ids), logP, err
}
