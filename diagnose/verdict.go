package diagnose

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"downlead/grammar"
)

// VerdictOf judges a reading by its numbers alone: fail when the level is
// below the floor or the strength below the threshold of its slot (common
// practice, no source), pass when neither is, "" when there is no number to
// judge. why says which number decided.
func VerdictOf(r grammar.Reading, s Settings) (verdict grammar.Verdict, why string) {
	limit := s.limit(r.Slot)
	switch {
	case r.NoSignal:
		return grammar.Fail, "there is no signal"
	case r.Level.Said() && r.Level.Float() < s.FloorDBm:
		return grammar.Fail, fmt.Sprintf("%s dBm is below the floor of %s", r.Level, trim(s.FloorDBm))
	case r.Strength.Said() && limit > 0 && r.Strength.Float() < limit:
		return grammar.Fail, fmt.Sprintf("strength %s is below the threshold of %s", r.Strength, trim(limit))
	case r.Level.Said():
		return grammar.Pass, fmt.Sprintf("%s dBm is not below the floor of %s", r.Level, trim(s.FloorDBm))
	case r.Strength.Said() && limit > 0:
		return grammar.Pass, fmt.Sprintf("strength %s is not below the threshold of %s", r.Strength, trim(limit))
	}
	return "", ""
}

// limit returns the strength threshold of a slot; 0 when none was set.
func (s Settings) limit(slot int) float64 {
	if t, ok := s.ThresholdFor[slot]; ok {
		return t
	}
	return s.Threshold
}

// verdictOf is what a reading counts as: what the meter said, else what its
// numbers say.
func verdictOf(r grammar.Reading, s Settings) grammar.Verdict {
	if r.Verdict != "" {
		return r.Verdict
	}
	v, _ := VerdictOf(r, s)
	return v
}

// jointKey is a place on the path as the signal sees it: how far it has come, and
// through which output. Port 0 is the only output, or one nobody named.
type jointKey struct{ reach, port int }

func (c Call) jointOf(o Observation) jointKey {
	j := jointKey{reach: c.Path.Reach(o.Element, o.Side), port: o.Port}
	if o.Side == grammar.DishSide && c.Path.multi(j.reach) {
		j.port = c.Path.Elements[o.Element].Port
	}
	return j
}

// spot is what is known at a joint: its readings, and what they say now.
type spot struct {
	jointKey
	obs     []Observation // all readings there, in order
	now     []Observation // of the last round, those that no later one replaced
	verdict grammar.Verdict
	round   int
	stale   bool // a repair on its dish side came after the last reading
}

// spots returns what is known at every joint measured, from the dish outwards.
func (c Call) spots() []spot {
	var out []spot
	at := map[jointKey]int{}
	for _, o := range c.Observations {
		j := c.jointOf(o)
		i, ok := at[j]
		if !ok {
			i = len(out)
			at[j] = i
			out = append(out, spot{jointKey: j})
		}
		out[i].obs = append(out[i].obs, o)
	}
	for i := range out {
		out[i].judge(c)
	}
	sortSpots(out)
	return out
}

func (s *spot) judge(c Call) {
	s.round = s.obs[len(s.obs)-1].Round
	s.stale = s.round != c.round(s.reach)
	for _, o := range s.obs {
		if o.Round == s.round {
			s.now = append(without(s.now, o.Reading), o)
		}
	}
	for _, o := range s.now {
		switch v := verdictOf(o.Reading, c.Settings); {
		case v == grammar.Fail:
			s.verdict = v
		case v == grammar.Pass && s.verdict == "":
			s.verdict = v
		}
	}
}

// without drops the readings that a new one replaces: those of the same slot,
// transponder and polarity, or all where the new one names none and judges.
func without(now []Observation, r grammar.Reading) []Observation {
	whole := r.Slot == 0 && r.Transponder == 0 && r.Polarity == ""
	var keep []Observation
	for _, o := range now {
		q := o.Reading
		same := q.Slot == r.Slot && q.Transponder == r.Transponder && q.Polarity == r.Polarity
		if judges(r) && (whole || same) || !judges(q) && !judges(r) {
			if judges(q) == judges(r) {
				continue
			}
		}
		keep = append(keep, o)
	}
	return keep
}

// judges reports whether a reading is about the signal, and not the supply alone.
func judges(r grammar.Reading) bool {
	return r.Verdict != "" || r.NoSignal || r.Level.Said() || r.Strength.Said() || r.MER.Said()
}

// last returns the reading a spot is named by.
func (s spot) last() Observation { return s.now[len(s.now)-1] }

// level returns the lowest level that counts at a spot.
func (s spot) level() (Observation, bool) {
	var worst Observation
	found := false
	for _, o := range s.now {
		if l := o.Reading.Level; l.Said() && (!found || l.Float() < worst.Reading.Level.Float()) {
			worst, found = o, true
		}
	}
	return worst, found
}

func (s spot) entries() []int64 {
	var out []int64
	for _, o := range s.obs {
		out = append(out, o.Seq)
	}
	return out
}

func sortSpots(s []spot) {
	slices.SortStableFunc(s, func(a, b spot) int {
		return cmp.Or(cmp.Compare(a.reach, b.reach), cmp.Compare(a.port, b.port))
	})
}

// point names a spot as its last reading did.
func (c Call) point(s spot) grammar.Point { return c.pointOf(s.last()) }

// pointOf names the point of a reading.
func (c Call) pointOf(o Observation) grammar.Point {
	return c.Path.PointAt(Place{Element: o.Element, Side: o.Side, Port: o.Port})
}

// hundredths rounds a figure in dB to what a reader can use of it.
func hundredths(x float64) float64 { return math.Round(x*100) / 100 }
