package figure

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"downlead/diagnose/level"
	"downlead/diagnose/path"
	"downlead/export/closeout"
	"downlead/grammar/entry"
)

// threePoints is a branch read at three points, on several transponders.
func threePoints() closeout.Closeout {
	c := closeout.Closeout{Path: []path.PathElement{
		{ID: "dish", Element: entry.Dish}, {ID: "ground_block", Element: entry.GroundBlock, Parent: "dish"}, {ID: "receiver", Element: entry.Receiver, Parent: "ground_block"},
	}}
	c.Limits.FloorDBm = entry.NewDecimal(-50, 0) // common practice, no source
	at := func(id string, e entry.Element, side entry.Side, levels ...int64) {
		p := level.PointState{ID: id, Point: entry.Point{Element: e, Side: side}, Verdict: entry.Fail, Round: 1}
		for i, dBm := range levels {
			r := closeout.Reading{Entry: int64(len(c.Readings) + 1), ID: id, Verdict: entry.Fail, Transponder: i + 1, Level: entry.NewDecimal(dBm, 0), Round: 1}
			if dBm == 0 {
				r.Level, r.NoSignal = entry.Decimal{}, true
			}
			c.Readings, p.Entries = append(c.Readings, r), append(p.Entries, r.Entry)
		}
		c.Now = append(c.Now, p)
	}
	at("ground_block", entry.GroundBlock, entry.DishSide, -44, -51, -47)
	at("ground_block", entry.GroundBlock, entry.ReceiverSide, -60, 0, -58)
	at("receiver", entry.Receiver, entry.DishSide, -63)
	return c
}

// Of several transponders at one point the figure shows the lowest, which decides
// whether the point passes; no signal is lower than any level.
func TestTheLowestOfSeveralIsDrawn(t *testing.T) {
	c := threePoints()
	levels := NewLevels(c, Screen())
	if len(levels) != 1 || len(levels[0].Rows) != 3 {
		t.Fatalf("%+v", levels)
	}
	for i, want := range []string{"−51 fail, worst of 3", "no signal fail, worst of 3", "−63 fail"} {
		if m := levels[0].Rows[i].Marks; len(m) != 1 || m[0].Label != want {
			t.Errorf("point %d shows %+v, want %q", i+1, m, want)
		}
	}
	var svg bytes.Buffer
	if err := LevelSVG(c, &svg); err != nil {
		t.Fatal(err)
	}
	if s := svg.String(); !strings.Contains(s, "ground block, dish side: −51 fail, worst of 3 as found") || strings.Contains(s, ">−44") {
		t.Errorf("drawn: %s", s)
	}
}

// A figure longer than a page goes on in a second one, and leaves no point out.
func TestALongBranchGoesOn(t *testing.T) {
	c := threePoints()
	var names []string
	for i := range 60 {
		r, p := c.Readings[0], c.Now[0]
		r.Entry = int64(1000 + i)
		p.Entries, p.Point.Room = []int64{r.Entry}, strings.Repeat("x", i+1)
		c.Readings, c.Now, names = append(c.Readings, r), append(c.Now, p), append(names, p.Point.Room+" ground block, dish side")
	}
	levels := NewLevels(c, Screen())
	var drawn []string
	for _, f := range levels {
		if f.Height > 1400 {
			t.Errorf("%s is %d high", f.To, f.Height)
		}
		for _, r := range f.Rows {
			drawn = append(drawn, r.Name)
		}
	}
	for _, n := range names {
		if !slices.Contains(drawn, n) {
			t.Errorf("%s is in no figure", n)
		}
	}
	if len(levels) < 2 || levels[0].ID == levels[1].ID {
		t.Errorf("%d figures", len(levels))
	}
}

// What fails close to the floor has its words on its own side of the floor's line,
// where they have room there.
func TestWordsOfAFailStayBelowTheFloor(t *testing.T) {
	c := threePoints()
	c.Readings = slices.DeleteFunc(c.Readings, func(r closeout.Reading) bool { return r.Transponder > 1 })
	c.Readings[0].Level, c.Readings[1].Level = entry.NewDecimal(-36, 0), entry.NewDecimal(-52, 0)
	f := NewLevels(c, Screen())[0]
	m := f.Rows[1].Marks[0]
	if m.Label != "−52 fail" || m.X >= f.FloorX || m.Side != "end" || m.TextX >= m.X {
		t.Errorf("%+v, the floor is at %d", m, f.FloorX)
	}
	if far := f.Rows[2].Marks[0]; far.Side != "start" { // its words end before the line
		t.Errorf("%+v, the floor is at %d", far, f.FloorX)
	}
}

// A signal read twice in one round shows what was read last: that is what counts.
func TestTheLastOfOneSignalIsDrawn(t *testing.T) {
	c := threePoints()
	again := c.Readings[len(c.Readings)-1]
	again.Entry, again.Level, again.Verdict = 99, entry.NewDecimal(-44, 0), entry.Pass
	c.Readings = append(c.Readings, again)
	c.Now[2].Entries = append(c.Now[2].Entries, 99)
	if m := NewLevels(c, Screen())[0].Rows[2].Marks; len(m) != 1 || m[0].Label != "−44 pass" {
		t.Errorf("shows %+v, want −44 pass", m)
	}
}
