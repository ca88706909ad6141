package closeout

import (
	"fmt"

	"downlead/grammar/entry"
)

// Micro is the number of millionths in one unit of a grammar.Decimal.
const Micro = 1_000_000

// Decimal makes a Decimal of n millionths. It panics beyond ±999999999,
// which sums of values that were each said stay far below.
func Decimal(n int64) entry.Decimal {
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	d, err := entry.ParseDecimal(fmt.Sprintf("%s%d.%06d", sign, n/Micro, n%Micro))
	if err != nil {
		panic(err)
	}
	return d
}

// minus returns a - b, or nothing where either was not said.
func minus(a, b entry.Decimal) entry.Decimal {
	if !a.Said() || !b.Said() {
		return entry.Decimal{}
	}
	return Decimal(a.Micro() - b.Micro())
}

// Plus returns a + b; what was not said counts as nothing.
func Plus(a, b entry.Decimal) entry.Decimal {
	switch {
	case !a.Said():
		return b
	case !b.Said():
		return a
	}
	return Decimal(a.Micro() + b.Micro())
}
