package talk

import (
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// coded reads a work code with its units before or after it.
func (t *talker) coded() bool {
	var c entry.Code
	if t.take(vocab.UnitCount) {
		c.Units = t.last().Value
	}
	if !t.take(vocab.Code) || !t.take(vocab.CodeDigits, vocab.CodeName) {
		return false
	}
	c.Code = entry.OrElse(t.last().Text, t.last().Means())
	switch {
	case c.Units.Said():
	case t.take(vocab.UnitCount):
		c.Units = t.last().Value
	case t.is(vocab.Times) && t.isAt(t.i+1, vocab.Figure, vocab.Count, vocab.Digit):
		t.i += 2
		c.Units = t.last().Value
	}
	t.entries = append(t.entries, c)
	return true
}

// setting reads a limit, the weather or the temperature.
func (t *talker) setting() bool {
	var s entry.Setting
	switch {
	case t.take(vocab.Weather):
		s = entry.Setting{Name: "weather", Text: t.last().Means()}
		if n := len(t.entries); n > 0 && s.Text == "dry" { // "was wet but it's dry now" is of the part
			if _, seen := t.entries[n-1].(entry.Sighting); seen {
				return false
			}
		}
		if strings.Contains(t.last().Row.Say, "not ") && t.is(vocab.Force, vocab.Degree) { // "isn't raining hard"
			return false
		}
		for t.is(vocab.Force, vocab.Degree, vocab.Output) && !t.toks[t.i].Brk {
			s.Remark = entry.List(s.Remark, t.words(t.i, t.i+1))
			t.i++
		}
	case t.is(vocab.Figure, vocab.Count, vocab.Digit) && t.isAt(t.i+1, vocab.UnitDegrees), t.words(t.i, t.i+1) == "about" && t.isAt(t.i+2, vocab.UnitDegrees):
		from := t.i
		for !t.is(vocab.UnitDegrees) {
			t.i++
		}
		s = entry.Setting{Name: "temperature_f", Value: t.last().Value}
		if t.i-from > 1 {
			s.Remark = t.words(from, from+1)
		}
		if t.i++; !t.take(vocab.Output, vocab.Force, vocab.Weather) || !strings.HasPrefix(t.last().Row.Say, "out") {
			return false
		}
	case t.is(vocab.Begun) && t.isAt(t.i+1, vocab.Weather):
		t.i += 2
		s = entry.Setting{Name: "weather", Text: t.last().Means()}
	case t.is(vocab.Threshold) && t.isAt(t.i+1, vocab.Score):
		t.i += 2
		s = entry.Setting{Name: "threshold", Value: t.last().Value}
		if t.is(vocab.For, vocab.On) && t.isAt(t.i+1, vocab.Slot) || t.is(vocab.Slot) {
			t.take(vocab.For, vocab.On)
			if t.i++; !t.take(vocab.Orbit) {
				return false
			}
			s.Slot = t.number(t.last())
		} else if t.is(vocab.For) && t.isAt(t.i+1, vocab.Figure, vocab.Limit) && isOrbit(t.toks[t.i+1].Value) { // "for one nineteen"
			t.i += 2
			s.Slot = t.number(t.last())
		}
	case t.is(vocab.Floor) && t.isAt(t.i+1, vocab.Level):
		t.i += 2
		s = entry.Setting{Name: "floor_dbm", Value: t.last().Value}
	case t.is(vocab.Temperature) && t.isAt(t.i+1, vocab.Force) && t.isAt(t.i+2, vocab.Figure, vocab.Level, vocab.Warmth):
		t.i += 3
		s = entry.Setting{Name: "temperature_f", Value: t.last().Value}
		t.take(vocab.UnitDegrees)
	case t.is(vocab.Temperature) && t.isAt(t.i+1, vocab.Warmth):
		t.i += 2
		s = entry.Setting{Name: "temperature_f", Value: t.last().Value}
	default:
		return false
	}
	t.entries = append(t.entries, s)
	return true
}
