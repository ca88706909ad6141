package hear

import "context"

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

// mostTokens is how many tokens a second of sound may have: people say some
// five syllables in it, and what goes on and on is the model repeating itself.
const mostTokens = 7

// writing is what the model writes down by itself, taking the likeliest token each time.
type writing struct {
	ids  []int64
	logP float64
	row  int // in the decoder's memory
	done bool
}

// goOn takes the next token.
func (w *writing) goOn(next [][]float32) {
	if w.done {
		return
	}
	best := int64(0)
	for id, p := range next[w.row] {
		if p > next[w.row][best] {
			best = int64(id)
		}
	}
	w.logP += float64(next[w.row][best])
	if w.done = best == endToken; !w.done {
		w.ids = append(w.ids, best)
	}
}

// Free is what the model writes down by itself, with its log-probability in nats; "" where it hears nothing.
func (s *Sound) Free(ctx context.Context) (text string, logP float64, err error) {
	_, written, err := s.Hear(ctx, NewGraph(nil, nil), 0)
	return written.Text, written.LogP, err
}
