package trace

import (
	"fmt"
	"math"
	"slices"

	"downlead/diagnose/path"
	"downlead/grammar/entry"
)

// Contradictions finds the pairs of readings that cannot both be true: a fail,
// and in the same round a pass on its receiver side. Of trouble that was told
// to come and go both can be.
func (c Call) Contradictions() []Contradiction {
	if slices.ContainsFunc(c.Symptoms, Symptom.comesAndGoes) {
		return nil
	}
	spots := c.Spots()
	var out []Contradiction
	for _, f := range spots {
		if f.Stale || f.Verdict != entry.Fail {
			continue
		}
		for _, p := range spots {
			if p.Stale || p.Verdict != entry.Pass || !c.Beyond(f, p) {
				continue
			}
			failing, passing, ok := c.clash(f, p)
			if !ok {
				continue
			}
			out = append(out, c.contradiction(f, p, failing, passing, c.moreAgainst(spots, f, p)))
			break // one pair is enough to ask about a fail
		}
	}
	return out
}

// Beyond reports whether all the signal at p came through the joint f.
func (c Call) Beyond(f, p Spot) bool {
	if f.Reach == p.Reach || !c.Path.Above(f.Reach, p.Reach) {
		return false
	}
	if !c.Path.Multi(f.Reach) {
		return true
	}
	way := c.Path.Branch(p.Reach)
	_, own := c.Reaches(f, way)
	return own && f.Port > 0
}

// clash returns a failing and a passing reading about the same signal: those
// of different slots, transponders or polarities can both be true.
func (c Call) clash(f, p Spot) (failing, passing Observation, ok bool) {
	differ := func(a, b int) bool { return a > 0 && b > 0 && a != b }
	for _, x := range f.Now {
		if Counts(x.Reading, c.Settings) != entry.Fail {
			continue
		}
		for _, y := range p.Now {
			a, b := x.Reading, y.Reading
			if Counts(b, c.Settings) != entry.Pass || differ(a.Slot, b.Slot) || differ(a.Transponder, b.Transponder) ||
				a.Polarity != "" && b.Polarity != "" && a.Polarity != b.Polarity {
				continue
			}
			return x, y, true
		}
	}
	return failing, passing, false
}

// moreAgainst counts the points that a fail alone stands against, those beyond
// it that pass, less the ones that the pass alone does, those ahead of it that
// fail: above 0 the fail is the likelier mistake.
func (c Call) moreAgainst(spots []Spot, f, p Spot) int {
	n := 0
	for _, s := range spots {
		if s.Stale {
			continue
		}
		if _, _, clash := c.clash(f, s); clash && s.Verdict == entry.Pass && c.Beyond(f, s) {
			n++
		}
		if _, _, clash := c.clash(s, p); clash && s.Verdict == entry.Fail && c.Beyond(s, p) {
			n--
		}
	}
	return n
}

// contradiction words that a fail and a pass beyond it cannot both be true. To
// be repeated is the one that more points stand against, else the one that is
// nearer its limit.
func (c Call) contradiction(f, p Spot, failing, passing Observation, against int) Contradiction {
	again := f
	if against < 0 || against == 0 && c.distance(passing.Reading) < c.distance(failing.Reading) {
		again = p
	}
	fp, pp, ap := c.PointOfSpot(f), c.PointOfSpot(p), c.PointOfSpot(again)
	return Contradiction{
		Text: fmt.Sprintf("It fails %s (entry %d), yet passes further on, %s (entry %d). Both cannot be true. Measure again %s.",
			path.AtPoint(fp), failing.Seq, path.AtPoint(pp), passing.Seq, path.AtPoint(ap)),
		Entries: []int64{failing.Seq, passing.Seq},
		Repeat:  ap,
	}
}

// distance says how far a reading is from its limit, in its own unit: the
// nearer one is the likelier mistake. A verdict alone is nearest.
func (c Call) distance(r entry.Reading) float64 {
	switch limit := c.Settings.Limit(r.Slot); {
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
	Text    string      `json:"text"`
	Entries []int64     `json:"entries"`
	Repeat  entry.Point `json:"repeat"`
}
