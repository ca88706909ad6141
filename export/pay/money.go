package pay

import (
	"fmt"
	"math/big"
	"strings"
)

// Money is an amount in whole cents.
type Money int64

// String prints dollars: "588.00".
func (m Money) String() string {
	sign := ""
	if m < 0 {
		sign, m = "-", -m
	}
	return fmt.Sprintf("%s%d.%02d", sign, m/100, m%100)
}

// parseDollars reads "12", "12.50" or "0.725" exactly, as dollars. It takes
// no sign, no exponent and no thousands separator.
func parseDollars(s string) (*big.Rat, error) {
	whole, frac, dot := strings.Cut(s, ".")
	digits := func(t string) bool { return t != "" && strings.Trim(t, "0123456789") == "" }
	if !digits(whole) || dot && !digits(frac) || len(s) > 15 {
		return nil, fmt.Errorf("%q is not an amount: write it as \"12.50\"", s)
	}
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		return nil, fmt.Errorf("%q is not an amount: write it as \"12.50\"", s)
	}
	return r, nil
}

// cents rounds dollars to the cent, half a cent up (for amounts from nothing up).
func cents(dollars *big.Rat) Money {
	scaled := new(big.Rat).Mul(dollars, big.NewRat(100, 1))
	n := new(big.Int).Mul(scaled.Num(), big.NewInt(2))
	n.Add(n, scaled.Denom())
	d := new(big.Int).Mul(scaled.Denom(), big.NewInt(2))
	return Money(n.Div(n, d).Int64()) // Div rounds down for a positive denominator
}

// dollars returns an amount as an exact number of dollars.
func (m Money) dollars() *big.Rat { return big.NewRat(int64(m), 100) }

// hours returns seconds as an exact number of hours.
func hours(seconds int64) *big.Rat { return big.NewRat(seconds, 3600) }

func mul(a, b *big.Rat) *big.Rat { return new(big.Rat).Mul(a, b) }

func add(a, b *big.Rat) *big.Rat { return new(big.Rat).Add(a, b) }

// exactDecimal prints a number that has a finite decimal form, with at least
// two places; ok is false where it has none.
func exactDecimal(r *big.Rat) (string, bool) {
	for places := 2; places <= 12; places++ {
		s := r.FloatString(places)
		if back, ok := new(big.Rat).SetString(s); ok && back.Cmp(r) == 0 {
			return s, true
		}
	}
	return r.FloatString(6), false
}
