package phoneme

import (
	"math"
	"slices"
	"strings"
)

// Arc is a word from one state of a grammar to another.
type Arc struct {
	From, To int
	Word     Word
}

// Net is a grammar by its phonemes. It is not changed by use.
type Net struct {
	words  []way
	states int
	start  int
	ends   []int
	steps  int // phonemes of all words together
}

// way is one way to say a word between two states.
type way struct {
	text     string
	phonemes []Class
	from, to int32
	begin    int // of its phonemes among those of all
}

// NewNet makes a net of a grammar; words that nobody knows how to say are left out.
func NewNet(arcs []Arc, start int, ends []int) *Net {
	n := &Net{start: start, ends: ends, states: start + 1}
	for _, end := range ends {
		n.states = max(n.states, end+1)
	}
	for _, a := range arcs {
		n.states = max(n.states, a.From+1, a.To+1)
		for _, phonemes := range a.Word.Ways {
			n.words = append(n.words, way{a.Word.Text, phonemes, int32(a.From), int32(a.To), n.steps})
			n.steps += len(phonemes)
		}
	}
	return n
}

// beam is how far behind the likeliest beginning one may be that is followed, nats.
const beam = 25

// told is the words so far, the last first.
type told struct {
	word, before int32
}

// token is the likeliest way to a place: its log-probability and its words.
type token struct {
	logP  float32
	words int32 // index of told, -1 for none
}

// none is the token of a place that nothing leads to.
var none = token{float32(math.Inf(-1)), -1}

// arrival is a token that comes to a state by a word, right after its last phoneme;
// class is 0 where a blank came between.
type arrival struct {
	token
	class Class
	word  int32
}

// reached is how a state is reached: after a blank, and right after two different
// phonemes, the likelier first: the next word may begin with one of them, and needs a blank then.
type reached struct {
	blank, in, other arrival
}

// nowhere is a state that nothing leads to.
var nowhere = reached{arrival{token: none}, arrival{token: none}, arrival{token: none}}

// add puts in a token that comes right after a phoneme.
func (r *reached) add(a arrival) {
	switch {
	case a.logP > r.in.logP:
		if a.class != r.in.class {
			r.other = r.in
		}
		r.in = a
	case a.class != r.in.class && a.logP > r.other.logP:
		r.other = a
	}
}

// before is the likeliest token from which a phoneme of a class may begin.
func (r *reached) before(class Class) token {
	in := r.in
	if in.class == class {
		in = r.other
	}
	if r.blank.logP > in.logP {
		return r.blank.token
	}
	return in.token
}

// passing is the state of a search: the tokens in every phoneme of every word, and in
// the blank after it.
type passing struct {
	*Net
	in, blank []token
	alive     []bool // of every word, whether it has a token
	states    []reached
	history   []told
	begin     float32 // of nothing but blanks so far
}

// Likeliest is the sentence of a net whose phonemes fit best, and the log-probability of
// their alignment, nats; ok is false where none fits.
func (p Posteriors) Likeliest(n *Net) (text string, logP float64, ok bool) {
	s := &passing{
		Net: n, in: slices.Repeat([]token{none}, n.steps), blank: slices.Repeat([]token{none}, n.steps),
		alive: make([]bool, len(n.words)), states: make([]reached, n.states),
	}
	for at := range p.frames {
		s.collect()
		s.prune(s.step(&p.frames[at]))
	}
	s.begin = none.logP
	s.collect()
	top := none
	for _, end := range n.ends {
		if t := s.states[end].before(0); t.logP > top.logP {
			top = t
		}
	}
	if top.words < 0 {
		return "", 0, false
	}
	var words []string
	for i := top.words; i >= 0; i = s.history[i].before {
		words = append(words, n.words[s.history[i].word].text)
	}
	slices.Reverse(words)
	return strings.Join(words, " "), float64(top.logP), true
}

// collect brings the tokens at the ends of words into the states.
func (s *passing) collect() {
	for i := range s.states {
		s.states[i] = nowhere
	}
	for i, w := range s.words {
		if !s.alive[i] {
			continue
		}
		to, last := &s.states[w.to], len(w.phonemes)-1
		if t := s.blank[w.begin+last]; t.logP > to.blank.logP {
			to.blank = arrival{t, 0, int32(i)}
		}
		if t := s.in[w.begin+last]; t != none {
			to.add(arrival{t, w.phonemes[last], int32(i)})
		}
	}
	for i := range s.states {
		to := &s.states[i]
		for _, a := range []*arrival{&to.blank, &to.in, &to.other} {
			if a.logP > none.logP {
				s.history = append(s.history, told{a.word, a.words})
				a.words = int32(len(s.history) - 1)
			}
		}
	}
	if to := &s.states[s.start]; s.begin > to.blank.logP {
		to.blank.token = token{s.begin, -1}
	}
}

// step goes one frame on, and gives the likeliest of all.
func (s *passing) step(frame *[classes]float32) float32 {
	s.begin += frame[0]
	best := s.begin
	for i := range s.words {
		w := &s.words[i]
		from := &s.states[w.from]
		if !s.alive[i] && from.blank.logP == none.logP && from.in.logP == none.logP {
			continue
		}
		s.alive[i] = true
		in, blank := s.in[w.begin:][:len(w.phonemes)], s.blank[w.begin:][:len(w.phonemes)]
		// From the last phoneme to the first: what it comes from is still of the frame before.
		for k := len(w.phonemes) - 1; k >= 0; k-- {
			class, to := w.phonemes[k], in[k]
			if to.logP > blank[k].logP {
				blank[k] = to
			}
			blank[k].logP += frame[0]
			if k == 0 {
				if t := from.before(class); t.logP > to.logP {
					to = t
				}
			} else {
				if blank[k-1].logP > to.logP {
					to = blank[k-1]
				}
				if in[k-1].logP > to.logP && w.phonemes[k-1] != class {
					to = in[k-1]
				}
			}
			to.logP += frame[class]
			in[k] = to
			best = max(best, to.logP, blank[k].logP)
		}
	}
	return best
}

// prune gives up what is far behind the best.
func (s *passing) prune(best float32) {
	for i, w := range s.words {
		if !s.alive[i] {
			continue
		}
		s.alive[i] = false
		for k := w.begin; k < w.begin+len(w.phonemes); k++ {
			if s.in[k].logP < best-beam {
				s.in[k] = none
			}
			if s.blank[k].logP < best-beam {
				s.blank[k] = none
			}
			s.alive[i] = s.alive[i] || s.in[k] != none || s.blank[k] != none
		}
	}
}
