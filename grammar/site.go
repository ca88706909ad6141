package grammar

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// address writes an address as one is written: the words of its street begin
// with capitals where somebody typed none.
func address(text string) string {
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

// coordinates reads "35.1 north 100.2 west", "35.1 N, 100.2 W" or
// "35.1, -100.2", degrees.
func coordinates(text string) (lat, lon entry.Decimal, ok bool) {
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

// clockTime reads a time of day, "eight ten", "14:30", "8 10 pm", "noon", as "15:04".
func clockTime(text string) (string, bool) {
	lower := strings.ToLower(strings.NewReplacer(".", "", "’", "'").Replace(text))
	after := -1
	for _, half := range []struct {
		word string
		add  int
	}{{"am", 0}, {"a m", 0}, {"in the morning", 0}, {"pm", 12}, {"p m", 12}, {"in the afternoon", 12}, {"in the evening", 12}} {
		if rest, found := strings.CutSuffix(strings.TrimSpace(lower), half.word); found {
			lower, after = rest, half.add
			break
		}
	}
	hour, minute, ok := hourMinute(strings.Fields(strings.ReplaceAll(lower, ":", " ")))
	if !ok || hour > 23 || minute > 59 || after >= 0 && (hour == 0 || hour > 12) {
		return "", false
	}
	if after >= 0 {
		hour = hour%12 + after
	}
	return fmt.Sprintf("%02d:%02d", hour, minute), true
}

// hourMinute reads an hour and perhaps minutes, in words or digits.
func hourMinute(words []string) (hour, minute int, ok bool) {
	if len(words) > 0 && words[0] == "at" {
		words = words[1:]
	}
	switch {
	case len(words) == 1 && words[0] == "noon":
		return 12, 0, true
	case len(words) == 1 && words[0] == "midnight":
		return 0, 0, true
	}
	numbers := clockNumbers()
	var got []int
	for i := 0; i < len(words); i++ {
		w := words[i]
		if w == "o'clock" || w == "oclock" || (w == "hundred" || w == "hours") && len(got) == 1 { // "fifteen hundred"
			continue
		}
		n, known := numbers[w]
		if !known {
			d, err := entry.ParseDecimal(w)
			if err != nil || d.Micro() < 0 || d.Micro()%entry.DecimalScale != 0 {
				return 0, 0, false
			}
			n = int(d.Micro() / entry.DecimalScale)
		}
		tens := len(got) > 0 && got[len(got)-1] >= 20 && got[len(got)-1]%10 == 0 && known && n > 0 && n < 10 && i > 0
		zero := len(got) > 1 && got[len(got)-1] == 0 && known
		if tens || zero {
			got[len(got)-1] += n
			continue
		}
		got = append(got, n)
	}
	switch len(got) {
	case 1:
		if got[0] > 23 && len(words) == 1 && got[0] < 2400 { // "1430"
			return got[0] / 100, got[0] % 100, got[0] >= 100
		}
		return got[0], 0, true
	case 2:
		return got[0], got[1], true
	}
	return 0, 0, false
}

// clockNumbers are the number words of the vocabulary table by their value.
func clockNumbers() map[string]int {
	out := map[string]int{}
	for _, r := range vocab.NumberRows() {
		switch r.Class {
		case vocab.Zero, vocab.Digit, vocab.Teen, vocab.Tens:
			if !strings.Contains(r.Say, " ") {
				out[r.Say] = r.Num
			}
		}
	}
	return out
}
