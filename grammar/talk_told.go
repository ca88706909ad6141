package grammar

import (
	"fmt"
	"strconv"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// Times, as they happen and as they are told afterwards, and the turns of a
// call.

func (t *talker) told() bool {
	if !t.is(vocab.Time, vocab.Past) {
		return false
	}
	k := &t.toks[t.i]
	past := k.class == vocab.Past
	mark := entry.Time{Mark: k.means()}
	t.i++
	if t.take(vocab.Was) && !(mark.Mark == "break_start" && t.is(vocab.From)) {
		t.take(vocab.At)
		at := t.clock()
		if at == "" {
			return false
		}
		t.entries = append(t.entries, entry.Correction{Verb: "change", Mark: mark.Mark, At: at})
		return true
	}
	if mark.Mark == "break_start" && t.is(vocab.From) {
		t.i++
		from := t.clockOf(plainTime)
		if from == "" || !t.take(vocab.To) && !t.until() {
			return false
		}
		to := t.clock()
		if to == "" {
			return false
		}
		t.entries = append(t.entries, entry.Time{Mark: "break_start", At: from}, entry.Time{Mark: "break_end", At: to})
		return true
	}
	t.take(vocab.At)
	if at := t.clock(); at != "" {
		if !past && mark.Mark != "arrived" && mark.Mark != "break_end" && mark.Mark != "break_start" && mark.Mark != "en_route" && mark.Mark != "no_access" && mark.Mark != "departed" {
			return false
		}
		mark.At = at
		t.entries = append(t.entries, mark)
		return true
	}
	if mark.Mark == "en_route" {
		t.take(vocab.Tail) // "to the job"
	}
	if past {
		return t.missing("when was that? Say the time, such as: " + k.row.Say + " at ten fifteen")
	}
	t.entries = append(t.entries, mark)
	return true
}

func (t *talker) until() bool {
	if t.is(vocab.Unknown) {
		switch t.words(t.i, t.i+1) {
		case "until", "till", "til":
			t.i++
			return true
		}
	}
	return false
}

// clock takes a time of day; "" where none starts here. Of a clock of twelve
// hours without more, one to six are of the afternoon: nobody works at night
// on these calls. A judgement; what was taken is read back in full.
func (t *talker) clock() string { return t.clockOf(dayTime) }

func (t *talker) clockOf(read func(string) (string, bool)) string {
	most := min(t.i+8, len(t.toks))
	for j := most; j > t.i; j-- {
		said := t.words(t.i, j)
		if at, ok := read(said); ok {
			t.i = j
			return at
		}
	}
	return ""
}

// dayTime is clockTime, with halves and quarters, and with the afternoon for
// the hours one to six.
func dayTime(said string) (string, bool) {
	lower := strings.ToLower(said)
	for _, part := range []struct {
		lead    string
		minutes int
	}{{"half past ", 30}, {"quarter past ", 15}, {"quarter after ", 15}, {"quarter to ", -15}, {"quarter till ", -15}, {"a quarter to ", -15}, {"a quarter past ", 15}} {
		if rest, ok := strings.CutPrefix(lower, part.lead); ok {
			at, ok := dayTime(rest)
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
	return plainTime(said)
}

// plainTime is dayTime without the minutes to or past an hour: after "from"
// the word "to" says until when.
func plainTime(said string) (string, bool) {
	lower := strings.ToLower(said)
	if strings.ContainsAny(lower, ",-−") {
		return "", false
	}
	at, ok := clockTime(said)
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
		case "to", "till", "til", "before":
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
		at, hour := dayTime(strings.Join(words[i+1:], " "))
		if !ok || len(lead) != 1 || seconds != 0 || lead[0] == "noon" || minutes <= 0 || minutes > 29 || minutes%5 != 0 && len(lead) == i || !hour || !strings.HasSuffix(at, ":00") {
			return "", false
		}
		total := (vocab.Atoi(at[:2])*60 + sign*minutes + 24*60) % (24 * 60)
		return fmt.Sprintf("%02d:%02d", total/60, total%60), true
	}
	return "", false
}

// turn reads the turns of a call: outcomes, and other jobs.
func (t *talker) turn() bool {
	switch {
	case t.is(vocab.Outcome):
		return t.outcome()
	case t.is(vocab.WrongJob):
		t.i++
		for t.take(vocab.JobWord, vocab.Repair, vocab.Correct) {
		}
		t.take(vocab.Was)
		return t.jobNumber("rename") || t.missing("which number is right? Say: wrong job, it is, and the number; for another job say: back to job, and its number")
	case t.is(vocab.BackTo), t.is(vocab.Particle) && t.isAt(t.i+1, vocab.JobWord) && t.toks[t.i].row.Say == "back on":
		t.i++
		return t.take(vocab.JobWord) && (t.jobNumber("switch") || t.missing("which job? Say: back to job, and its number"))
	case t.is(vocab.JobWord):
		t.i++
		return t.jobNumber("switch")
	}
	return false
}

func (t *talker) outcome() bool {
	o := entry.Outcome{Outcome: t.toks[t.i].means()}
	if strings.Contains(t.toks[t.i].row.Say, "call") && o.Outcome == "rescheduled" {
		o.Remark = t.toks[t.i].row.Say // "customer will call to reschedule": no day is named yet
	}
	t.i++
	if o.Outcome == "needs_help" && t.is(vocab.Force) && strings.HasPrefix(t.toks[t.i].row.Say, "out ") { // "another tech out here"
		t.i++
	}
	if o.Outcome == "rescheduled" && t.i < len(t.toks) {
		from := t.i
		t.take(vocab.For, vocab.To)
		said := strings.TrimPrefix(strings.TrimPrefix(t.words(t.i, len(t.toks)), "for "), "to ")
		if t.i == len(t.toks) || !namesTime(said) || turns(strings.NewReplacer("when", "", "last", "", "before", "", "tomorrow", "", "later", "").Replace(said)) || len(strings.Fields(said)) > 8 {
			t.i = from
			return false
		}
		o.When = said
		t.i = len(t.toks)
	}
	t.entries = append(t.entries, o)
	return true
}

// namesTime reports that words say when: a day, a week, a time of day.
func namesTime(said string) bool {
	for w := range strings.FieldsSeq(strings.ToLower(strings.Map(wordRune, said))) {
		switch strings.TrimSuffix(w, "s") {
		case "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday", "mon", "tue", "wed", "thur", "fri", "sat", "sun",
			"tomorrow", "tonight", "today", "later", "soon", "week", "weekend", "month", "day", "morning", "afternoon", "evening", "noon", "hour", "date",
			"january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december",
			"am", "pm", "oclock", "first", "second", "third", "fourth", "fifth", "th", "next":
			return true
		}
		if _, number := clockNumbers()[w]; number || w[0] >= '0' && w[0] <= '9' || strings.HasSuffix(w, "teenth") || strings.HasSuffix(w, "tieth") {
			return true
		}
	}
	return false
}

func wordRune(r rune) rune {
	if r == '\'' || r == '’' || r == '.' {
		return -1
	}
	if r == ',' || r == '-' {
		return ' '
	}
	return r
}

// jobNumber takes the number of a job, digit by digit or typed.
func (t *talker) jobNumber(verb string) bool {
	number := ""
	if t.is(vocab.Digits) && t.toks[t.i].text != "" { // typed, with letters in it
		number = t.toks[t.i].text
		t.i++
		t.entries = append(t.entries, entry.Job{Verb: verb, Number: number})
		return true
	}
	for t.is(vocab.Figure, vocab.Count, vocab.Digit, vocab.Zero, vocab.Teen, vocab.Tens, vocab.Numeral, vocab.Digits, vocab.Index) && !(number != "" && t.toks[t.i].brk) {
		number += strings.ReplaceAll(t.words(t.i, t.i+1), " ", "")
		t.i++
	}
	if number == "" {
		return false
	}
	if strings.Trim(number, "0123456789") != "" {
		var ok bool
		if number, ok = t.l.digits(t.phrase, t.toks, t.i); !ok {
			return false
		}
	}
	t.entries = append(t.entries, entry.Job{Verb: verb, Number: number})
	return true
}

// digits reads number words at the end of tokens i as an identifier.
func (l *lexicon) digits(phrase string, toks []token, i int) (string, bool) {
	lo := i
	for lo > 0 && (toks[lo-1].class == vocab.Figure || startsNumber(toks[lo-1].class) || toks[lo-1].class == vocab.Count) {
		lo--
	}
	raw := l.rawTokens(phrase[:toks[i-1].hi], splitWords(phrase[:toks[i-1].hi]))
	for len(raw) > 0 && raw[0].lo < toks[lo].lo {
		raw = raw[1:]
	}
	if len(raw) == 0 {
		return "", false
	}
	k, n := l.joinSpelled(raw, vocab.Digits)
	return k.text, n == len(raw) && k.text != ""
}
