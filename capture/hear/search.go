package hear

import (
	"cmp"
	"context"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Candidate is a sentence and how likely the model finds it.
type Candidate struct {
	Text string
	LogP float64 // log P(sentence | sound), nats; the likeliest spelling
}

// reward is what a word is worth, nats. The model finds it too likely that a
// sentence ends early: "a" for all of "jumper receiver side pass minus forty
// eight", each word of which costs it something. With 0 such ends were the
// nearest rival of every fourth phrase; with 2 words are heard in silences.
const reward = 1.0

// Score compares sentences of different lengths, nats.
func (c Candidate) Score() float64 {
	return c.LogP + reward*float64(len(strings.Fields(c.Text)))
}

// hypothesis is a beginning of the text.
type hypothesis struct {
	readings []reading
	logP     float64
	row      int   // in the decoder's memory
	token    int64 // its last
}

// words is how many words have been begun, of the reading with most.
func (h hypothesis) words() int {
	most := 0
	for _, r := range h.readings {
		n := 1
		for s := r.words; s != nil; s = s.before {
			n++
		}
		most = max(most, n)
	}
	return most
}

// Tokens less likely than unlikely, and hypotheses that much behind the best
// whole sentence, are not followed: in nats, chosen wide.
const (
	unlikely = 14
	behind   = 12
	// follow is how far the likeliest beginning may be ahead of one of as many
	// tokens.
	follow = 8
)

// Search finds the likeliest sentences of a graph, the best Score first, by a beam
// search of so many hypotheses over the tokens that may come next. Its time
// grows with the tokens of a sentence: some 15 ms each.
func (s *Sound) Search(ctx context.Context, g *Graph, beam int) ([]Candidate, error) {
	found, _, err := s.decode(ctx, g, beam, &writing{done: true})
	return found, err
}

// Hear is Search and Free at once, in little more time than Search takes.
func (s *Sound) Hear(ctx context.Context, g *Graph, beam int) (found []Candidate, written Candidate, err error) {
	return s.decode(ctx, g, beam, &writing{})
}

// decode searches a graph and goes on with a writing until both have ended.
func (s *Sound) decode(ctx context.Context, g *Graph, beam int, w *writing) (found []Candidate, written Candidate, err error) {
	next, m, err := s.begin()
	alive := []hypothesis{{readings: []reading{{}}}}
	best := map[string]float64{}
	top := math.Inf(-1)
	for most := 4 + int(s.seconds*mostTokens); err == nil; most-- {
		if err := ctx.Err(); err != nil {
			return nil, written, err
		}
		for _, h := range alive {
			p := h.logP + float64(next[h.row][endToken])
			for _, text := range g.ended(h.readings) {
				if old, known := best[text]; !known || p > old {
					best[text] = p
				}
				top = max(top, Candidate{text, p}.Score())
			}
		}
		if most == 0 {
			break
		}
		w.goOn(next)
		alive = s.n.extend(g, alive, next, beam, top-behind)
		var rows []int
		var ids [][]int64
		for i := range alive {
			rows, ids = append(rows, alive[i].row), append(ids, []int64{alive[i].token})
			alive[i].row = i
		}
		if !w.done {
			rows, ids = append(rows, w.row), append(ids, w.ids[len(w.ids)-1:])
			w.row = len(rows) - 1
		}
		if len(rows) == 0 {
			break
		}
		next, m, err = s.step(m.chosen(rows), ids)
	}
	for text, p := range best {
		found = append(found, Candidate{text, p})
	}
	slices.SortFunc(found, func(a, b Candidate) int {
		return cmp.Or(cmp.Compare(b.Score(), a.Score()), strings.Compare(a.Text, b.Text))
	})
	return found, Candidate{s.n.tokens.decode(w.ids), w.logP}, err
}

// extend gives every hypothesis the tokens that its graph allows, and keeps the
// likeliest of those that read differently.
func (n *Neural) extend(g *Graph, alive []hypothesis, next [][]float32, beam int, least float64) []hypothesis {
	type option struct {
		from  int
		token int64
		logP  float64
	}
	var options []option
	for i, h := range alive {
		least := least - reward*float64(h.words())
		for id := int64(firstByte + 256); id < firstMark; id++ {
			p := float64(next[h.row][id])
			if p > -unlikely && h.logP+p > least {
				options = append(options, option{i, id, h.logP + p})
			}
		}
	}
	slices.SortFunc(options, func(a, b option) int {
		return cmp.Or(cmp.Compare(b.logP, a.logP), cmp.Compare(a.from, b.from), cmp.Compare(a.token, b.token))
	})
	var out []hypothesis
	known := map[string]bool{}
	for _, o := range options {
		readings := g.read(alive[o.from].readings, n.tokens.text[o.token])
		if len(readings) == 0 {
			continue
		}
		if len(out) > 0 && o.logP < out[0].logP-follow {
			break
		}
		if key := keyOf(readings); !known[key] {
			known[key] = true
			out = append(out, hypothesis{readings, o.logP, alive[o.from].row, o.token})
		}
		if len(out) == beam {
			break
		}
	}
	return out
}

// read reads text on from readings.
func (g *Graph) read(from []reading, text string) []reading {
	for _, c := range text {
		var to []reading
		for _, r := range from {
			to = append(to, g.feed(r, c)...)
		}
		if from = to; len(from) == 0 {
			return nil
		}
	}
	return from
}

// keyOf tells sets of readings apart.
func keyOf(list []reading) string {
	var b strings.Builder
	for _, r := range list {
		b.WriteString(strconv.Itoa(r.at) + r.begun + "," + r.digits + "," + r.words.String() + ";")
	}
	return b.String()
}

// Score is the log-probability of given sentences, in their order; -Inf for
// one that the model finds hopeless.
func (s *Sound) Score(ctx context.Context, sentences ...string) ([]float64, error) {
	found, err := s.Search(ctx, Sentences(sentences), len(sentences)+4)
	out := make([]float64, len(sentences))
	for i, sentence := range sentences {
		out[i] = math.Inf(-1)
		for _, c := range found {
			if c.Text == strings.Join(strings.Fields(strings.ToLower(sentence)), " ") {
				out[i] = c.LogP
			}
		}
	}
	return out, err
}
