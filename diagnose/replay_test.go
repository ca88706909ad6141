package diagnose

import (
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"

	"downlead/grammar"
)

func TestRoundsAndVersions(t *testing.T) {
	c := replay(recordsOf(
		chainOf(oneReceiver),
		read("receiver #1", "fail", "-60"),
		read("ground_block dish", "pass", "-38"),
		replaced("ground_block"),
		read("receiver #1", "fail", "-55"),
		read("ground_block dish", "pass", "-38"),
		grammar.Action{Action: "re_terminated", Element: grammar.Fitting, At: ptr(at("wall_plate receiver"))},
		read("receiver #1", "pass", "-45"),
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
	c := replay(recordsOf(
		chainOf(oneReceiver), insertOf("ground_block, barrel, wall_plate"),
		read("receiver #1", "fail", "-60"),
		grammar.Action{Action: "removed", Element: grammar.Barrel},
		read("receiver #1", "pass", "-45"),
		grammar.Action{Action: "added", Element: grammar.Diplexer, At: ptr(at("ground_block")), To: ptr(at("wall_plate"))},
		read("receiver #1", "pass", "-46"),
	))
	barrel, diplexer := c.Path.Index("barrel 1"), c.Path.Index("diplexer 1")
	var got [][]int
	for _, o := range c.Observations {
		got = append(got, []int{o.Round, o.Versions[barrel], o.Versions[diplexer]})
	}
	if diff := cmp.Diff([][]int{{1, 0, Absent}, {2, Absent, Absent}, {3, Absent, 0}}, got); diff != "" {
		t.Errorf("round, barrel, diplexer (-want +got):\n%s", diff)
	}
	if c.Versions[barrel] != Absent || c.Versions[diplexer] != 0 {
		t.Errorf("versions now: barrel %d, diplexer %d", c.Versions[barrel], c.Versions[diplexer])
	}
}

func TestWhatARepairTouches(t *testing.T) {
	tests := []struct {
		name   string
		action grammar.Action
		want   []string
	}{
		{"a part", replaced("ground_block"), []string{"ground_block 1"}},
		{"the dish", grammar.Action{Action: "re_aimed", Element: grammar.Dish}, []string{"dish 1"}},
		{"cable between two parts", grammar.Action{Action: "replaced", Element: grammar.Cable, LengthFt: dec("30"), At: ptr(at("ground_block")), To: ptr(at("wall_plate"))}, []string{"cable 2"}},
		{"cable by its length", grammar.Action{Action: "replaced", Element: grammar.Cable, LengthFt: dec("60")}, []string{"cable 1"}},
		{"fittings on the dish side", grammar.Action{Action: "tightened", Element: grammar.Fitting, Quantity: 2, At: ptr(at("ground_block dish"))}, []string{"ground_block 1", "cable 1"}},
		{"fittings where the meter was last", grammar.Action{Action: "tightened", Element: grammar.Fitting}, []string{"wall_plate 1", "cable 2"}},
		{"a part that nobody had named", replaced("power_inserter"), []string{"power_inserter 1"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := replay(recordsOf(chainOf(oneReceiver), read("wall_plate dish", "fail"), tt.action))
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
	records := recordsOf(
		chainOf(oneReceiver), read("receiver #1", "fail", "-57"), read("ground_block dish", "fail", "-58"),
		grammar.Correction{Verb: "scratch", Count: 1},
		read("wall_plate dish", "pass", "-41"),
	)
	records[4].Unconfirmed = true
	c := Replay(records)
	if len(c.Observations) != 1 || c.Observations[0].Seq != 2 {
		t.Errorf("got %d readings: %+v", len(c.Observations), c.Observations)
	}
	if phase := PhaseOf(records); phase != Tracing {
		t.Errorf("phase %s", phase)
	}
}

func TestSettings(t *testing.T) {
	number := func(name, value string, slot int) grammar.Setting {
		return grammar.Setting{Name: name, Value: dec(value), Slot: slot}
	}
	c := replay(recordsOf(number("threshold", "75", 0), number("threshold", "70", 110), number("floor_dbm", "-48", 0), number("temperature_f", "90", 0), grammar.Setting{Name: "weather", Text: "rain"}))
	want := Settings{FloorDBm: -48, Threshold: 75, ThresholdFor: map[int]float64{110: 70}, TemperatureF: 90, Weather: "rain"}
	if diff := cmp.Diff(want, c.Settings); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(Settings{FloorDBm: -50, TemperatureF: 68, Weather: "dry", ThresholdFor: map[int]float64{}}, replay(nil).Settings); diff != "" {
		t.Errorf("unset (-want +got):\n%s", diff)
	}
}

// entriesFrom makes entries of any bytes, sensible or not.
func entriesFrom(data []byte) []grammar.Entry {
	next := func() int {
		if len(data) == 0 {
			return 0
		}
		b := data[0]
		data = data[1:]
		return int(b)
	}
	kinds := []grammar.Element{
		grammar.Dish, grammar.LNB, grammar.Cable, grammar.Jumper, grammar.Fitting, grammar.GroundBlock, grammar.Barrel, grammar.WallPlate,
		grammar.Splitter, grammar.Tap, grammar.Multiswitch, grammar.Diplexer, grammar.Triplexer, grammar.PowerInserter, grammar.Receiver, "",
	}
	rooms := []string{"", "", "", "kitchen", "bedroom"}
	kind := func() grammar.Element { return kinds[next()%len(kinds)] }
	point := func() grammar.Point {
		return grammar.Point{
			Element: kind(), Number: max(0, next()%6-2), Side: []grammar.Side{"", grammar.DishSide, grammar.ReceiverSide}[next()%3],
			Port: max(0, next()%6-2), Room: rooms[next()%len(rooms)],
		}
	}
	maybe := func() *grammar.Point {
		if next()%2 == 0 {
			return nil
		}
		return ptr(point())
	}
	var out []grammar.Entry
	for len(data) > 0 && len(out) < 40 {
		switch next() % 6 {
		case 0, 1:
			out = append(out, grammar.Reading{
				Point: point(), Verdict: []grammar.Verdict{"", grammar.Pass, grammar.Fail}[next()%3], Level: grammar.NewDecimal(-int64(next()%80), 0),
				NoSignal: next()%8 == 0, Slot: next() % 3 * 110, Transponder: next() % 33, Volts: grammar.NewDecimal(int64(next()%25), 0),
			})
		case 2, 3:
			p := grammar.Path{Verb: []string{"", "insert"}[next()%2]}
			for range next() % 8 {
				p.Elements = append(p.Elements, grammar.PathElement{
					Element: kind(), Number: max(0, next()%6-2), Port: max(0, next()%6-2), Room: rooms[next()%len(rooms)],
					LengthFt: grammar.NewDecimal(int64(next()), 0), Ways: next() % 5,
				})
			}
			out = append(out, p)
		case 4:
			out = append(out, grammar.Action{
				Action:  []string{"replaced", "re_terminated", "tightened", "re_aimed", "removed", "added", "rerouted"}[next()%7],
				Element: kind(), Number: max(0, next()%6-2), Room: rooms[next()%len(rooms)], At: maybe(), To: maybe(),
			})
		case 5:
			out = append(out, grammar.Check{Check: []string{"outlet", "input_test", "dish", "grounding"}[next()%4], Verdict: []grammar.Verdict{"", grammar.Pass, grammar.Fail}[next()%3], Point: maybe()})
		}
	}
	return out
}

// soundCall fails unless what a replay gave hangs together; everything the
// package concludes from it must come without a panic.
func soundCall(t testing.TB, entries []grammar.Entry) {
	t.Helper()
	records := recordsOf(entries...)
	c := replay(records)
	wholeTree(t, c.Path)
	if len(c.Versions) != len(c.Path.Elements) {
		t.Fatalf("%d versions of %d elements", len(c.Versions), len(c.Path.Elements))
	}
	for _, o := range c.Observations {
		if o.Element < 0 || o.Element >= len(c.Path.Elements) || o.Round < 1 || len(o.Versions) != len(c.Versions) || o.Side == "" {
			t.Fatalf("reading %d is placed badly: %+v", o.Seq, o)
		}
	}
	for _, s := range c.spans() {
		if len(s.elements) == 0 {
			t.Fatalf("a bracket with nothing in it: %+v in %s", s, drawn(c.Path))
		}
	}
	for _, pl := range c.Path.Points() {
		if got := c.Path.Find(c.Path.PointAt(pl)); len(got) != 1 || got[0] != pl.Element {
			t.Fatalf("point %v is found as %v, want %d in %s", c.Path.PointAt(pl), got, pl.Element, drawn(c.Path))
		}
	}
	p := newProgress(c)
	steps, _ := p.plan()
	d := Diagnosis{
		Path: c.Path.now(), Points: c.pointStates(nil), Brackets: c.brackets(), Findings: c.findings(Options{}),
		Contradictions: c.contradictions(), Phase: p.phase(), Missing: missing(steps),
	}
	if Answer(d) == "" || Explain(d, c) == "" || len(CustomerExplanation(records, d)) != 3 {
		t.Fatal("nothing said")
	}
	Cautions(records)
	HistoryText(nil, records)
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
