package lex

import (
	"fmt"
	"strconv"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// DayTime is clockTime, with halves and quarters, and with the afternoon for
// the hours one to six.
func DayTime(said string) (string, bool) {
	lower := strings.ToLower(said)
	for _, part := range []struct {
		lead    string
		minutes int
	}{{"half past ", 30}, {"quarter past ", 15}, {"quarter after ", 15}, {"quarter to ", -15}, {"quarter till ", -15}, {"quarter of ", -15}, {"quarter til ", -15}, {"a quarter to ", -15}, {"a quarter past ", 15}} {
		if rest, ok := strings.CutPrefix(lower, part.lead); ok {
			at, ok := DayTime(rest)
			if !ok || !strings.HasSuffix(at, ":00") {
				return "", false
			}
			hour, _ := strconv.Atoi(at[:2])
			minutes := (hour*60 + part.minutes + 24*60) % (24 * 60)
			return fmt.Sprintf("%02d:%02d", minutes/60, minutes%60), true
		}
	}
	if at, ok := minutesFrom(lower); ok {
		return at, true
	}
	return PlainTime(said)
}

// PlainTime is dayTime without the minutes to or past an hour: after "from"
// the word "to" says until when.
func PlainTime(said string) (string, bool) {
	lower := strings.ToLower(said)
	if strings.ContainsAny(lower, ",-−") {
		return "", false
	}
	at, ok := ClockTime(said)
	if !ok {
		return "", false
	}
	if hour := vocab.Atoi(at[:2]); hour >= 1 && hour <= 6 && !strings.HasPrefix(lower, "0") && !strings.Contains(lower, "m") {
		at = fmt.Sprintf("%02d%s", hour+12, at[2:])
	}
	return at, true
}

// minutesFrom reads "ten to four", "twenty past nine".
func minutesFrom(said string) (string, bool) {
	words := strings.Fields(said)
	for i, w := range words {
		sign := 0
		switch w {
		case "to", "till", "til", "before", "of":
			sign = -1
		case "past", "after":
			sign = 1
		}
		if sign == 0 || i == 0 || i == len(words)-1 {
			continue
		}
		lead := words[:i]
		if last := lead[len(lead)-1]; last == "minutes" || last == "minute" {
			lead = lead[:len(lead)-1]
		}
		minutes, seconds, ok := hourMinute(lead)
		at, hour := DayTime(strings.Join(words[i+1:], " "))
		if !ok || len(lead) != 1 || seconds != 0 || lead[0] == "noon" || minutes <= 0 || minutes > 29 || minutes%5 != 0 && len(lead) == i || !hour || !strings.HasSuffix(at, ":00") {
			return "", false
		}
		total := (vocab.Atoi(at[:2])*60 + sign*minutes + 24*60) % (24 * 60)
		return fmt.Sprintf("%02d:%02d", total/60, total%60), true
	}
	return "", false
}

// ClockTime reads a time of day, "eight ten", "14:30", "8 10 pm", "noon", as "15:04".
func ClockTime(text string) (string, bool) {
	lower := strings.ToLower(strings.NewReplacer(".", "", "’", "'").Replace(text))
	if rest, part := partOfDay(strings.TrimSpace(lower)); part != nil {
		at, ok := ClockTime(rest)
		if !ok {
			return "", false
		}
		hour := vocab.Atoi(at[:2])
		if part.pm && hour < 12 {
			hour += 12
		}
		if hour < part.from || hour > part.to {
			return "", false
		}
		return fmt.Sprintf("%02d%s", hour, at[2:]), true
	}
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

// dayPart is a part of this day and the hours that people call by it: common
// practice, no source.
type dayPart struct {
	say      string
	from, to int // hours, both of it
	pm       bool
}

// IsPartOfDay reports words for a part of this day.
func IsPartOfDay(said string) bool {
	_, part := partOfDay("0 " + said)
	return part != nil && said == part.say
}

// partOfDay cuts the part of the day off a time: "8:50 this morning".
func partOfDay(said string) (string, *dayPart) {
	for _, part := range []dayPart{{"this morning", 0, 11, false}, {"this afternoon", 12, 18, true}, {"this evening", 16, 23, true}, {"tonight", 17, 23, true}} {
		if rest, found := strings.CutSuffix(said, " "+part.say); found {
			return rest, &part
		}
	}
	return said, nil
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
	numbers := ClockNumbers()
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

// ClockNumbers are the number words of the vocabulary table by their value.
func ClockNumbers() map[string]int {
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
