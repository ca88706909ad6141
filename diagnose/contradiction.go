package diagnose

import (
	"fmt"
	"math"

	"downlead/grammar"
)

// contradictions finds the pairs of readings that cannot both be true: a fail,
// and in the same round a pass on its receiver side.
func (c Call) contradictions() []Contradiction {
	spots := c.spots()
	var out []Contradiction
	for _, f := range spots {
		if f.stale || f.verdict != grammar.Fail {
			continue
		}
		for _, p := range spots {
			if p.stale || p.verdict != grammar.Pass || !c.beyond(f, p) {
				continue
			}
			failing, passing, ok := c.clash(f, p)
			if !ok {
				continue
			}
			out = append(out, c.contradiction(f, p, failing, passing))
			break // one pair is enough to ask about a fail
		}
	}
	return out
}

// beyond reports whether all the signal at p came through the joint f.
func (c Call) beyond(f, p spot) bool {
	if f.reach == p.reach || !c.Path.Above(f.reach, p.reach) {
		return false
	}
	if !c.Path.multi(f.reach) {
		return true
	}
	way := c.Path.Branch(p.reach)
	_, own := c.reaches(f, way)
	return own && f.port > 0
}

// clash returns a failing and a passing reading about the same signal: those
// of different slots, transponders or polarities can both be true.
func (c Call) clash(f, p spot) (failing, passing Observation, ok bool) {
	differ := func(a, b int) bool { return a > 0 && b > 0 && a != b }
	for _, x := range f.now {
		if verdictOf(x.Reading, c.Settings) != grammar.Fail {
			continue
		}
		for _, y := range p.now {
			a, b := x.Reading, y.Reading
			if verdictOf(b, c.Settings) != grammar.Pass || differ(a.Slot, b.Slot) || differ(a.Transponder, b.Transponder) ||
				a.Polarity != "" && b.Polarity != "" && a.Polarity != b.Polarity {
				continue
			}
			return x, y, true
		}
	}
	return failing, passing, false
}

func (c Call) contradiction(f, p spot, failing, passing Observation) Contradiction {
	again := f
	if c.distance(passing.Reading) < c.distance(failing.Reading) {
		again = p
	}
	fp, pp, ap := c.point(f), c.point(p), c.point(again)
	return Contradiction{
		Text: fmt.Sprintf("It fails %s (entry %d), yet passes further on, %s (entry %d). Both cannot be true. Measure again %s.",
			atPoint(fp), failing.Seq, atPoint(pp), passing.Seq, atPoint(ap)),
		Entries: []int64{failing.Seq, passing.Seq},
		Repeat:  ap,
	}
}

// distance says how far a reading is from its limit, in its own unit: the
// nearer one is the likelier mistake. A verdict alone is nearest.
func (c Call) distance(r grammar.Reading) float64 {
	switch limit := c.Settings.limit(r.Slot); {
	case r.Level.Said():
		return math.Abs(r.Level.Float() - c.Settings.FloorDBm)
	case r.NoSignal:
		return math.Inf(1)
	case r.Strength.Said() && limit > 0:
		return math.Abs(r.Strength.Float() - limit)
	}
	return 0
}

// Contradiction names readings that cannot all be true, and the one to repeat.
type Contradiction struct {
	Text    string        `json:"text"`
	Entries []int64       `json:"entries"`
	Repeat  grammar.Point `json:"repeat"`
}
