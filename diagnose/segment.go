package diagnose

import "downlead/grammar"

// stretch is a Segment with the readings it came from.
type stretch struct {
	Segment
	from, to Observation
	elements []int
}

// stretches compares the measured loss with the expected one between each
// point and the next measured one on its receiver side.
func (c Call) stretches(t *Tables) []stretch {
	spots := c.spots()
	var out []stretch
	for _, to := range spots {
		from, ok := c.measuredBefore(to, spots)
		if !ok {
			continue
		}
		a, b, ok := comparable(from, to)
		if !ok {
			continue
		}
		measured := a.Reading.Level.Float() - b.Reading.Level.Float()
		mean, sd := SegmentLoss(c, t, a, b)
		s := stretch{from: a, to: b, Segment: Segment{
			From: c.point(from), To: c.point(to),
			Measured: measured, Expected: mean, Excess: measured - mean, SD: sd,
		}}
		for _, e := range c.Path.Branch(to.reach) {
			if e != from.reach && c.Path.Above(from.reach, e) && !c.Path.Elements[e].Removed {
				s.elements = append(s.elements, e)
			}
		}
		out = append(out, s)
	}
	return out
}

// measuredBefore returns the nearest spot with a level on the dish side of one.
func (c Call) measuredBefore(to spot, spots []spot) (spot, bool) {
	if _, ok := to.level(); !ok || to.stale {
		return spot{}, false
	}
	way := c.Path.Branch(to.reach)
	for k := len(way) - 2; k >= 0; k-- {
		for _, s := range spots {
			_, leveled := s.level()
			if _, own := c.reaches(s, way); own && s.reach == way[k] && !s.stale && leveled {
				return s, true
			}
		}
	}
	return spot{}, false
}

// comparable returns two readings with levels of the same signal: those that
// name the same slot, transponder and polarity, else two that name none.
func comparable(from, to spot) (a, b Observation, ok bool) {
	key := func(r grammar.Reading) grammar.Reading {
		return grammar.Reading{Slot: r.Slot, Transponder: r.Transponder, Polarity: r.Polarity}
	}
	for i := len(to.now) - 1; i >= 0; i-- {
		for j := len(from.now) - 1; j >= 0; j-- {
			a, b = from.now[j], to.now[i]
			if a.Reading.Level.Said() && b.Reading.Level.Said() && sameSignal(key(a.Reading), key(b.Reading)) {
				return a, b, true
			}
		}
	}
	return a, b, false
}

// sameSignal compares what two readings name; a slot or polarity that one of
// them left out fits any, a transponder does not, because loss depends on it.
func sameSignal(a, b grammar.Reading) bool {
	return a.Transponder == b.Transponder &&
		(a.Slot == b.Slot || a.Slot == 0 || b.Slot == 0) &&
		(a.Polarity == b.Polarity || a.Polarity == "" || b.Polarity == "")
}

// Segment is the stretch between two measured points on one branch.
type Segment struct {
	From     grammar.Point `json:"from"`
	To       grammar.Point `json:"to"`
	Measured float64       `json:"measured_db"`
	Expected float64       `json:"expected_db"`
	Excess   float64       `json:"excess_db"`
	SD       float64       `json:"sd_db"`
}
