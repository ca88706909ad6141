package grammar

import (
	"strconv"
	"strings"
	"sync"
)

// SayNumber says a number in words: "minus forty one point five". Numbers of
// a thousand and more, and of more than one place, are digits.
func SayNumber(d Decimal) string {
	n, sign := d.Micro(), ""
	if n < 0 {
		n, sign = -n, "minus "
	}
	units, rest := n/decimalScale, n%decimalScale
	if !d.Said() || units > 999 || rest%(decimalScale/10) != 0 {
		return d.String()
	}
	s := sign + sayWhole(int(units))
	if rest == 0 {
		return s
	}
	return s + " point " + digitWord(int(rest/(decimalScale/10)))
}

// sayWhole says 0 … 999.
func sayWhole(n int) string {
	switch {
	case n < 100:
		return wordsOfNumbers()[n]
	case n%100 == 0:
		return digitWord(n/100) + " hundred"
	}
	return digitWord(n/100) + " hundred " + sayWhole(n%100)
}

func digitWord(n int) string { return wordsOfNumbers()[n] }

// wordsOfNumbers are the table's words for 0 … 99.
var wordsOfNumbers = sync.OnceValue(func() (words [100]string) {
	for _, r := range numberRows() {
		if r.class >= cZero && r.class <= cTens && words[r.num] == "" {
			words[r.num] = r.say
		}
	}
	return words
})

// saySlot says a slot as people do: "one nineteen", "one oh one".
func saySlot(n int) string {
	switch {
	case n < 100:
		return sayWhole(n)
	case n > 199:
		return strconv.Itoa(n)
	case n%100 < 10:
		return digitWord(1) + " oh " + strings.Replace(digitWord(n%10), digitWord(0), "oh", 1)
	}
	return digitWord(1) + " " + sayWhole(n%100)
}

// sayDigits says an identifier digit by digit; one with letters, or a very
// long one, says itself.
func sayDigits(s string) string {
	if len(s) > 8 || strings.Trim(s, "0123456789") != "" {
		return s
	}
	words := make([]string, len(s))
	for i := range s {
		words[i] = digitWord(int(s[i] - '0'))
	}
	return strings.Join(words, " ")
}

func sayEntryNumber(n int64) string {
	if n < 100 {
		return SayNumber(whole(n))
	}
	return strconv.FormatInt(n, 10)
}
