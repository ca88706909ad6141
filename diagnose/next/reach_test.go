package next

import (
	"math"
	"testing"

	"downlead/diagnose/calltest"
	"downlead/diagnose/fault"
	"downlead/diagnose/level"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

func oneRoom() trace.Call {
	return trace.Call{
		Path: path.Path{
			Elements: []path.PathElement{
				{ID: "dish 1", Element: entry.Dish},
				{ID: "lnb 1", Element: entry.LNB},
				{ID: "cable 1", Element: entry.Cable, LengthFt: 60},
				{ID: "wall_plate 1", Element: entry.WallPlate},
				{ID: "receiver 1", Element: entry.Receiver},
			},
			Parent: []int{-1, 0, 1, 2, 3},
		},
		Settings: trace.Settings{FloorDBm: -50, TemperatureF: 68}, Versions: make([]int, 5),
	}
}

func readAt(c *trace.Call, e int, side entry.Side, level string) {
	v := entry.Pass
	if calltest.Dec(level).Float() < -50 {
		v = entry.Fail
	}
	c.Observations = append(c.Observations, trace.Observation{
		Seq: int64(len(c.Observations) + 1), Element: e, Side: side, Round: 1, Versions: make([]int, len(c.Versions)),
		Reading: entry.Reading{Verdict: v, Level: calltest.Dec(level)},
	})
}

// A point read twice with the same parts has said what it can; once, it has
// not. A judgement: one more than a misread needs.
func TestAPointReadTwiceIsWorn(t *testing.T) {
	c := oneRoom()
	for times := range 4 {
		m := fault.NewModel(c, level.BuiltinTables(), c.Path.Points())
		p := NewPlanner(m, fault.Conclusion{}, level.Options{})
		for x, pl := range m.Places {
			if at := c.Path.Elements[pl.Element].Element == entry.Receiver; p.worn[x] != (at && times >= 2) {
				t.Errorf("after %d readings behind the receiver, place %d counts as worn: %v", times, x, p.worn[x])
			}
		}
		readAt(&c, 4, entry.DishSide, "-56")
	}
}

// The minutes between two rooms are those of the table.
func TestMinutesToAnotherRoom(t *testing.T) {
	tab := level.BuiltinTables()
	tab.Minutes.OtherRoom = 7
	c := oneRoom()
	c.Path = path.Path{
		Elements: []path.PathElement{
			{ID: "dish 1", Element: entry.Dish},
			{ID: "lnb 1", Element: entry.LNB},
			{ID: "splitter 1", Element: entry.Splitter, Ways: 2},
			{ID: "receiver 1", Element: entry.Receiver, Port: 1, Room: "kitchen"},
			{ID: "receiver 2", Element: entry.Receiver, Port: 2, Room: "hall"},
		},
		Parent: []int{-1, 0, 1, 2, 2},
	}
	readAt(&c, 3, entry.DishSide, "-40")
	n := Infer(c, level.Options{Tables: tab}).Next
	if n == nil || n.ID != "receiver 2" {
		t.Fatalf("next is %+v, not the receiver in the other room", n)
	}
	calltest.Near(t, "minutes to read in the other room", n.Minutes, 7+tab.Minutes.Measure, 1e-9, "the table's figures, by hand")
}

// A reading that stands is not proposed again without a word on why.
func TestReadAgainSaysWhy(t *testing.T) {
	c := oneRoom()
	readAt(&c, 4, entry.DishSide, "-56")
	for range 12 {
		inf := Infer(c, level.Options{})
		if inf.Next == nil || inf.Next.Act != ActRead {
			return
		}
		for x, pl := range c.Path.Points() {
			if c.Path.PointAt(pl) != inf.Next.Point {
				continue
			}
			m := fault.NewModel(c, level.BuiltinTables(), c.Path.Points())
			if again := timesRead(m, m.Places[x]) > 0; again && inf.Next.Code != WhyConfirm && inf.Next.Code != WhyDisagree {
				t.Errorf("%s is read again because of %q", inf.Next.ID, inf.Next.Code)
			}
			readAt(&c, pl.Element, pl.Side, "-50.5")
			break
		}
	}
}

// In a thunderstorm nobody is sent to the roof; the ground block outside and the
// rooms stay (OSHA 1926.1053 and common practice, from memory: no ladder in
// lightning or high wind).
func TestWeatherKeepsFromTheRoofAlone(t *testing.T) {
	c := oneRoom()
	c.Settings.Weather = "lightning"
	m := fault.NewModel(c, level.BuiltinTables(), c.Path.Points())
	for zone, kept := range map[string]bool{level.ZoneRoof: true, "outside": false, level.ZoneRoom: false} {
		if got := unsafe(m, stand{zone: zone}) != ""; got != kept {
			t.Errorf("%s: kept away %v", zone, got)
		}
		if cost := Cost(m, stand{zone: zone}); math.IsInf(cost, 1) != kept {
			t.Errorf("%s costs %g minutes", zone, cost)
		}
	}
}

// The next reading is spoken of as most were so far: a bare verdict, or a level.
func TestTheNextReadingIsOfTheKindOfMost(t *testing.T) {
	for _, k := range []struct{ bare, levels int }{{0, 1}, {1, 0}, {1, 1}, {2, 1}, {1, 2}, {3, 2}, {0, 0}} {
		c := oneRoom()
		for range k.levels {
			readAt(&c, 4, entry.DishSide, "-56")
		}
		for range k.bare {
			readAt(&c, 4, entry.DishSide, "-56")
			c.Observations[len(c.Observations)-1].Reading.Level = entry.Decimal{}
		}
		p := NewPlanner(fault.NewModel(c, level.BuiltinTables(), c.Path.Points()), fault.Conclusion{}, level.Options{})
		if got := p.quantity() == ReadVerdict; got != (k.bare > k.levels) {
			t.Errorf("after %d verdicts and %d levels it asks for a verdict: %v", k.bare, k.levels, got)
		}
	}
}

// A part is mended unread where the share of times that it is in vain, times
// what that costs (25 minutes for the customer's sake, the work, and the
// readings all the same), is less than the readings: (1-p)(25+work+readings) <
// readings. A judgement of this product, as its model states it.
func TestMendingInVainCostsItsMinutes(t *testing.T) {
	tab, c := level.BuiltinTables(), oneRoom()
	tab.Minutes.Needless = 25
	readAt(&c, 4, entry.DishSide, "-56")
	m := fault.NewModel(c, tab, c.Path.Points())
	p := NewPlanner(m, fault.Conclusion{Marginals: []float64{0, 0, 0, 0.85, 0}}, level.Options{Tables: tab})
	const plate = 3
	even := 0.15 / 0.85 * (25 + p.workMinutes(plate)) // minutes of readings at which both cost the same
	for _, tt := range []struct {
		readings float64
		want     int
	}{{even - 0.1, -1}, {even + 0.1, plate}} {
		if got := p.cheaper(&Next{Minutes: 0.01}, tt.readings); got != tt.want {
			t.Errorf("readings of %.2f min, even at %.2f: mends %d, want %d", tt.readings, even, got, tt.want)
		}
	}
}
