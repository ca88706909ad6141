package entry

import (
	"strconv"
	"strings"
	"sync"

	"downlead/grammar/vocab"
)

// SayNumber says a number in words: "minus forty one point five". Numbers of
// a thousand and more, and of more than one place, are digits.
func SayNumber(d Decimal) string {
	n, sign := d.Micro(), ""
	if n < 0 {
		n, sign = -n, "minus "
	}
	units, rest := n/DecimalScale, n%DecimalScale
	if !d.Said() || units > 999 || rest%(DecimalScale/10) != 0 {
		return d.String()
	}
	s := sign + sayWhole(int(units))
	if rest == 0 {
		return s
	}
	return s + " point " + DigitWord(int(rest/(DecimalScale/10)))
}

// sayWhole says 0 … 999.
func sayWhole(n int) string {
	switch {
	case n < 100:
		return wordsOfNumbers()[n]
	case n%100 == 0:
		return DigitWord(n/100) + " hundred"
	}
	return DigitWord(n/100) + " hundred " + sayWhole(n%100)
}

func DigitWord(n int) string { return wordsOfNumbers()[n] }

// wordsOfNumbers are the table's words for 0 … 99.
var wordsOfNumbers = sync.OnceValue(func() (words [100]string) {
	for _, r := range vocab.NumberRows() {
		if r.Class >= vocab.Zero && r.Class <= vocab.Tens && words[r.Num] == "" {
			words[r.Num] = r.Say
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
		return DigitWord(1) + " oh " + strings.Replace(DigitWord(n%10), DigitWord(0), "oh", 1)
	}
	return DigitWord(1) + " " + sayWhole(n%100)
}

// sayDigits says an identifier digit by digit; one with letters, or a very
// long one, says itself.
func sayDigits(s string) string {
	if len(s) > 8 || strings.Trim(s, "0123456789") != "" {
		return s
	}
	words := make([]string, len(s))
	for i := range s {
		words[i] = DigitWord(int(s[i] - '0'))
	}
	return strings.Join(words, " ")
}

func sayEntryNumber(n int64) string {
	if n < 100 {
		return SayNumber(Whole(n))
	}
	return strconv.FormatInt(n, 10)
}
