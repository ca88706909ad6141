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

// near3 reports whether two numbers agree within the tolerance.
func near3(got, want, tolerance float64) bool { return math.Abs(got-want) <= tolerance }
