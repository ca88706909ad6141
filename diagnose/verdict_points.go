package diagnose

import (
	"cmp"
	"math"
	"slices"

	"downlead/grammar"
)

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

// pointStates says what is known at every point measured.
func (c Call) pointStates(t *Tables) []PointState {
	var out []PointState
	for _, s := range c.spots() {
		st := PointState{
			Point: c.point(s), ID: c.Path.Elements[s.last().Element].ID,
			Verdict: s.verdict, Round: s.round, Stale: s.stale, Entries: s.entries(),
		}
		o, measured := s.level()
		if !measured {
			o = s.last()
		}
		if measured {
			level := o.Reading.Level.Float()
			margin := level - c.Settings.FloorDBm
			st.Level, st.Margin = &level, &margin
		}
		mean, _ := ExpectedLevel(c, t, o)
		expected := hundredths(mean)
		st.Expected = &expected
		out = append(out, st)
	}
	return out
}

// hundredths rounds a figure in dB to what a reader can use of it.
func hundredths(x float64) float64 { return math.Round(x*100) / 100 }
