package confidence

import (
	"errors"
	"fmt"
)

// Decision is what is to be done with an utterance.
type Decision int

// The decisions.
const (
	Ignore Decision = iota
	Ask
	Take
)

// Costs are what comes of a decision, in questions: a configuration file may
// hold them.
type Costs struct {
	Wrong    float64 `toml:"wrong" json:"wrong"`       // another phrase stored than was said
	Speech   float64 `toml:"speech" json:"speech"`     // other speech stored
	Question float64 `toml:"question" json:"question"` // a question put
	Lost     float64 `toml:"lost" json:"lost"`         // a phrase ignored
}

// DefaultCosts are judgements: a wrong number in the journal sends somebody to
// the wrong junction; a question costs a moment of attention on a ladder.
func DefaultCosts() Costs { return Costs{Wrong: 200, Speech: 200, Question: 1, Lost: 8} }

// Unstored are the costs of what is kept nowhere, a question to the tool: whoever
// hears the wrong answer asks again, as after a phrase that was lost.
func (c Costs) Unstored() Costs {
	c.Wrong, c.Speech = min(c.Wrong, c.Lost), min(c.Speech, c.Lost)
	return c
}

// Check refuses costs that make no sense.
func (c Costs) Check() error {
	var errs []error
	for name, v := range map[string]float64{"wrong": c.Wrong, "speech": c.Speech, "question": c.Question, "lost": c.Lost} {
		if !(v >= 0) || v > 1e6 {
			errs = append(errs, fmt.Errorf("costs.%s is %g; it goes from 0 to a million", name, v))
		}
	}
	return errors.Join(errs...)
}

// refused is how many more questions one costs that offers the wrong sentence: it is answered no, the phrase
// is said again, and may be asked about again. A judgement.
const refused = 3

// Decide takes the cheapest decision; of equals the one that stores less.
func (c Costs) Decide(p Posterior) Decision {
	take := p.Misheard*c.Wrong + p.Other*c.Speech
	ignore := (p.Right + p.Misheard) * c.Lost
	ask := c.Question * (1 + refused*p.Misheard)
	switch {
	case ignore <= ask && ignore <= take:
		return Ignore
	case ask <= take:
		return Ask
	}
	return Take
}
