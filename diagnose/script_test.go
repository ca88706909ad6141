package diagnose

import (
	"fmt"
	"strings"
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

// drawn writes a path in one line: children of a fork in brackets, what nobody
// said after a question mark, lengths and outputs where known.
func drawn(p Path) string {
	var draw func(i int) string
	draw = func(i int) string {
		e := p.Elements[i]
		s := strings.ReplaceAll(e.ID, " ", "")
		if e.Assumed {
			s += "?"
		}
		if e.LengthFt > 0 {
			s += fmt.Sprintf("=%g", e.LengthFt)
		}
		if e.Room != "" {
			s += "@" + e.Room
		}
		if e.Removed {
			s += "!removed"
		}
		kids := p.Children(i)
		switch len(kids) {
		case 0:
			return s
		case 1:
			return s + " " + draw(kids[0])
		}
		var parts []string
		for _, k := range kids {
			parts = append(parts, fmt.Sprintf("%d: %s", p.Elements[k].Port, draw(k)))
		}
		return s + " [" + strings.Join(parts, " | ") + "]"
	}
	if len(p.Elements) == 0 {
		return ""
	}
	return draw(0)
}
