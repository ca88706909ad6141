package level

import (
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// PointStates says what is known at every point measured.
func PointStates(c trace.Call, t *Tables) []PointState {
	var out []PointState
	for _, s := range c.Spots() {
		st := PointState{
			Point: c.PointOfSpot(s), ID: c.Path.Elements[s.Last().Element].ID,
			Verdict: s.Verdict, Round: s.Round, Stale: s.Stale, Entries: s.Entries(),
		}
		o, measured := s.Level()
		if !measured {
			o = s.Last()
		}
		if measured {
			level := o.Reading.Level.Float()
			margin := level - c.Settings.FloorDBm
			st.Level, st.Margin = &level, &margin
		}
		for _, q := range s.Now { // the least of the slots that have a limit
			limit := c.Settings.Limit(q.Reading.Slot)
			if spare := q.Reading.Strength.Float() - limit; limit > 0 && q.Reading.Strength.Said() && (st.Points == nil || spare < *st.Points) {
				st.Points = &spare
			}
		}
		mean, _ := ExpectedLevel(c, t, o)
		expected := trace.Hundredths(mean)
		st.Expected = &expected
		out = append(out, st)
	}
	return out
}

// PointState is what is known at a point now.
type PointState struct {
	Point    entry.Point   `json:"point"`
	ID       string        `json:"id"` // the element's id in Path
	Verdict  entry.Verdict `json:"verdict,omitempty"`
	Margin   *float64      `json:"margin_db,omitempty"`
	Points   *float64      `json:"-"` // of the strength above its threshold; nil where none was read, or set
	Level    *float64      `json:"level_dbm,omitempty"`
	Expected *float64      `json:"expected_dbm,omitempty"`
	Round    int           `json:"round"`
	Stale    bool          `json:"stale,omitempty"` // a repair on its dish side came after it
	Entries  []int64       `json:"entries,omitempty"`
}
