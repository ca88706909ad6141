package figure

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"downlead/grammar/entry"
)

// side names the side of an element: "dish side", "output 2", "behind it".
func side(e entry.Element, p entry.Point) string {
	switch {
	case e == entry.Receiver && p.Side == entry.DishSide:
		return "behind it"
	case p.Port > 0:
		return fmt.Sprintf("output %d", p.Port)
	case p.Side == "":
		return ""
	}
	return string(p.Side) + " side"
}

// capital makes the first letter of a label large.
func capital(s string) string {
	first, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToUpper(first)) + s[n:]
}

// minus gives a figure a real minus sign.
func minus(s string) string { return strings.Replace(s, "-", "−", 1) }

// number prints a figure as it was read, to a hundredth.
func number(v float64) string {
	s := strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64)
	if s == "-0" {
		s = "0"
	}
	return minus(s)
}

// whole prints a figure that is expected, not read, to a whole number.
func whole(v float64) string { return number(math.Round(v)) }

// signed prints a figure with its sign, plus too.
func signed(v float64) string {
	if s := number(v); v < 0 || s == "0" {
		return s
	} else {
		return "+" + s
	}
}
