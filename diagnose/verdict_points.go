package diagnose

import (
	"downlead/grammar"
)

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

// PointState is what is known at a point now.
type PointState struct {
	Point    grammar.Point   `json:"point"`
	ID       string          `json:"id"` // the element's id in Path
	Verdict  grammar.Verdict `json:"verdict,omitempty"`
	Margin   *float64        `json:"margin_db,omitempty"`
	Level    *float64        `json:"level_dbm,omitempty"`
	Expected *float64        `json:"expected_dbm,omitempty"`
	Round    int             `json:"round"`
	Stale    bool            `json:"stale,omitempty"` // a repair on its dish side came after it
	Entries  []int64         `json:"entries,omitempty"`
}
