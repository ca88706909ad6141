package confidence

import (
	_ "embed"
	"fmt"
	"math"

	"github.com/BurntSushi/toml"
)

// Posterior is the probability of each thing that an utterance may be; they
// add up to 1.
type Posterior struct {
	Right    float64 `toml:"right"`    // a phrase, and the sentence is what was said
	Misheard float64 `toml:"misheard"` // a phrase, but another one
	Other    float64 `toml:"other"`    // not for the tool: other speech, noise
}

// Table holds the coefficients and says where they come from.
type Table struct {
	Made       string             `toml:"made"`       // date
	Utterances int                `toml:"utterances"` // that it was fitted to
	Material   string             `toml:"material"`
	Call       Posterior          `toml:"call"`     // how often each is assumed to come on a call
	Lapse      float64            `toml:"lapse"`    // of sentences that all speaks for, how many are others all the same
	Misheard   map[string]float64 `toml:"misheard"` // coefficients against Right
	Other      map[string]float64 `toml:"other"`    // likewise
}

//go:embed table.toml
var table string

// Built is the measured table.
func Built() (Table, error) {
	var t Table
	if _, err := toml.Decode(table, &t); err != nil {
		return t, fmt.Errorf("confidence table: %w", err)
	}
	for _, name := range featureNames() {
		if _, ok := t.Misheard[name]; !ok {
			return t, fmt.Errorf("confidence table: no coefficient for %s; make it again: make confidence", name)
		}
	}
	return t, nil
}

// Tuning is what one technician's own phrases say of the figure: its log-odds
// are multiplied by Slope, and Offset is added. The zero value changes nothing.
type Tuning struct {
	Slope  float64 `toml:"slope" json:"slope"` // 0 stands for 1
	Offset float64 `toml:"offset" json:"offset"`
}

// Check refuses a tuning that makes no sense.
func (t Tuning) Check() error {
	if !(t.Slope >= 0 && t.Slope <= 10) || !(math.Abs(t.Offset) <= 10) {
		return fmt.Errorf("confidence: slope %g and offset %g; slope goes from 0 to 10, offset from -10 to 10", t.Slope, t.Offset)
	}
	return nil
}

// Posterior is what the evidence makes likely.
func (t Table) Posterior(e Evidence) Posterior {
	misheard, other := 0.0, 0.0
	names := featureNames()
	for i, x := range e.features() {
		misheard += t.Misheard[names[i]] * x
		other += t.Other[names[i]] * x
	}
	p := softmax(misheard, other).besides(max(e.rival(), e.outside()))
	p.Right, p.Misheard = p.Right*(1-t.Lapse), p.Misheard+p.Right*t.Lapse
	if e.foreign() && p.Other < foreignToBoth {
		rest := (1 - foreignToBoth) / (1 - p.Other)
		return Posterior{p.Right * rest, p.Misheard * rest, foreignToBoth}
	}
	return p
}

// foreignToBoth is the least probability of other speech where neither listener
// finds the sentence likely: 27 of 30 stretches of it were ignored so, 21 by the
// regression alone, which has seen little of it.
const foreignToBoth = 0.95

// foreign reports that neither listener finds the sentence likely: the first by
// the limits under which one that hears alone ignores it, the second by its
// free text, and they do not agree. Not so a long sentence whose phonemes are the likeliest of all of the
// grammar's, and whose letters are mostly those written: of 394 stretches of noise and other speech none was, of
// 12 phrases 6.
func (e Evidence) foreign() bool {
	const free, long, far = 5, 5, 0.5 // nats, words, share of letters
	if e.Spoken && e.Words >= long && e.Far < far {
		return false
	}
	first := e.Grammar >= -55 && e.Ratio >= -43 && e.WorstWord >= -100 && e.Covered >= 0.6
	return !e.Agree && !first && e.Free > free
}

// rival is the least probability that another sentence was said, by how far it
// is behind for both listeners: what is nearly as likely is in doubt, a half at
// most, whatever else speaks for the sentence. Of some 370 utterances on which the listeners
// agreed and that were 1.5 nats ahead or more, none was the nearest rival; of four that were
// less, two. Where they do not agree, it tells less.
func (e Evidence) rival() float64 {
	const far, most = 12, 3000
	slope := 2.0
	if e.Agree {
		slope = 3
	}
	return min(0.5, logistic(-slope*(clip(e.Lead, -far, far)+Nats*clip(e.Margin, -most, most))))
}

// outside is the least probability that a sentence was said which the grammar has
// not, and was forced into its nearest: where the free text is far from it, much
// likelier, and says something else or nothing. "corroded fitting at the ground block" was
// heard as "rerouted fitting at the ground block" by both listeners, written "who rode
// it fitting at the ground black". A judgement; on phrases that the grammar has, free text
// is hardly ever so far off and so likely.
func (e Evidence) outside() float64 {
	const free, far, share, fits = 8, 0.2, 0.02, -8 // nats, share of letters, share, nats
	if !e.Says && e.Free > free && e.Far > far && e.PhonemeFit < fits {
		return share
	}
	return 0
}

// besides is the posterior where, if a phrase was said at all, another sentence
// has some probability at least: noise in which nothing was said stays noise.
func (p Posterior) besides(rival float64) Posterior {
	phrase := p.Right + p.Misheard
	if !(rival*phrase > p.Misheard) {
		return p
	}
	return Posterior{phrase * (1 - rival), phrase * rival, p.Other}
}

// softmax are the probabilities of log-odds against Right.
func softmax(misheard, other float64) Posterior {
	most := max(0, misheard, other)
	r, m, o := math.Exp(-most), math.Exp(misheard-most), math.Exp(other-most)
	sum := r + m + o
	return Posterior{r / sum, m / sum, o / sum}
}

// Tuned is the posterior as one technician's phrases bear it out: Right is
// moved, the others keep their ratio.
func (p Posterior) Tuned(t Tuning) Posterior {
	if t == (Tuning{}) || p.Right >= 1 || p.Right <= 0 {
		return p
	}
	slope := t.Slope
	if slope == 0 {
		slope = 1
	}
	right := logistic(slope*math.Log(p.Right/(1-p.Right)) + t.Offset)
	rest := (1 - right) / (1 - p.Right)
	return Posterior{right, p.Misheard * rest, p.Other * rest}
}

func logistic(x float64) float64 { return 1 / (1 + math.Exp(-x)) }
