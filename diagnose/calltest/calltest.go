package calltest

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"downlead/grammar/entry"
	"downlead/journal/record"
)

// RecordsOf numbers entries as records, a minute apart.
func RecordsOf(entries ...entry.Entry) []record.Record {
	at := time.Date(2026, 11, 2, 8, 0, 0, 0, time.UTC)
	var out []record.Record
	for i, e := range entries {
		out = append(out, record.Record{Seq: int64(i + 1), Draft: record.Draft{
			Job: "4412", At: at.Add(time.Duration(i) * time.Minute), Entry: e,
		}})
	}
	return out
}

func Dec(s string) entry.Decimal {
	d, err := entry.ParseDecimal(s)
	if err != nil {
		panic(err)
	}
	return d
}

// el writes a part of a path phrase: "cable 60", "receiver #2 @kitchen", "splitter :2 /2".
func el(s string) entry.PathElement {
	f := strings.Fields(s)
	e := entry.PathElement{Element: entry.Element(f[0])}
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
			e.LengthFt = Dec(w)
		}
	}
	return e
}

// ChainOf writes a path phrase: "dish, lnb, cable 60, ground_block".
func ChainOf(s string) entry.Path { return entry.Path{Elements: elements(s)} }

func InsertOf(s string) entry.Path {
	return entry.Path{Verb: "insert", Elements: elements(s)}
}

func elements(s string) []entry.PathElement {
	var out []entry.PathElement
	for _, part := range strings.Split(s, ",") {
		out = append(out, el(part))
	}
	return out
}

// At writes a point: "ground_block dish", "receiver #2", "splitter :2".
func At(s string) entry.Point {
	f := strings.Fields(s)
	p := entry.Point{Element: entry.Element(f[0])}
	for _, w := range f[1:] {
		switch w[0] {
		case '#':
			fmt.Sscan(w[1:], &p.Number)
		case ':':
			fmt.Sscan(w[1:], &p.Port)
			p.Side = entry.ReceiverSide
		case '@':
			p.Room = w[1:]
		default:
			p.Side = entry.Side(w)
		}
	}
	return p
}

// Read writes a reading: read("wall_plate dish", "fail", "-53").
func Read(point, verdict string, level ...string) entry.Reading {
	r := entry.Reading{Point: At(point), Verdict: entry.Verdict(verdict)}
	if len(level) > 0 {
		r.Level = Dec(level[0])
	}
	return r
}

func Check(name, verdict string, more ...string) entry.Check {
	c := entry.Check{Check: name, Verdict: entry.Verdict(verdict)}
	if len(more) > 0 {
		c.Remark = more[0]
	}
	return c
}

func Replaced(what string) entry.Action {
	return entry.Action{Action: "replaced", Element: entry.Element(what)}
}

func TwoRooms() []entry.Entry {
	return []entry.Entry{
		ChainOf("dish, lnb, cable 60, ground_block, cable 20, splitter /2"),
		ChainOf("splitter :1, cable 30, wall_plate #1, jumper 6, receiver #1"),
		ChainOf("splitter :2, cable 50, wall_plate #2, jumper 6, receiver #2"),
	}
}

func Ptr[T any](v T) *T { return &v }

func SlotReading(point, verdict string, slot int) entry.Reading {
	r := Read(point, verdict)
	r.Slot = slot
	return r
}

func Near(t *testing.T, what string, got, want, tol float64, source string) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tol {
		t.Errorf("%s: %.9g, want %.9g within %g (%s)", what, got, want, tol, source)
	}
}

const OneReceiver = "dish, lnb, cable 60, ground_block, cable 40, wall_plate, jumper 6, receiver #1"

// Near3 reports whether two numbers agree within the tolerance.
func Near3(got, want, tolerance float64) bool { return math.Abs(got-want) <= tolerance }
