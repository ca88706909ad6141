package figure

import (
	"bytes"
	"strings"
	"testing"

	"downlead/diagnose/path"
	"downlead/export/closeout"
	"downlead/grammar/entry"
)

// Of several transponders at one point the plot shows the lowest, which decides
// whether the point passes; no signal is lower than any level.
func TestTheLowestOfSeveralIsDrawn(t *testing.T) {
	at := func(id string, side entry.Side, levels ...int64) (out []closeout.BeforeAfter) {
		for i, dBm := range levels {
			r := closeout.Reading{Verdict: entry.Fail, Transponder: i + 1, Level: entry.NewDecimal(dBm, 0)}
			if dBm == 0 {
				r.Level, r.NoSignal = entry.Decimal{}, true
			}
			out = append(out, closeout.BeforeAfter{ID: id, Name: id, Point: entry.Point{Side: side}, Before: &r})
		}
		return out
	}
	c := closeout.Closeout{Path: []path.PathElement{
		{ID: "dish", Element: entry.Dish}, {ID: "ground_block", Element: entry.GroundBlock, Parent: "dish"}, {ID: "receiver", Element: entry.Receiver, Parent: "ground_block"},
	}}
	c.Points = append(c.Points, at("ground_block", entry.DishSide, -44, -51, -47)...)
	c.Points = append(c.Points, at("ground_block", entry.ReceiverSide, -60, 0, -58)...)
	c.Points = append(c.Points, at("receiver", entry.DishSide, -63)...)
	plots := LevelPlots(c)
	if len(plots) != 1 || len(plots[0].at) != 3 {
		t.Fatalf("%+v", plots)
	}
	for i, want := range []string{"-51", "", "-63"} {
		if r := plots[0].at[i].before; r.Level.String() != want || r.NoSignal != (want == "") {
			t.Errorf("point %d shows %q, no signal %v; want %q", i+1, r.Level, r.NoSignal, want)
		}
	}
	var svg bytes.Buffer
	if err := LevelSVG(c, &svg); err != nil {
		t.Fatal(err)
	}
	if s := svg.String(); !strings.Contains(s, "ground_block, lowest of 3: FAIL, -51") || strings.Contains(s, ">-44<") {
		t.Errorf("drawn: %s", s)
	}
}
