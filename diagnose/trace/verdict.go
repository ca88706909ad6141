package trace

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"downlead/diagnose/path"
	"downlead/grammar/entry"
)

// VerdictOf judges a reading by its numbers alone: fail when the level is
// below the floor or the strength below the threshold of its slot (common
// practice, no source), pass when neither is, "" when there is no number to
// judge. why says which number decided.
func VerdictOf(r entry.Reading, s Settings) (verdict entry.Verdict, why string) {
	limit := s.Limit(r.Slot)
	switch {
	case r.NoSignal:
		return entry.Fail, "there is no signal"
	case r.Level.Said() && r.Level.Float() < s.FloorDBm:
		return entry.Fail, fmt.Sprintf("%s dBm is below the floor of %s", r.Level, path.Trim(s.FloorDBm))
	case r.Strength.Said() && limit > 0 && r.Strength.Float() < limit:
		return entry.Fail, fmt.Sprintf("strength %s is below the threshold of %s", r.Strength, path.Trim(limit))
	case r.Level.Said():
		return entry.Pass, fmt.Sprintf("%s dBm is not below the floor of %s", r.Level, path.Trim(s.FloorDBm))
	case r.Strength.Said() && limit > 0:
		return entry.Pass, fmt.Sprintf("strength %s is not below the threshold of %s", r.Strength, path.Trim(limit))
	}
	return "", ""
}

// Limit returns the strength threshold of a slot; 0 when none was set.
func (s Settings) Limit(slot int) float64 {
	if t, ok := s.ThresholdFor[slot]; ok {
		return t
	}
	return s.Threshold
}

// Counts is what a reading counts as: what the meter said, else what its
// numbers say.
func Counts(r entry.Reading, s Settings) entry.Verdict {
	if r.Verdict != "" {
		return r.Verdict
	}
	v, _ := VerdictOf(r, s)
	return v
}

// JointKey is a place on the path as the signal sees it: how far it has come, and
// through which output. Port 0 is the only output, or one nobody named.
type JointKey struct{ Reach, Port int }

func (c Call) JointOf(o Observation) JointKey {
	j := JointKey{Reach: c.Path.Reach(o.Element, o.Side), Port: o.Port}
	if o.Side == entry.DishSide && c.Path.Multi(j.Reach) {
		j.Port = c.Path.Elements[o.Element].Port
	}
	return j
}

// Spot is what is known at a joint: its readings, and what they say now.
type Spot struct {
	JointKey
	Obs     []Observation // all readings there, in order
	Now     []Observation // of the last round, those that no later one replaced
	Verdict entry.Verdict
	Round   int
	Stale   bool            // a repair on its dish side came after the last reading
	Left    []entry.Reading // of signals that were read before the last repair and not since, where others were
}

// Spots returns what is known at every joint measured, from the dish outwards.
func (c Call) Spots() []Spot {
	var out []Spot
	at := map[JointKey]int{}
	for _, o := range c.Observations {
		j := c.JointOf(o)
		i, ok := at[j]
		if !ok {
			i = len(out)
			at[j] = i
			out = append(out, Spot{JointKey: j})
		}
		out[i].Obs = append(out[i].Obs, o)
	}
	for i := range out {
		out[i].judge(c)
	}
	sortSpots(out)
	return out
}

func (s *Spot) judge(c Call) {
	s.Round = s.Obs[len(s.Obs)-1].Round
	s.Stale = s.Round != c.Round(s.JointKey)
	for _, o := range s.Obs {
		if o.Round == s.Round {
			s.Now = append(without(s.Now, o.Reading), o)
		}
	}
	s.Left = s.left(c)
	for _, o := range s.Now {
		switch v := Counts(o.Reading, c.Settings); {
		case v == entry.Fail:
			s.Verdict = v
		case v == entry.Pass && s.Verdict == "":
			s.Verdict = v
		}
	}
}

// left lists what was read in an earlier round and not in this one: of every
// slot, and of every transponder and polarity that failed.
func (s *Spot) left(c Call) []entry.Reading {
	var out []entry.Reading
	covers := func(q, r entry.Reading, failed bool) bool {
		return (r.Slot == 0 || r.Slot == q.Slot || q.Slot == 0) && (!failed ||
			(r.Transponder == 0 || r.Transponder == q.Transponder || q.Transponder == 0) && (r.Polarity == "" || r.Polarity == q.Polarity || q.Polarity == ""))
	}
	for _, o := range s.Obs {
		q := entry.Reading{Slot: o.Reading.Slot, Transponder: o.Reading.Transponder, Polarity: o.Reading.Polarity, Verdict: Counts(o.Reading, c.Settings)}
		failed := q.Verdict == entry.Fail
		if o.Round == s.Round || !Judges(o.Reading) {
			continue
		}
		if !failed {
			q.Transponder, q.Polarity = 0, ""
		}
		same := func(x entry.Reading) bool {
			return x.Slot == q.Slot && x.Transponder == q.Transponder && x.Polarity == q.Polarity
		}
		if i := slices.IndexFunc(out, same); i >= 0 { // the later one of a signal counts
			out = slices.Delete(out, i, i+1)
		}
		if !slices.ContainsFunc(s.Now, func(r Observation) bool { return Judges(r.Reading) && covers(q, r.Reading, failed) }) {
			out = append(out, q)
		}
	}
	return out
}

// LeftWords names what was not read again, " on slot 110 and transponder 21";
// "" where all was.
func (s Spot) LeftWords() string {
	var parts []string
	for _, r := range s.Left {
		parts = append(parts, strings.Join(r.Signal(), " "))
	}
	if len(parts) == 0 {
		return ""
	}
	return " on " + path.List(parts, "and")
}

// without drops the readings that a new one replaces: those of the same slot,
// transponder and polarity, or all where the new one names none and judges.
func without(now []Observation, r entry.Reading) []Observation {
	whole := r.Slot == 0 && r.Transponder == 0 && r.Polarity == ""
	var keep []Observation
	for _, o := range now {
		q := o.Reading
		same := q.Slot == r.Slot && q.Transponder == r.Transponder && q.Polarity == r.Polarity
		if Judges(r) && (whole || same) || !Judges(q) && !Judges(r) {
			if Judges(q) == Judges(r) {
				continue
			}
		}
		keep = append(keep, o)
	}
	return keep
}

// Judges reports whether a reading is about the signal, and not the supply alone.
func Judges(r entry.Reading) bool {
	return r.Verdict != "" || r.NoSignal || r.Level.Said() || r.Strength.Said() || r.MER.Said()
}

// Last returns the reading a spot is named by.
func (s Spot) Last() Observation { return s.Now[len(s.Now)-1] }

// Level returns the lowest level that counts at a spot.
func (s Spot) Level() (Observation, bool) {
	var worst Observation
	found := false
	for _, o := range s.Now {
		if l := o.Reading.Level; l.Said() && (!found || l.Float() < worst.Reading.Level.Float()) {
			worst, found = o, true
		}
	}
	return worst, found
}

func (s Spot) Entries() []int64 {
	var out []int64
	for _, o := range s.Obs {
		out = append(out, o.Seq)
	}
	return out
}

func sortSpots(s []Spot) {
	slices.SortStableFunc(s, func(a, b Spot) int {
		return cmp.Or(cmp.Compare(a.Reach, b.Reach), cmp.Compare(a.Port, b.Port))
	})
}

// PointOfSpot names a spot as its last reading did.
func (c Call) PointOfSpot(s Spot) entry.Point { return c.PointOf(s.Last()) }

// PointOf names the point of a reading.
func (c Call) PointOf(o Observation) entry.Point {
	return c.Path.PointAt(path.Place{Element: o.Element, Side: o.Side, Port: o.Port})
}

// Hundredths rounds a figure in dB to what a reader can use of it.
func Hundredths(x float64) float64 { return math.Round(x*100) / 100 }
