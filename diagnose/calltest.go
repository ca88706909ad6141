package diagnose

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"downlead/grammar"
	"downlead/journal"
)

// recordsOf numbers entries as records, a minute apart.
func recordsOf(entries ...grammar.Entry) []journal.Record {
	at := time.Date(2026, 11, 2, 8, 0, 0, 0, time.UTC)
	var out []journal.Record
	for i, e := range entries {
		out = append(out, journal.Record{Seq: int64(i + 1), Draft: journal.Draft{
			Job: "4412", At: at.Add(time.Duration(i) * time.Minute), Entry: e,
		}})
	}
	return out
}

func dec(s string) grammar.Decimal {
	d, err := grammar.ParseDecimal(s)
	if err != nil {
		panic(err)
	}
	return d
}

// el writes a part of a path phrase: "cable 60", "receiver #2 @kitchen", "splitter :2 /2".
func el(s string) grammar.PathElement {
	f := strings.Fields(s)
	e := grammar.PathElement{Element: grammar.Element(f[0])}
	for _, w := range f[1:] {
		switch w[0] {
		case '#':
			fmt.Sscan(w[1:], &e.Number)
		case ':':
			fmt.Sscan(w[1:], &e.Port)
		case '/':
			fmt.Sscan(w[1:], &e.Ways)
		case '@':
			e.Room = w[1:]
		case '=':
			e.Cable = w[1:]
		default:
			e.LengthFt = dec(w)
		}
	}
	return e
}

// chainOf writes a path phrase: "dish, lnb, cable 60, ground_block".
func chainOf(s string) grammar.Path { return grammar.Path{Elements: elements(s)} }

func insertOf(s string) grammar.Path {
	return grammar.Path{Verb: "insert", Elements: elements(s)}
}

func elements(s string) []grammar.PathElement {
	var out []grammar.PathElement
	for _, part := range strings.Split(s, ",") {
		out = append(out, el(part))
	}
	return out
}

// at writes a point: "ground_block dish", "receiver #2", "splitter :2".
func at(s string) grammar.Point {
	f := strings.Fields(s)
	p := grammar.Point{Element: grammar.Element(f[0])}
	for _, w := range f[1:] {
		switch w[0] {
		case '#':
			fmt.Sscan(w[1:], &p.Number)
		case ':':
			fmt.Sscan(w[1:], &p.Port)
			p.Side = grammar.ReceiverSide
		case '@':
			p.Room = w[1:]
		default:
			p.Side = grammar.Side(w)
		}
	}
	return p
}

// read writes a reading: read("wall_plate dish", "fail", "-53").
func read(point, verdict string, level ...string) grammar.Reading {
	r := grammar.Reading{Point: at(point), Verdict: grammar.Verdict(verdict)}
	if len(level) > 0 {
		r.Level = dec(level[0])
	}
	return r
}

// calls are six invented calls. Each line is one entry, the phase after it,
// and a part of the spoken answer after it. What the steps of a call are is
// common practice, no source.
type callStep struct {
	entry  grammar.Entry
	phase  Phase
	answer string
}

func check(name, verdict string, more ...string) grammar.Check {
	c := grammar.Check{Check: name, Verdict: grammar.Verdict(verdict)}
	if len(more) > 0 {
		c.Remark = more[0]
	}
	return c
}

func replaced(what string) grammar.Action {
	return grammar.Action{Action: "replaced", Element: grammar.Element(what)}
}

func inspectionOf(phase Phase) []callStep {
	return []callStep{
		{check("dish", "pass"), Inspection, "Still to do: mount"},
		{check("mount", "pass"), Inspection, "cabling"},
		{check("cabling", "pass"), Inspection, "components"},
		{check("components", "pass"), Inspection, "grounding"},
		{check("grounding", "pass"), Inspection, "education"},
		{check("education", "pass"), phase, ""},
	}
}

func invented() map[string][]callStep {
	start := grammar.Job{Verb: "start", Number: "4412"}
	arrived := grammar.Time{Mark: "arrived"}
	single := "dish, lnb, cable 60, ground_block, cable 40, wall_plate, jumper 6, receiver #1"
	noSignal := read("receiver #1", "fail")
	noSignal.NoSignal = true
	lnbDead := read("lnb", "fail")
	lnbDead.NoSignal = true
	closing := callStep{grammar.Job{Verb: "close"}, Closed, "closed"}
	return map[string][]callStep{
		"single fault": append(append([]callStep{
			{start, Baseline, "behind the receiver"},
			{grammar.Time{Mark: "en_route"}, Baseline, ""},
			{arrived, Baseline, ""},
			{chainOf(single), Baseline, "behind the receiver"},
			{read("receiver #1 dish", "fail", "-57"), Tracing, "between the dish and the receiver"},
			{read("wall_plate dish", "fail", "-55"), Tracing, "between the dish and the wall plate"},
			{read("ground_block dish", "pass", "-38"), Tracing, "between the ground block and the wall plate"},
			{read("ground_block receiver", "fail", "-51"), Repairing, "in the ground block or its fittings"},
			{replaced("ground_block"), Proving, "Measure behind the receiver again, after the repair"},
			{read("receiver #1 dish", "pass", "-44"), Outlet, "power outlet"},
			{check("outlet", "pass"), InputTest, "input test"},
			{check("input_test", "pass"), Inspection, "dish"},
		}, inspectionOf(Ready)...), closing),
		"double fault": append(append([]callStep{
			{start, Baseline, ""},
			{arrived, Baseline, ""},
			{chainOf(single), Baseline, ""},
			{insertOf("ground_block, splitter /2"), Baseline, ""},
			{chainOf("splitter :2, cable 50, receiver #2 @kitchen"), Baseline, "receiver that fails"},
			{read("receiver #1 dish", "fail", "-60"), Tracing, "dish and receiver one"},
			{read("ground_block receiver", "fail", "-52"), Tracing, "dish and the ground block"},
			{read("ground_block dish", "pass", "-38"), Repairing, "in the ground block"},
			{replaced("ground_block"), Proving, "behind receiver one again"},
			{read("receiver #1 dish", "fail", "-54"), Tracing, "ground block and receiver one"},
			{read("ground_block receiver", "pass", "-39"), Tracing, "ground block and receiver one"},
			{read("splitter :1", "pass", "-44"), Tracing, "between splitter output one and receiver one"},
			{read("wall_plate dish", "pass", "-47"), Tracing, "wall plate and receiver one"},
			{read("wall_plate receiver", "fail", "-53"), Repairing, "in the wall plate"},
			{replaced("wall_plate"), Proving, "behind receiver one again"},
			{read("receiver #1 dish", "pass", "-46"), Outlet, "power outlet"},
			{check("outlet", "pass"), InputTest, ""},
			{check("input_test", "pass"), OtherReceivers, "receiver two in the kitchen"},
			{read("receiver #2", "pass", "-45"), Inspection, "dish"},
		}, inspectionOf(Ready)...), closing),
		"receiver at fault": append(append([]callStep{
			{start, Baseline, ""},
			{arrived, Baseline, ""},
			{read("receiver #1 dish", "pass", "-42"), Outlet, "power outlet"},
			{check("outlet", "pass"), InputTest, "input test"},
			{check("input_test", "fail"), InputTest, "not the coax"},
			{replaced("receiver"), InputTest, "input test again"},
			{check("input_test", "pass"), Inspection, ""},
		}, inspectionOf(Ready)...), closing),
		"no signal at the dish": append(append([]callStep{
			{start, Baseline, ""},
			{arrived, Baseline, ""},
			{noSignal, Tracing, "between the dish and the receiver"},
			{read("ground_block dish", "fail", "-66"), Tracing, "between the dish and the ground block"},
			{lnbDead, Repairing, "at the dish or the LNB"},
			{grammar.Action{Action: "re_aimed", Element: grammar.Dish}, Proving, "behind the receiver again"},
			{read("receiver #1 dish", "fail", "-62"), Tracing, "between the dish and the receiver"},
			{read("lnb", "fail", "-55"), Repairing, "at the dish or the LNB"},
			{replaced("lnb"), Proving, "behind the receiver again"},
			{read("receiver #1 dish", "pass", "-43"), Outlet, ""},
			{check("outlet", "pass"), InputTest, ""},
			{check("input_test", "pass"), Inspection, ""},
		}, inspectionOf(Ready)...), closing),
		"failing outlet": append(append([]callStep{
			{start, Baseline, ""},
			{arrived, Baseline, ""},
			{read("receiver #1 dish", "fail", "-52"), Tracing, ""},
			{read("wall_plate dish", "pass", "-44"), Tracing, "between the wall plate and the receiver"},
			{read("wall_plate receiver", "pass", "-44.5"), Repairing, "in the jumper between the wall plate and the receiver"},
			{replaced("jumper"), Proving, ""},
			{read("receiver #1 dish", "pass", "-45"), Outlet, ""},
			{check("outlet", "fail", "open ground"), Inspection, "licensed electrician"},
		}, inspectionOf(Ready)...), closing),
		"customer not home": {
			{start, Baseline, ""},
			{arrived, Baseline, ""},
			{grammar.Time{Mark: "no_access"}, Ready, "Customer not home"},
			{grammar.Time{Mark: "departed"}, Ready, "closed"},
			closing,
		},
	}
}

func twoRooms() []grammar.Entry {
	return []grammar.Entry{
		chainOf("dish, lnb, cable 60, ground_block, cable 20, splitter /2"),
		chainOf("splitter :1, cable 30, wall_plate #1, jumper 6, receiver #1"),
		chainOf("splitter :2, cable 50, wall_plate #2, jumper 6, receiver #2"),
	}
}

func ptr[T any](v T) *T { return &v }

func slotReading(point, verdict string, slot int) grammar.Reading {
	r := read(point, verdict)
	r.Slot = slot
	return r
}

func near(t *testing.T, what string, got, want, tol float64, source string) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tol {
		t.Errorf("%s: %.9g, want %.9g within %g (%s)", what, got, want, tol, source)
	}
}

const oneReceiver = "dish, lnb, cable 60, ground_block, cable 40, wall_plate, jumper 6, receiver #1"
