package diagnose

import (
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"

	"downlead/diagnose/call"
	"downlead/diagnose/calltest"
	"downlead/diagnose/claim"
	"downlead/diagnose/level"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

func TestRoundsAndVersions(t *testing.T) {
	c := trace.ReplayCurrent(calltest.RecordsOf(
		calltest.ChainOf(calltest.OneReceiver),
		calltest.Read("receiver #1", "fail", "-60"),
		calltest.Read("ground_block dish", "pass", "-38"),
		calltest.Replaced("ground_block"),
		calltest.Read("receiver #1", "fail", "-55"),
		calltest.Read("ground_block dish", "pass", "-38"),
		entry.Action{Action: "re_terminated", Element: entry.Fitting, At: calltest.Ptr(calltest.At("wall_plate receiver"))},
		calltest.Read("receiver #1", "pass", "-45"),
	))
	gb, wp, jumper := c.Path.Index("ground_block 1"), c.Path.Index("wall_plate 1"), c.Path.Index("jumper 1")
	type row struct{ Round, Block, Plate, Jumper int }
	var got []row
	for _, o := range c.Observations {
		got = append(got, row{o.Round, o.Versions[gb], o.Versions[wp], o.Versions[jumper]})
	}
	want := []row{{1, 0, 0, 0}, {1, 0, 0, 0}, {2, 1, 0, 0}, {1, 1, 0, 0}, {3, 1, 1, 1}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("rounds and versions (-want +got):\n%s", diff)
	}
	if got := []int{c.Versions[gb], c.Versions[wp], c.Versions[0]}; !cmp.Equal(got, []int{1, 1, 0}) {
		t.Errorf("versions now %v", got)
	}
	if diff := cmp.Diff([][]int{{gb}, {wp, jumper}}, [][]int{c.Repairs[0].Elements, c.Repairs[1].Elements}); diff != "" {
		t.Errorf("touched (-want +got):\n%s", diff)
	}
}

func TestPartsPutInAndTakenOut(t *testing.T) {
	c := trace.ReplayCurrent(calltest.RecordsOf(
		calltest.ChainOf(calltest.OneReceiver), calltest.InsertOf("ground_block, barrel, wall_plate"),
		calltest.Read("receiver #1", "fail", "-60"),
		entry.Action{Action: "removed", Element: entry.Barrel},
		calltest.Read("receiver #1", "pass", "-45"),
		entry.Action{Action: "added", Element: entry.Diplexer, At: calltest.Ptr(calltest.At("ground_block")), To: calltest.Ptr(calltest.At("wall_plate"))},
		calltest.Read("receiver #1", "pass", "-46"),
	))
	barrel, diplexer := c.Path.Index("barrel 1"), c.Path.Index("diplexer 1")
	var got [][]int
	for _, o := range c.Observations {
		got = append(got, []int{o.Round, o.Versions[barrel], o.Versions[diplexer]})
	}
	if diff := cmp.Diff([][]int{{1, 0, trace.Absent}, {2, trace.Absent, trace.Absent}, {3, trace.Absent, 0}}, got); diff != "" {
		t.Errorf("round, barrel, diplexer (-want +got):\n%s", diff)
	}
	if c.Versions[barrel] != trace.Absent || c.Versions[diplexer] != 0 {
		t.Errorf("versions now: barrel %d, diplexer %d", c.Versions[barrel], c.Versions[diplexer])
	}
}

func TestWhatARepairTouches(t *testing.T) {
	tests := []struct {
		name   string
		action entry.Action
		want   []string
	}{
		{"a part", calltest.Replaced("ground_block"), []string{"ground_block 1"}},
		{"the dish", entry.Action{Action: "re_aimed", Element: entry.Dish}, []string{"dish 1"}},
		{"cable between two parts", entry.Action{Action: "replaced", Element: entry.Cable, LengthFt: calltest.Dec("30"), At: calltest.Ptr(calltest.At("ground_block")), To: calltest.Ptr(calltest.At("wall_plate"))}, []string{"cable 2"}},
		{"cable by its length", entry.Action{Action: "replaced", Element: entry.Cable, LengthFt: calltest.Dec("60")}, []string{"cable 1"}},
		{"fittings on the dish side", entry.Action{Action: "tightened", Element: entry.Fitting, Quantity: 2, At: calltest.Ptr(calltest.At("ground_block dish"))}, []string{"ground_block 1", "cable 1"}},
		{"fittings where the meter was last", entry.Action{Action: "tightened", Element: entry.Fitting}, []string{"wall_plate 1", "cable 2"}},
		{"a part that nobody had named", calltest.Replaced("power_inserter"), []string{"power_inserter 1"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := trace.ReplayCurrent(calltest.RecordsOf(calltest.ChainOf(calltest.OneReceiver), calltest.Read("wall_plate dish", "fail"), tt.action))
			var got []string
			for _, i := range c.Repairs[0].Elements {
				got = append(got, c.Path.Elements[i].ID)
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

// Corrections are the journal's business; what it takes away is not replayed.
func TestWhatWasTakenBackDoesNotCount(t *testing.T) {
	records := calltest.RecordsOf(
		calltest.ChainOf(calltest.OneReceiver), calltest.Read("receiver #1", "fail", "-57"), calltest.Read("ground_block dish", "fail", "-58"),
		entry.Correction{Verb: "scratch", Count: 1},
		calltest.Read("wall_plate dish", "pass", "-41"),
	)
	records[4].Unconfirmed = true
	c := trace.Replay(records)
	if len(c.Observations) != 1 || c.Observations[0].Seq != 2 {
		t.Errorf("got %d readings: %+v", len(c.Observations), c.Observations)
	}
	if phase := call.PhaseOf(records); phase != call.Tracing {
		t.Errorf("phase %s", phase)
	}
}

func TestSettings(t *testing.T) {
	number := func(name, value string, slot int) entry.Setting {
		return entry.Setting{Name: name, Value: calltest.Dec(value), Slot: slot}
	}
	c := trace.ReplayCurrent(calltest.RecordsOf(number("threshold", "75", 0), number("threshold", "70", 110), number("floor_dbm", "-48", 0), number("temperature_f", "90", 0), entry.Setting{Name: "weather", Text: "rain"}))
	want := trace.Settings{FloorDBm: -48, Threshold: 75, ThresholdFor: map[int]float64{110: 70}, TemperatureF: 90, Weather: "rain"}
	if diff := cmp.Diff(want, c.Settings); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(trace.Settings{FloorDBm: -50, TemperatureF: 68, Weather: "dry", ThresholdFor: map[int]float64{}}, trace.ReplayCurrent(nil).Settings); diff != "" {
		t.Errorf("unset (-want +got):\n%s", diff)
	}
}

// entriesFrom makes entries of any bytes, sensible or not.
func entriesFrom(data []byte) []entry.Entry {
	next := func() int {
		if len(data) == 0 {
			return 0
		}
		b := data[0]
		data = data[1:]
		return int(b)
	}
	kinds := []entry.Element{
		entry.Dish, entry.LNB, entry.Cable, entry.Jumper, entry.Fitting, entry.GroundBlock, entry.Barrel, entry.WallPlate,
		entry.Splitter, entry.Tap, entry.Multiswitch, entry.Diplexer, entry.Triplexer, entry.PowerInserter, entry.Receiver, "",
	}
	rooms := []string{"", "", "", "kitchen", "bedroom"}
	kind := func() entry.Element { return kinds[next()%len(kinds)] }
	point := func() entry.Point {
		return entry.Point{
			Element: kind(), Number: max(0, next()%6-2), Side: []entry.Side{"", entry.DishSide, entry.ReceiverSide}[next()%3],
			Port: max(0, next()%6-2), Room: rooms[next()%len(rooms)],
		}
	}
	maybe := func() *entry.Point {
		if next()%2 == 0 {
			return nil
		}
		return calltest.Ptr(point())
	}
	var out []entry.Entry
	for len(data) > 0 && len(out) < 40 {
		switch next() % 6 {
		case 0, 1:
			out = append(out, entry.Reading{
				Point: point(), Verdict: []entry.Verdict{"", entry.Pass, entry.Fail}[next()%3], Level: entry.NewDecimal(-int64(next()%80), 0),
				NoSignal: next()%8 == 0, Slot: next() % 3 * 110, Transponder: next() % 33, Volts: entry.NewDecimal(int64(next()%25), 0),
			})
		case 2, 3:
			p := entry.Path{Verb: []string{"", "insert"}[next()%2]}
			for range next() % 8 {
				p.Elements = append(p.Elements, entry.PathElement{
					Element: kind(), Number: max(0, next()%6-2), Port: max(0, next()%6-2), Room: rooms[next()%len(rooms)],
					LengthFt: entry.NewDecimal(int64(next()), 0), Ways: next() % 5,
				})
			}
			out = append(out, p)
		case 4:
			out = append(out, entry.Action{
				Action:  []string{"replaced", "re_terminated", "tightened", "re_aimed", "removed", "added", "rerouted"}[next()%7],
				Element: kind(), Number: max(0, next()%6-2), Room: rooms[next()%len(rooms)], At: maybe(), To: maybe(),
			})
		case 5:
			out = append(out, entry.Check{Check: []string{"outlet", "input_test", "dish", "grounding"}[next()%4], Verdict: []entry.Verdict{"", entry.Pass, entry.Fail}[next()%3], Point: maybe()})
		}
	}
	return out
}

// soundCall fails unless what a replay gave hangs together; everything the
// package concludes from it must come without a panic.
func soundCall(t testing.TB, entries []entry.Entry) {
	t.Helper()
	records := calltest.RecordsOf(entries...)
	c := trace.ReplayCurrent(records)
	wholeTree(t, c.Path)
	if len(c.Versions) != len(c.Path.Elements) {
		t.Fatalf("%d versions of %d elements", len(c.Versions), len(c.Path.Elements))
	}
	for _, o := range c.Observations {
		if o.Element < 0 || o.Element >= len(c.Path.Elements) || o.Round < 1 || len(o.Versions) != len(c.Versions) || o.Side == "" {
			t.Fatalf("reading %d is placed badly: %+v", o.Seq, o)
		}
	}
	for _, s := range c.Spans() {
		if len(s.Elements) == 0 {
			t.Fatalf("a bracket with nothing in it: %+v in %s", s, drawn(c.Path))
		}
	}
	for _, pl := range c.Path.Points() {
		if got := c.Path.Find(c.Path.PointAt(pl)); len(got) != 1 || got[0] != pl.Element {
			t.Fatalf("point %v is found as %v, want %d in %s", c.Path.PointAt(pl), got, pl.Element, drawn(c.Path))
		}
	}
	p := call.NewProgress(c)
	d := claim.Outline(records)
	d.Brackets, d.Findings = c.Brackets(), claim.Findings(c, level.Options{})
	if claim.Answer(d) == "" || claim.Explain(d, c) == "" || len(claim.CustomerExplanation(p, d)) != 3 {
		t.Fatal("nothing said")
	}
	call.Cautions(p, -1, "")
	call.HistoryText(nil, records)
}

func TestReplayOfAnything(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 1))
	for range 500 {
		data := make([]byte, r.IntN(400))
		for i := range data {
			data[i] = byte(r.IntN(256))
		}
		soundCall(t, entriesFrom(data))
	}
}

func FuzzReplay(f *testing.F) {
	f.Add([]byte("path"))
	f.Add([]byte{2, 0, 5, 1, 3, 0, 0, 60, 0, 4, 2, 1, 8, 7, 0, 3, 200, 1})
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 600 {
			return
		}
		soundCall(t, entriesFrom(data))
	})
}
