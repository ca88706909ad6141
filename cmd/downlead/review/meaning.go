package review

import (
	"fmt"
	"strings"

	"downlead/export/closeout"
	"downlead/export/shown"
	"downlead/grammar/entry"
)

// meaning puts an entry into words, readings with their numbers in figures:
// beside the words as heard, a wrong number then meets the eye.
func meaning(e entry.Entry) string {
	switch e := e.(type) {
	case entry.Reading:
		return strings.Join(readingParts(e, true), ", ")
	case entry.Check:
		return checkWords(e, true)
	case entry.Correction:
		return correctionWords(e)
	}
	return strings.TrimSuffix(entry.Say(e), ".")
}

// inWords is meaning without the verdict, which has a mark of its own.
func inWords(e entry.Entry) string {
	switch e := e.(type) {
	case entry.Reading:
		return strings.Join(readingParts(e, false), ", ")
	case entry.Check:
		return checkWords(e, false)
	}
	return meaning(e)
}

func readingParts(r entry.Reading, verdict bool) []string {
	var parts []string
	if p := pointWords(r.Point); p != "" {
		parts = append(parts, p)
	}
	if verdict && r.Verdict != "" {
		parts = append(parts, string(r.Verdict))
	}
	if r.NoSignal {
		parts = append(parts, "no signal")
	}
	if r.Level.Said() {
		parts = append(parts, shown.Number(r.Level.Float())+" dBm")
	}
	return append(parts, figures(r)...)
}

func checkWords(c entry.Check, verdict bool) string {
	parts := []string{plain(c.Check)}
	if c.Point != nil {
		parts = append(parts, pointWords(*c.Point))
	}
	if verdict && c.Verdict != "" {
		parts = append(parts, verdictWord(c.Verdict))
	}
	if c.Remark != "" {
		parts = append(parts, c.Remark)
	}
	return strings.Join(parts, ", ")
}

func verdictWord(v entry.Verdict) string {
	if v == entry.NotApplicable {
		return "not applicable"
	}
	return string(v)
}

// correctionWords says what a correction does, with the entry it names.
func correctionWords(c entry.Correction) string {
	of := ""
	if c.Entry > 0 {
		of = fmt.Sprintf("entry %d", c.Entry)
	}
	switch {
	case len(c.Replace) > 0:
		var now []string
		for _, e := range c.Replace {
			now = append(now, meaning(e))
		}
		return strings.TrimSpace("corrected "+of) + ": " + strings.Join(now, "; ")
	case c.Verb == "confirm":
		return strings.TrimSpace("confirmed " + of)
	case c.Verb == "scratch" && of != "":
		return "scratched " + of
	case c.Verb == "scratch":
		return "scratched the last " + count(max(c.Count, 1), "entry", "entries")
	}
	r := entry.Reading{Verdict: c.Verdict, Level: c.Level, Strength: c.Strength, MER: c.MER, Volts: c.Volts, NoSignal: c.NoSignal, Slot: c.Slot, Transponder: c.Transponder, Polarity: c.Polarity}
	if c.Point != nil {
		r.Point = *c.Point
	}
	parts := readingParts(r, true)
	if c.Remark != "" {
		parts = append(parts, c.Remark)
	}
	return strings.TrimSpace("corrected "+of) + ": " + strings.Join(parts, ", ")
}

// pointWords names a point as it was said: "behind receiver 2",
// "splitter 1, output 2", "kitchen wall plate, receiver side".
func pointWords(p entry.Point) string {
	name := strings.TrimSpace(p.Room + " " + plain(string(p.Element)))
	if p.Number > 0 {
		name += fmt.Sprintf(" %d", p.Number)
	}
	if p.Element == entry.Receiver && p.Side == entry.DishSide {
		return "behind " + name
	}
	switch at := closeout.Side(p.Element, p); {
	case at == "":
		return name
	case name == "":
		return at
	default:
		return name + ", " + at
	}
}
