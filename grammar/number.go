package grammar

import (
	"slices"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// Shapes of spoken numbers, by the classes of their words. The same table
// reads numbers and prints the speech grammar, so neither can drift.
type shape []vocab.Class

const (
	short    = 1 << iota // four · eleven · forty one
	pair                 // four one
	triple               // one one nine
	leading              // one nineteen · one twenty five
	hundred              // a hundred · one hundred
	hundreds             // hundred and nineteen · one hundred nineteen
	noDigit              // short, but two digits at least: "five volts" after "transponder twenty" could be either
	zero                 // zero · oh
	teens                // short, below twenty
	spelled              // an identifier: see joinSpelled
)

// shapes lists the shapes of a set.
func shapes(set int) []shape {
	var out []shape
	add := func(bit int, list ...shape) {
		if set&bit != 0 {
			out = append(out, list...)
		}
	}
	add(hundreds,
		shape{vocab.Digit, vocab.Hundred, vocab.And, vocab.Digit}, shape{vocab.Digit, vocab.Hundred, vocab.And, vocab.Teen}, shape{vocab.Digit, vocab.Hundred, vocab.And, vocab.Tens},
		shape{vocab.Digit, vocab.Hundred, vocab.Digit}, shape{vocab.Digit, vocab.Hundred, vocab.Teen}, shape{vocab.Digit, vocab.Hundred, vocab.Tens},
		shape{vocab.Hundred, vocab.And, vocab.Digit}, shape{vocab.Hundred, vocab.And, vocab.Teen}, shape{vocab.Hundred, vocab.And, vocab.Tens},
		shape{vocab.Hundred, vocab.Digit}, shape{vocab.Hundred, vocab.Teen}, shape{vocab.Hundred, vocab.Tens})
	add(hundred, shape{vocab.Digit, vocab.Hundred}, shape{vocab.Hundred})
	add(triple, shape{vocab.Digit, vocab.Digit, vocab.Digit}, shape{vocab.Digit, vocab.Zero, vocab.Digit}, shape{vocab.Digit, vocab.Digit, vocab.Zero}, shape{vocab.Digit, vocab.Zero, vocab.Zero})
	add(leading, shape{vocab.Digit, vocab.Teen}, shape{vocab.Digit, vocab.Tens})
	add(pair, shape{vocab.Digit, vocab.Digit}, shape{vocab.Digit, vocab.Zero})
	add(short, shape{vocab.Digit}, shape{vocab.Teen}, shape{vocab.Tens})
	add(teens, shape{vocab.Digit}, shape{vocab.Teen})
	add(noDigit, shape{vocab.Teen}, shape{vocab.Tens})
	add(zero, shape{vocab.Zero})
	return append(out, shape{vocab.Numeral})
}

// numberKind is one use of numbers: what leads or follows them, which shapes
// fit, and what range makes sense.
type numberKind struct {
	class    vocab.Class
	set      int
	unit     vocab.Class   // must follow, where not zero
	swallow  []vocab.Class // may follow, and adds nothing
	fraction int           // digits after the point
	sign     signRule
	min, max int64   // tenths
	expect   string  // what a person would say here
	whole    bool    // no fraction, typed or said
	oneFirst bool    // the hundreds are one hundred, in words
	shapes   []shape // of set, longest first
}

type signRule int

const (
	unsigned signRule = iota
	optional          // a minus may stand before it
	required          // a minus must
)

// kindTable is the table of number uses, by class.
type kindTable [vocab.ClassCount]*numberKind

func newKindTable() *kindTable {
	list := []numberKind{
		{class: vocab.Level, set: short | pair | zero, swallow: []vocab.Class{vocab.UnitDBm}, fraction: 1, sign: required, min: -9999, max: 0, expect: "a level, such as minus forty one"},
		{class: vocab.BareLevel, set: noDigit, unit: vocab.UnitDBm, fraction: 1, min: 0, max: 9999, expect: "a level, such as minus forty one"},
		{class: vocab.LevelUV, set: short | zero | hundred | hundreds, unit: vocab.UnitUV, fraction: 2, min: 0, max: 15000},
		{class: vocab.LevelMV, set: short | zero | pair, unit: vocab.UnitMV, fraction: 2, sign: optional, min: -9999, max: 9999},
		{class: vocab.Length, set: short | hundred | hundreds, unit: vocab.UnitFeet, fraction: 1, min: 0, max: 99990, expect: "a length, such as sixty feet"},
		{class: vocab.Volts, set: noDigit, unit: vocab.UnitVolts, fraction: 1, min: 0, max: 30000, expect: "volts, such as eighteen point one volts"},
		{class: vocab.TypedVolts, set: short | zero, unit: vocab.UnitVolts, fraction: 1, min: 0, max: 30000},
		{class: vocab.Share, set: noDigit, unit: vocab.UnitPercent, fraction: 1, min: 0, max: 10000, expect: "a percentage"},
		{class: vocab.Distance, set: short | zero | leading | hundred | hundreds, unit: vocab.UnitMiles, fraction: 1, min: 0, max: 99990, expect: "miles, such as twelve miles"},
		{class: vocab.UnitCount, set: short, unit: vocab.UnitUnits, fraction: 1, min: 0, max: 9999, expect: "units, such as two units"},
		{class: vocab.Ways, whole: true, set: teens, unit: vocab.Way, min: 100, max: 3200, expect: "how many ways"},
		{class: vocab.Index, whole: true, set: teens, min: 100, max: 9900, expect: "which one, such as two"},
		{class: vocab.Channel, whole: true, set: short | pair, min: 100, max: 3200, expect: "a transponder, such as twenty one"},
		{class: vocab.Orbit, oneFirst: true, set: noDigit | leading | triple | hundreds, swallow: []vocab.Class{vocab.UnitDegrees}, fraction: 1, min: 100, max: 36000, expect: "a slot, such as one nineteen"},
		{class: vocab.Score, oneFirst: true, set: short | pair | zero | hundred, swallow: []vocab.Class{vocab.UnitPercent, vocab.UnitDBm}, fraction: 1, min: 0, max: 10000, expect: "a number from zero to a hundred"},
		{class: vocab.Limit, oneFirst: true, set: short | zero | hundred, swallow: []vocab.Class{vocab.UnitPercent}, fraction: 1, min: 0, max: 10000, expect: "a number from zero to a hundred"},
		{class: vocab.Tension, set: short | zero, swallow: []vocab.Class{vocab.UnitVolts}, fraction: 1, min: 0, max: 30000, expect: "a voltage, such as eighteen"},
		{class: vocab.Warmth, set: short | zero | pair | leading | hundred | hundreds, swallow: []vocab.Class{vocab.UnitDegrees}, fraction: 1, sign: optional, min: -99990, max: 99990, expect: "a temperature, such as ninety"},
		{class: vocab.Digits, set: spelled, expect: "the job's number, digit by digit, such as four four one two"},
		{class: vocab.CodeDigits, set: spelled, expect: "a work code, such as seven"},
		{class: vocab.Count, whole: true, set: short, min: 100, max: 9900, expect: "how many, such as two"},
		{class: vocab.EntryNumber, whole: true, set: short | pair | triple, min: 100, max: 99999999900, expect: "the entry's number"},
		{class: vocab.Figure, set: short | pair | triple | leading | hundred | hundreds | zero, fraction: 2, sign: optional, min: -99999999900, max: 99999999900, expect: "a number"},
	}
	var out kindTable
	for i := range list {
		k := &list[i]
		k.shapes = shapes(k.set)
		slices.SortStableFunc(k.shapes, func(a, b shape) int { return len(b) - len(a) })
		out[k.class] = k
	}
	return &out
}

// leads says which kind of number follows a class; must is true where
// nothing else may.
func leads(c vocab.Class) (kind vocab.Class, must bool) {
	switch c {
	case vocab.Element, vocab.Output, vocab.Numbered:
		return vocab.Index, false
	case vocab.Action, vocab.Used, vocab.And, vocab.Last, vocab.Scratch:
		return vocab.Count, false
	case vocab.Transponder:
		return vocab.Channel, true
	case vocab.Slot:
		return vocab.Orbit, true
	case vocab.Strength, vocab.MER, vocab.Threshold:
		return vocab.Score, true
	case vocab.Limit:
		return vocab.Limit, true
	case vocab.Voltage:
		return vocab.Tension, true
	case vocab.Temperature:
		return vocab.Warmth, true
	case vocab.Floor:
		return vocab.Level, true
	case vocab.JobStart:
		return vocab.Digits, true
	case vocab.Code:
		return vocab.CodeDigits, true
	case vocab.Entry:
		return vocab.EntryNumber, true
	}
	return 0, false
}

// unitKind says which kind of number a unit makes.
func unitKind(c vocab.Class) vocab.Class {
	switch c {
	case vocab.UnitDBm:
		return vocab.Level
	case vocab.UnitUV:
		return vocab.LevelUV
	case vocab.UnitMV:
		return vocab.LevelMV
	case vocab.UnitFeet:
		return vocab.Length
	case vocab.UnitVolts:
		return vocab.Volts
	case vocab.UnitPercent:
		return vocab.Share
	case vocab.UnitMiles:
		return vocab.Distance
	case vocab.UnitUnits:
		return vocab.UnitCount
	case vocab.Way:
		return vocab.Ways
	}
	return 0
}

// numeral reads typed digits. Small ones are the same as the words, so that
// words and digits mix; all others are a class of their own.
func numeral(s string) (vocab.Class, entry.Decimal, string) {
	v, err := entry.ParseDecimal(s)
	if err != nil {
		return vocab.Unknown, entry.Decimal{}, s
	}
	if strings.ContainsRune(s, '.') || len(s) > 2 || len(s) == 2 && s[0] == '0' {
		return vocab.Numeral, v, s
	}
	switch n := v.Micro() / entry.DecimalScale; {
	case n == 0:
		return vocab.Zero, v, s
	case n < 10:
		return vocab.Digit, v, s
	case n < 20:
		return vocab.Teen, v, s
	}
	return vocab.Tens, v, s
}

func startsNumber(c vocab.Class) bool {
	return c >= vocab.Zero && c <= vocab.Numeral && c != vocab.Point
}
