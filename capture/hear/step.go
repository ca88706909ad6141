//go:build !novoice

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
				in = append(in, b.floats(m.heard[2*layer+part], 1, heads, s.frames, head))
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

func copied(v ort.Value) []float32 {
	return append([]float32(nil), v.(*ort.Tensor[float32]).GetData()...)
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
