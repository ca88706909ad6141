package lex

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"downlead/grammar/entry"
)

// Address writes an address as one is written: the words of its street begin
// with capitals where somebody typed none.
func Address(text string) string {
	if text == "" || text[0] < '0' || text[0] > '9' || text != strings.ToLower(text) {
		return text
	}
	street, rest, _ := strings.Cut(text, ",")
	words := strings.Fields(street)
	for i, w := range words {
		switch w {
		case "of", "the", "and", "at", "near", "by", "on", "in", "off", "behind":
		default:
			r, n := utf8.DecodeRuneInString(w)
			words[i] = string(unicode.ToUpper(r)) + w[n:]
		}
	}
	out := strings.Join(words, " ")
	if len(street) < len(text) {
		out += "," + rest
	}
	return out
}

// Coordinates reads "35.1 north 100.2 west", "35.1 N, 100.2 W" or
// "35.1, -100.2", degrees.
func Coordinates(text string) (lat, lon entry.Decimal, ok bool) {
	fields := strings.FieldsFunc(strings.ToLower(strings.ReplaceAll(text, "−", "-")), func(r rune) bool {
		return r == ' ' || r == ',' || r == '°' || r == ';'
	})
	var numbers []entry.Decimal
	for _, f := range fields {
		switch f {
		case "degrees", "degree", "and":
			continue
		case "north", "n", "south", "s", "east", "e", "west", "w":
			if len(numbers) == 0 {
				return lat, lon, false
			}
			n := &numbers[len(numbers)-1]
			if (len(numbers) == 1) != (f[0] == 'n' || f[0] == 's') || n.Sign() < 0 {
				return lat, lon, false
			}
			if f[0] == 's' || f[0] == 'w' {
				*n = n.Neg()
			}
			continue
		case "minus":
			return lat, lon, false
		}
		d, err := entry.ParseDecimal(f)
		if err != nil {
			return lat, lon, false
		}
		numbers = append(numbers, d)
	}
	if len(numbers) != 2 || abs(numbers[0].Micro()) > 90*entry.DecimalScale || abs(numbers[1].Micro()) > 180*entry.DecimalScale {
		return lat, lon, false
	}
	return numbers[0], numbers[1], true
}

func abs(n int64) int64 {
	if n < 0 {
		return -n
	}
	return n
}
