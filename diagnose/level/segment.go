package level

import (
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// Stretch is a Segment with the readings it came from.
type Stretch struct {
	Segment
	From, To trace.Observation
	Elements []int
}

// Stretches compares the measured loss with the expected one between each
// point and the next measured one on its receiver side.
func Stretches(c trace.Call, t *Tables) []Stretch {
	spots := c.Spots()
	var out []Stretch
	for _, to := range spots {
		from, ok := measuredBefore(c, to, spots)
		if !ok {
			continue
		}
		a, b, ok := comparable(from, to)
		if !ok {
			continue
		}
		measured := a.Reading.Level.Float() - b.Reading.Level.Float()
		mean, sd := SegmentLoss(c, t, a, b)
		s := Stretch{From: a, To: b, Segment: Segment{
			From: c.PointOfSpot(from), To: c.PointOfSpot(to),
			Measured: measured, Expected: mean, Excess: measured - mean, SD: sd,
		}}
		for _, e := range c.Path.Branch(to.Reach) {
			if e != from.Reach && c.Path.Above(from.Reach, e) && !c.Path.Elements[e].Removed {
				s.Elements = append(s.Elements, e)
			}
		}
		out = append(out, s)
	}
	return out
}

// measuredBefore returns the nearest spot with a level on the dish side of one.
func measuredBefore(c trace.Call, to trace.Spot, spots []trace.Spot) (trace.Spot, bool) {
	if _, ok := to.Level(); !ok || to.Stale {
		return trace.Spot{}, false
	}
	way := c.Path.Branch(to.Reach)
	for k := len(way) - 2; k >= 0; k-- {
		for _, s := range spots {
			_, leveled := s.Level()
			if _, own := c.Reaches(s, way); own && s.Reach == way[k] && !s.Stale && leveled {
				return s, true
			}
		}
	}
	return trace.Spot{}, false
}

// comparable returns two readings with levels of the same signal: those that
// name the same slot, transponder and polarity, else two that name none.
func comparable(from, to trace.Spot) (a, b trace.Observation, ok bool) {
	key := func(r entry.Reading) entry.Reading {
		return entry.Reading{Slot: r.Slot, Transponder: r.Transponder, Polarity: r.Polarity}
	}
	for i := len(to.Now) - 1; i >= 0; i-- {
		for j := len(from.Now) - 1; j >= 0; j-- {
			a, b = from.Now[j], to.Now[i]
			if a.Reading.Level.Said() && b.Reading.Level.Said() && sameSignal(key(a.Reading), key(b.Reading)) {
				return a, b, true
			}
		}
	}
	return a, b, false
}

// sameSignal compares what two readings name; a slot or polarity that one of
// them left out fits any, a transponder does not, because loss depends on it.
func sameSignal(a, b entry.Reading) bool {
	return a.Transponder == b.Transponder &&
		(a.Slot == b.Slot || a.Slot == 0 || b.Slot == 0) &&
		(a.Polarity == b.Polarity || a.Polarity == "" || b.Polarity == "")
}

// Segment is the Stretch between two measured points on one branch.
type Segment struct {
	From     entry.Point `json:"from"`
	To       entry.Point `json:"to"`
	Measured float64     `json:"measured_db"`
	Expected float64     `json:"expected_db"`
	Excess   float64     `json:"excess_db"`
	SD       float64     `json:"sd_db"`
}
