package record

import (
	"slices"

	"downlead/grammar/entry"
)

// changed returns an entry with a correction's fields put in, or false where
// they do not fit it. Figures fit a reading alone, a remark a check alone.
func changed(e entry.Entry, c entry.Correction) (entry.Entry, bool) {
	figures := c.Level.Said() || c.Strength.Said() || c.MER.Said() || c.Volts.Said() ||
		c.NoSignal || c.Slot != 0 || c.Transponder != 0 || c.Polarity != ""
	if c.At != "" {
		t, ok := e.(entry.Time)
		if !ok || c.Mark != "" && c.Mark != t.Mark {
			return nil, false
		}
		t.At = c.At
		return t, true
	}
	if !figures && c.Verdict == "" && c.Point == nil && c.Remark == "" {
		return nil, false
	}
	switch e := e.(type) {
	case entry.Reading:
		if c.Remark != "" || c.Verdict == entry.NotApplicable {
			return nil, false
		}
		return changedReading(e, c), true
	case entry.Check:
		atPoint := e.Point != nil || e.Check == "input_test" || e.Check == "outlet"
		if figures || c.Point != nil && !atPoint {
			return nil, false
		}
		return changedCheck(e, c), true
	}
	return nil, false
}

func changedReading(r entry.Reading, c entry.Correction) entry.Reading {
	var stale []string
	if c.Verdict != "" {
		r.Verdict = c.Verdict
	}
	if c.NoSignal {
		r.NoSignal = true
		r.Level, r.Strength, r.MER = entry.Decimal{}, entry.Decimal{}, entry.Decimal{}
	}
	if c.Level.Said() {
		r.Level, r.NoSignal = c.Level, false
		r.Unit, r.Said = c.Unit, c.Said
		stale = append(stale, "sign")
	}
	if c.Strength.Said() {
		r.Strength, r.NoSignal = c.Strength, false
	}
	if c.MER.Said() {
		r.MER, r.NoSignal = c.MER, false
	}
	if c.Volts.Said() {
		r.Volts = c.Volts
	}
	if c.Slot != 0 {
		r.Slot = c.Slot
	}
	if c.Transponder != 0 {
		r.Transponder = c.Transponder
	}
	if c.Polarity != "" {
		r.Polarity = c.Polarity
	}
	if c.Point != nil {
		r.Point = movedPoint(r.Point, *c.Point)
		stale = append(stale, "element", "side")
	}
	r.Assumed = assumed(r.Assumed, stale, c.Assumed)
	return r
}

func changedCheck(k entry.Check, c entry.Correction) entry.Check {
	if c.Verdict != "" {
		k.Verdict = c.Verdict
	}
	if c.Remark != "" {
		k.Remark = c.Remark
	}
	if c.Point != nil {
		var old entry.Point
		if k.Point != nil {
			old = *k.Point
		}
		moved := movedPoint(old, *c.Point)
		k.Point = &moved
	}
	k.Assumed = assumed(k.Assumed, nil, c.Assumed)
	return k
}

// movedPoint puts what was said of a point over the old one. Another element
// is another place: only the side is kept, unless the element has one of its
// own when none is said.
func movedPoint(old, said entry.Point) entry.Point {
	p := old
	if said.Element != "" {
		p = entry.Point{Element: said.Element, Side: old.Side}
		switch said.Element {
		case entry.Receiver:
			p.Side = entry.DishSide
		case entry.WallPlate, entry.LNB:
			p.Side = entry.ReceiverSide
		}
	}
	if said.Side != "" {
		p.Side = said.Side
	}
	if said.Room != "" && said.Room != p.Room {
		p.Number = 0 // of another room
	}
	if said.Number != 0 {
		p.Number = said.Number
	}
	if said.Port != 0 {
		p.Port = said.Port
	}
	if said.Room != "" {
		p.Room = said.Room
	}
	return p
}

// assumed is the list of what was assumed, less what is now said.
func assumed(old, stale, more []string) []string {
	var out []string
	for _, a := range old {
		if !slices.Contains(stale, a) {
			out = append(out, a)
		}
	}
	for _, a := range more {
		if !slices.Contains(out, a) {
			out = append(out, a)
		}
	}
	return out
}
