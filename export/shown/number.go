package shown

import (
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Capital makes the first letter of a label large.
func Capital(s string) string {
	first, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToUpper(first)) + s[n:]
}

// Minus gives a figure a real minus sign.
func Minus(s string) string { return strings.Replace(s, "-", "−", 1) }

// Number prints a figure as it was read, to a hundredth.
func Number(v float64) string {
	s := strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64)
	if s == "-0" {
		s = "0"
	}
	return Minus(s)
}

// Whole prints a figure that is expected, not read, to a whole number.
func Whole(v float64) string { return Number(math.Round(v)) }

// Signed prints a figure with its sign, plus too.
func Signed(v float64) string {
	s := Number(v)
	if v < 0 || s == "0" {
		return s
	}
	return "+" + s
}
