package grammar

import (
	"slices"
	"strings"
)

// Shapes of spoken numbers, by the classes of their words. The same table
// reads numbers and prints the speech grammar, so neither can drift.
type shape []class

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
		shape{cDigit, cHundred, cAnd, cDigit}, shape{cDigit, cHundred, cAnd, cTeen}, shape{cDigit, cHundred, cAnd, cTens},
		shape{cDigit, cHundred, cDigit}, shape{cDigit, cHundred, cTeen}, shape{cDigit, cHundred, cTens},
		shape{cHundred, cAnd, cDigit}, shape{cHundred, cAnd, cTeen}, shape{cHundred, cAnd, cTens},
		shape{cHundred, cDigit}, shape{cHundred, cTeen}, shape{cHundred, cTens})
	add(hundred, shape{cDigit, cHundred}, shape{cHundred})
	add(triple, shape{cDigit, cDigit, cDigit}, shape{cDigit, cZero, cDigit}, shape{cDigit, cDigit, cZero}, shape{cDigit, cZero, cZero})
	add(leading, shape{cDigit, cTeen}, shape{cDigit, cTens})
	add(pair, shape{cDigit, cDigit}, shape{cDigit, cZero})
	add(short, shape{cDigit}, shape{cTeen}, shape{cTens})
	add(teens, shape{cDigit}, shape{cTeen})
	add(noDigit, shape{cTeen}, shape{cTens})
	add(zero, shape{cZero})
	return append(out, shape{cNumeral})
}

// numberKind is one use of numbers: what leads or follows them, which shapes
// fit, and what range makes sense.
type numberKind struct {
	class    class
	set      int
	unit     class   // must follow, where not zero
	swallow  []class // may follow, and adds nothing
	fraction int     // digits after the point
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
type kindTable [classCount]*numberKind

func newKindTable() *kindTable {
	list := []numberKind{
		{class: cLevel, set: short | pair | zero, swallow: []class{cUnitDBm}, fraction: 1, sign: required, min: -9999, max: 0, expect: "a level, such as minus forty one"},
		{class: cBareLevel, set: noDigit, unit: cUnitDBm, fraction: 1, min: 0, max: 9999, expect: "a level, such as minus forty one"},
		{class: cLength, set: short | hundred | hundreds, unit: cUnitFeet, fraction: 1, min: 0, max: 99990, expect: "a length, such as sixty feet"},
		{class: cVolts, set: noDigit, unit: cUnitVolts, fraction: 1, min: 0, max: 30000, expect: "volts, such as eighteen point one volts"},
		{class: cTypedVolts, set: short | zero, unit: cUnitVolts, fraction: 1, min: 0, max: 30000},
		{class: cShare, set: noDigit, unit: cUnitPercent, fraction: 1, min: 0, max: 10000, expect: "a percentage"},
		{class: cDistance, set: short | zero | leading | hundred | hundreds, unit: cUnitMiles, fraction: 1, min: 0, max: 99990, expect: "miles, such as twelve miles"},
		{class: cUnitCount, set: short, unit: cUnitUnits, fraction: 1, min: 0, max: 9999, expect: "units, such as two units"},
		{class: cWays, whole: true, set: teens, unit: cWay, min: 100, max: 3200, expect: "how many ways"},
		{class: cIndex, whole: true, set: teens, min: 100, max: 9900, expect: "which one, such as two"},
		{class: cChannel, whole: true, set: short | pair, min: 100, max: 9900, expect: "a transponder, such as twenty one"},
		{class: cOrbit, oneFirst: true, set: noDigit | leading | triple | hundreds, swallow: []class{cUnitDegrees}, fraction: 1, min: 100, max: 36000, expect: "a slot, such as one nineteen"},
		{class: cScore, oneFirst: true, set: short | pair | zero | hundred, swallow: []class{cUnitPercent, cUnitDBm}, fraction: 1, min: 0, max: 10000, expect: "a number from zero to a hundred"},
		{class: cLimit, oneFirst: true, set: short | zero | hundred, swallow: []class{cUnitPercent}, fraction: 1, min: 0, max: 10000, expect: "a number from zero to a hundred"},
		{class: cTension, set: short | zero, swallow: []class{cUnitVolts}, fraction: 1, min: 0, max: 30000, expect: "a voltage, such as eighteen"},
		{class: cWarmth, set: short | zero | pair | leading | hundred | hundreds, swallow: []class{cUnitDegrees}, fraction: 1, sign: optional, min: -99990, max: 99990, expect: "a temperature, such as ninety"},
		{class: cDigits, set: spelled, expect: "a number, digit by digit"},
		{class: cCodeDigits, set: spelled, expect: "a work code, such as seven"},
		{class: cCount, whole: true, set: short, min: 100, max: 9900, expect: "how many, such as two"},
		{class: cEntryNumber, whole: true, set: short | pair | triple, min: 100, max: 99999999900, expect: "the entry's number"},
		{class: cFigure, set: short | pair | triple | leading | hundred | hundreds | zero, fraction: 2, sign: optional, min: -99999999900, max: 99999999900, expect: "a number"},
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
func leads(c class) (kind class, must bool) {
	switch c {
	case cElement, cOutput, cNumbered:
		return cIndex, false
	case cAction, cUsed, cAnd, cLast, cScratch:
		return cCount, false
	case cTransponder:
		return cChannel, true
	case cSlot:
		return cOrbit, true
	case cStrength, cMER, cThreshold:
		return cScore, true
	case cLimit:
		return cLimit, true
	case cVoltage:
		return cTension, true
	case cTemperature:
		return cWarmth, true
	case cFloor:
		return cLevel, true
	case cJobStart:
		return cDigits, true
	case cCode:
		return cCodeDigits, true
	case cEntry:
		return cEntryNumber, true
	}
	return 0, false
}

// unitKind says which kind of number a unit makes.
func unitKind(c class) class {
	switch c {
	case cUnitDBm:
		return cLevel
	case cUnitFeet:
		return cLength
	case cUnitVolts:
		return cVolts
	case cUnitPercent:
		return cShare
	case cUnitMiles:
		return cDistance
	case cUnitUnits:
		return cUnitCount
	case cWay:
		return cWays
	}
	return 0
}

// numeral reads typed digits. Small ones are the same as the words, so that
// words and digits mix; all others are a class of their own.
func numeral(s string) (class, Decimal, string) {
	v, err := ParseDecimal(s)
	if err != nil {
		return cUnknown, Decimal{}, s
	}
	if strings.ContainsRune(s, '.') || len(s) > 2 || len(s) == 2 && s[0] == '0' {
		return cNumeral, v, s
	}
	switch n := v.Micro() / decimalScale; {
	case n == 0:
		return cZero, v, s
	case n < 10:
		return cDigit, v, s
	case n < 20:
		return cTeen, v, s
	}
	return cTens, v, s
}

func startsNumber(c class) bool { return c >= cZero && c <= cNumeral && c != cPoint }
