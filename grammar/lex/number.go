package lex

import (
	"slices"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// Shapes of spoken numbers, by the classes of their words. The same table
// reads numbers and prints the speech grammar, so neither can drift.
type Shape []vocab.Class

const (
	Short    = 1 << iota // four · eleven · forty one
	Pair                 // four one
	triple               // one one nine
	leading              // one nineteen · one twenty five
	hundred              // a hundred · one hundred
	hundreds             // hundred and nineteen · one hundred nineteen
	noDigit              // short, but two digits at least: "five volts" after "transponder twenty" could be either
	Zero                 // zero · oh
	teens                // short, below twenty
	Spelled              // an identifier: see joinSpelled
)

// Shapes lists the shapes of a set.
func Shapes(set int) []Shape {
	var out []Shape
	add := func(bit int, list ...Shape) {
		if set&bit != 0 {
			out = append(out, list...)
		}
	}
	add(hundreds,
		Shape{vocab.Digit, vocab.Hundred, vocab.And, vocab.Digit}, Shape{vocab.Digit, vocab.Hundred, vocab.And, vocab.Teen}, Shape{vocab.Digit, vocab.Hundred, vocab.And, vocab.Tens},
		Shape{vocab.Digit, vocab.Hundred, vocab.Digit}, Shape{vocab.Digit, vocab.Hundred, vocab.Teen}, Shape{vocab.Digit, vocab.Hundred, vocab.Tens},
		Shape{vocab.Hundred, vocab.And, vocab.Digit}, Shape{vocab.Hundred, vocab.And, vocab.Teen}, Shape{vocab.Hundred, vocab.And, vocab.Tens},
		Shape{vocab.Hundred, vocab.Digit}, Shape{vocab.Hundred, vocab.Teen}, Shape{vocab.Hundred, vocab.Tens})
	add(hundred, Shape{vocab.Digit, vocab.Hundred}, Shape{vocab.Hundred})
	add(triple, Shape{vocab.Digit, vocab.Digit, vocab.Digit}, Shape{vocab.Digit, vocab.Zero, vocab.Digit}, Shape{vocab.Digit, vocab.Digit, vocab.Zero}, Shape{vocab.Digit, vocab.Zero, vocab.Zero})
	add(leading, Shape{vocab.Digit, vocab.Teen}, Shape{vocab.Digit, vocab.Tens})
	add(Pair, Shape{vocab.Digit, vocab.Digit}, Shape{vocab.Digit, vocab.Zero})
	add(Short, Shape{vocab.Digit}, Shape{vocab.Teen}, Shape{vocab.Tens})
	add(teens, Shape{vocab.Digit}, Shape{vocab.Teen})
	add(noDigit, Shape{vocab.Teen}, Shape{vocab.Tens})
	add(Zero, Shape{vocab.Zero})
	return append(out, Shape{vocab.Numeral})
}

// NumberKind is one use of numbers: what leads or follows them, which shapes
// fit, and what range makes sense.
type NumberKind struct {
	Class    vocab.Class
	Set      int
	Unit     vocab.Class   // must follow, where not zero
	Swallow  []vocab.Class // may follow, and adds nothing
	Fraction int           // digits after the point
	Sign     signRule
	Min, Max int64   // tenths
	Expect   string  // what a person would say here
	whole    bool    // no fraction, typed or said
	OneFirst bool    // the hundreds are one hundred, in words
	Shapes   []Shape // of set, longest first
}

type signRule int

const (
	Unsigned signRule = iota
	Optional          // a minus may stand before it
	Required          // a minus must
)

// kindTable is the table of number uses, by class.
type kindTable [vocab.ClassCount]*NumberKind

func newKindTable() *kindTable {
	list := []NumberKind{
		{Class: vocab.Level, Set: Short | Pair | Zero, Swallow: []vocab.Class{vocab.UnitDBm}, Fraction: 1, Sign: Required, Min: -9999, Max: 0, Expect: "a level, such as minus forty one"},
		{Class: vocab.BareLevel, Set: noDigit, Unit: vocab.UnitDBm, Fraction: 1, Min: 0, Max: 9999, Expect: "a level, such as minus forty one"},
		{Class: vocab.LevelUV, Set: Short | Zero | hundred | hundreds, Unit: vocab.UnitUV, Fraction: 2, Min: 0, Max: 15000},
		{Class: vocab.LevelMV, Set: Short | Zero | Pair, Unit: vocab.UnitMV, Fraction: 2, Sign: Optional, Min: -9999, Max: 9999},
		{Class: vocab.Length, Set: Short | hundred | hundreds, Unit: vocab.UnitFeet, Fraction: 1, Min: 0, Max: 99990, Expect: "a length, such as sixty feet"},
		{Class: vocab.Volts, Set: noDigit, Unit: vocab.UnitVolts, Fraction: 1, Min: 0, Max: 30000, Expect: "volts, such as eighteen point one volts"},
		{Class: vocab.TypedVolts, Set: Short | Zero, Unit: vocab.UnitVolts, Fraction: 1, Min: 0, Max: 30000},
		{Class: vocab.Share, Set: noDigit, Unit: vocab.UnitPercent, Fraction: 1, Min: 0, Max: 10000, Expect: "a percentage"},
		{Class: vocab.Distance, Set: Short | Zero | leading | hundred | hundreds, Unit: vocab.UnitMiles, Fraction: 1, Min: 0, Max: 99990, Expect: "miles, such as twelve miles"},
		{Class: vocab.UnitCount, Set: Short, Unit: vocab.UnitUnits, Fraction: 1, Min: 0, Max: 9999, Expect: "units, such as two units"},
		{Class: vocab.Ways, whole: true, Set: teens, Unit: vocab.Way, Min: 100, Max: 3200, Expect: "how many ways"},
		{Class: vocab.Index, whole: true, Set: teens, Min: 100, Max: 9900, Expect: "which one, such as two"},
		{Class: vocab.Channel, whole: true, Set: Short | Pair, Min: 100, Max: 3200, Expect: "a transponder, such as twenty one"},
		{Class: vocab.Orbit, OneFirst: true, Set: noDigit | leading | triple | hundreds, Swallow: []vocab.Class{vocab.UnitDegrees}, Fraction: 1, Min: 100, Max: 36000, Expect: "a slot, such as one nineteen"},
		{Class: vocab.Score, OneFirst: true, Set: Short | Pair | Zero | hundred, Swallow: []vocab.Class{vocab.UnitPercent, vocab.UnitDBm}, Fraction: 1, Min: 0, Max: 10000, Expect: "a number from zero to a hundred"},
		{Class: vocab.Limit, OneFirst: true, Set: Short | Zero | hundred, Swallow: []vocab.Class{vocab.UnitPercent}, Fraction: 1, Min: 0, Max: 10000, Expect: "a number from zero to a hundred"},
		{Class: vocab.Tension, Set: Short | Zero, Swallow: []vocab.Class{vocab.UnitVolts}, Fraction: 1, Min: 0, Max: 30000, Expect: "a voltage, such as eighteen"},
		{Class: vocab.Warmth, Set: Short | Zero | Pair | leading | hundred | hundreds, Swallow: []vocab.Class{vocab.UnitDegrees}, Fraction: 1, Sign: Optional, Min: -99990, Max: 99990, Expect: "a temperature, such as ninety"},
		{Class: vocab.Digits, Set: Spelled, Expect: "the job's number, digit by digit, such as four four one two"},
		{Class: vocab.CodeDigits, Set: Spelled, Expect: "a work code, such as seven"},
		{Class: vocab.Count, whole: true, Set: Short, Min: 100, Max: 9900, Expect: "how many, such as two"},
		{Class: vocab.EntryNumber, whole: true, Set: Short | Pair | triple, Min: 100, Max: 99999999900, Expect: "the entry's number"},
		{Class: vocab.Figure, Set: Short | Pair | triple | leading | hundred | hundreds | Zero, Fraction: 2, Sign: Optional, Min: -99999999900, Max: 99999999900, Expect: "a number"},
	}
	var out kindTable
	for i := range list {
		k := &list[i]
		k.Shapes = Shapes(k.Set)
		slices.SortStableFunc(k.Shapes, func(a, b Shape) int { return len(b) - len(a) })
		out[k.Class] = k
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

// UnitKind says which kind of number a unit makes.
func UnitKind(c vocab.Class) vocab.Class {
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

// StartsNumber reports that a number may begin with a token of the class.
func StartsNumber(c vocab.Class) bool {
	return c >= vocab.Zero && c <= vocab.Numeral && c != vocab.Point
}

// MostTransponders is how many channels the Region 2 plan has (ITU RR Appendix
// 30): 32.
const MostTransponders = 32
