package figure

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"downlead/diagnose/level"
	"downlead/diagnose/path"
	"downlead/export/closeout"
	"downlead/grammar/entry"
)

// manyRooms is a multiswitch with so many receivers, each read, each in a room
// of a long name.
func manyRooms(n int) closeout.Closeout {
	c := closeout.Closeout{Path: []path.PathElement{{ID: "dish 1", Element: entry.Dish}, {ID: "multiswitch 1", Element: entry.Multiswitch, Parent: "dish 1"}}}
	for i := range n {
		cable, id := fmt.Sprintf("cable %d", i+1), fmt.Sprintf("receiver %d", i+1)
		c.Path = append(c.Path,
			path.PathElement{ID: cable, Element: entry.Cable, Parent: "multiswitch 1", Port: i + 1, LengthFt: 40},
			path.PathElement{ID: id, Element: entry.Receiver, Parent: cable, Room: strings.Repeat("very ", i%12) + "far room"})
		l, v := -40-float64(i), entry.Pass
		if l < -50 { // common practice, no source
			v = entry.Fail
		}
		c.Now = append(c.Now, level.PointState{ID: id, Point: entry.Point{Element: entry.Receiver, Number: i + 1, Side: entry.DishSide}, Verdict: v, Level: &l, Round: 1, Entries: []int64{int64(i + 1)}})
		c.Readings = append(c.Readings, closeout.Reading{Entry: int64(i + 1), ID: id, Verdict: v, Level: entry.NewDecimal(int64(l), 0), Round: 1})
	}
	return c
}

// A figure cut into pages has every row once, in order, on a page that it fits
// on, and its line goes on from each page to the next.
func TestPagesLeaveNothingOut(t *testing.T) {
	whole := NewPath(manyRooms(40), Paper(&Svg{}, 120))
	const first, most = 300, 700
	pages := whole.Pages(first, most)
	var rows []string
	for i, p := range pages {
		room := most
		if i == 0 {
			room = first
		}
		if p.Height > room {
			t.Errorf("page %d is %d high, of %d", i+1, p.Height, room)
		}
		for _, r := range p.Rows {
			rows = append(rows, r.Name)
			if r.Y < 0 || r.Y > p.Height {
				t.Errorf("page %d: %s stands at %d of %d", i+1, r.Name, r.Y, p.Height)
			}
		}
		through := 0
		for _, w := range p.Wires {
			if w.Y1 < 0 || w.Y2 > p.Height || w.Y1 > w.Y2 {
				t.Errorf("page %d: a wire from %d to %d of %d", i+1, w.Y1, w.Y2, p.Height)
			}
			if w.Y2 == p.Height && w.X1 == w.X2 {
				through++
			}
		}
		if last := i == len(pages)-1; last == (through > 0) {
			t.Errorf("page %d of %d: %d wires go on", i+1, len(pages), through)
		}
	}
	var want []string
	for _, r := range whole.Rows {
		want = append(want, r.Name)
	}
	if len(pages) < 3 || !slices.Equal(rows, want) {
		t.Errorf("%d pages, %d rows of %d", len(pages), len(rows), len(want))
	}
	if one := whole.Pages(whole.Height, whole.Height); len(one) != 1 || len(one[0].Wires) != len(whole.Wires) {
		t.Errorf("what fits is parted into %d", len(one))
	}
}

// Words that are too long for the figure go on in further lines, inside it, and
// the row grows with them.
func TestLongWordsStayInside(t *testing.T) {
	for name, st := range map[string]Style{"screen": Screen(), "paper": Paper(&Svg{}, 70)} {
		f := NewPath(manyRooms(14), st)
		var before Row
		for _, r := range f.Rows {
			for _, l := range r.Lines {
				w := 0
				for _, s := range l.Spans {
					w += s.Gap + st.width(s)
				}
				if f.TextX+w > f.Width+1 {
					t.Errorf("%s: %+v ends at %d of %d", name, l, f.TextX+w, f.Width)
				}
			}
			if before.Lines != nil && r.Y+r.Lines[0].DY-(before.Y+before.Lines[len(before.Lines)-1].DY) < 12 {
				t.Errorf("%s: %q stands in %q", name, r.Name, before.Name)
			}
			before = r
		}
	}
}
