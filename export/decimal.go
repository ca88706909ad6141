package export

import (
	"fmt"

	"downlead/grammar"
)

// micro is the number of millionths in one unit of a grammar.Decimal.
const micro = 1_000_000

// decimal makes a Decimal of n millionths. It panics beyond ±999999999,
// which sums of values that were each said stay far below.
func decimal(n int64) grammar.Decimal {
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	d, err := grammar.ParseDecimal(fmt.Sprintf("%s%d.%06d", sign, n/micro, n%micro))
	if err != nil {
		panic(err)
	}
	return d
}

// minus returns a - b, or nothing where either was not said.
func minus(a, b grammar.Decimal) grammar.Decimal {
	if !a.Said() || !b.Said() {
		return grammar.Decimal{}
	}
	return decimal(a.Micro() - b.Micro())
}

// plus returns a + b; what was not said counts as nothing.
func plus(a, b grammar.Decimal) grammar.Decimal {
	switch {
	case !a.Said():
		return b
	case !b.Said():
		return a
	}
	return decimal(a.Micro() + b.Micro())
}
