package talk

import (
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/lex"
	"downlead/grammar/vocab"
)

// Times, as they happen and as they are told afterwards, and the turns of a
// call.

func (t *talker) told() bool {
	if !t.is(vocab.Time, vocab.Past) {
		return false
	}
	k := &t.toks[t.i]
	past := k.Class == vocab.Past
	if k.Means() == "out" {
		return t.goingOut()
	}
	if n := len(t.entries); resumes(k.Row.Say) && !(n > 0 && t.entries[n-1].Kind() == entry.KindTime) {
		return t.missing("back from a break? Say: back from lunch")
	}
	mark := entry.Time{Mark: k.Means()}
	t.i++
	if mark.Mark == "away" {
		return t.atEnd() && t.missing("is nobody there now? Say: customer not home; if somebody is, say: note customer left")
	}
	if mark.Mark == "no_access" {
		mark.Remark = t.noLonger()
	}
	if mark.Mark == "arrived" {
		if !t.take(vocab.Tail) && t.is(vocab.Time) && t.toks[t.i].Means() == mark.Mark && !t.toks[t.i].Brk {
			t.i++ // "pulled up at the house"
		}
	}
	if t.take(vocab.Was) && !(mark.Mark == "break_start" && t.is(vocab.From)) {
		if t.take(vocab.At); mark.Mark == "break_start" && t.span() {
			return true
		}
		at := t.clock()
		if at == "" {
			return false
		}
		t.entries = append(t.entries, entry.Correction{Verb: "change", Mark: mark.Mark, At: at})
		return true
	}
	if mark.Mark == "break_start" {
		if t.take(vocab.From); t.span() {
			return true
		}
		if t.isAt(t.i-1, vocab.From) {
			return false
		}
	}
	from := t.i
	if n, tells := t.sometime(); tells == "ago" {
		return t.whenWas(k.Row.Say, n)
	}
	t.take(vocab.At)
	about := t.i
	for t.is(vocab.About) || t.is(vocab.Unknown, vocab.Particle, vocab.By) && isNear(t.words(t.i, t.i+1)) {
		t.i++
	}
	t.i += t.tells(vocab.Beside)
	near := t.words(about, t.i)
	at := t.clock()
	if at == "" && near == "" {
		at, near = t.dayFirst()
	}
	if at != "" {
		if !past && comes(k.Row.Say) {
			return t.missing("is that to come? Say it when it is so, or what it was, such as: got here at ten fifteen, left at eleven")
		}
		if !past && mark.Mark != "arrived" && mark.Mark != "break_end" && mark.Mark != "break_start" && mark.Mark != "en_route" && mark.Mark != "no_access" && mark.Mark != "departed" {
			return false
		}
		if tells, _ := vocab.TellsFirst(vocab.Sometime, t.words(t.i, len(t.toks))); tells == "other_day" {
			return t.missing(otherDay)
		}
		mark.At, mark.Remark = at, entry.List(mark.Remark, near)
		t.entries = append(t.entries, mark)
		return true
	}
	t.i = from
	if n, _ := t.sometime(); n > 0 && !comes(k.Row.Say) {
		return t.whenWas(k.Row.Say, n)
	}
	if mark.Mark == "en_route" {
		t.take(vocab.Tail) // "to the job"
	}
	if past {
		return t.whenWas(k.Row.Say, 0)
	}
	t.entries = append(t.entries, mark)
	return true
}

// goingOut asks of "heading out" where to: to the job, to the dish, or away.
func (t *talker) goingOut() bool {
	t.i++
	if SaysOver(lex.Split(t.phrase[:t.toks[t.i-1].Lo])) {
		t.entries = append(t.entries, entry.Time{Mark: "departed"})
		return true
	}
	return t.atEnd() && t.missing("out to the dish, on the way to a job, or leaving? Say: at the dish, on my way, or: leaving")
}

// resumes reports words that end a break only where one was spoken of.
func resumes(say string) bool { return say == "back on it" || say == "back to it" }

// comes reports words that, with a time of day, tell what is to come.
func comes(say string) bool {
	first, _, _ := strings.Cut(strings.TrimPrefix(strings.TrimPrefix(say, "i am "), "we are "), " ")
	return strings.HasSuffix(first, "ing") && first != "starting" && first != "morning"
}

// isNear reports a word that says that a time is near another.
func isNear(w string) bool {
	switch strings.ToLower(w) {
	case "around", "by", "about", "roughly":
		return true
	}
	return false
}

// dayFirst takes a time behind its part of the day: "this morning at 8:50".
func (t *talker) dayFirst() (at, near string) {
	from := t.i
	for n := 2; n > 0; n-- {
		part := strings.ToLower(t.words(from, from+n))
		if !lex.IsPartOfDay(part) {
			continue
		}
		t.i = from + n
		t.take(vocab.At)
		about := t.i
		for t.is(vocab.About) || t.is(vocab.Unknown, vocab.Particle, vocab.By) && isNear(t.words(t.i, t.i+1)) {
			t.i++
		}
		near = t.words(about, t.i)
		if at = t.clockOf(func(said string) (string, bool) { return lex.DayTime(said + " " + part) }); at != "" {
			return at, near
		}
	}
	t.i = from
	return "", ""
}

// noLonger takes what says that somebody was there before, or will be.
func (t *talker) noLonger() string {
	from := t.i
	t.i += t.tells(vocab.NoLonger)
	return strings.ToLower(t.words(from, t.i))
}

// tells is how many tokens are a row of a hint; 0 where none are.
func (t *talker) tells(hint vocab.Class) int {
	for n := len(t.toks) - t.i; n > 0; n-- {
		if _, tells := vocab.Tells(hint, strings.ToLower(t.words(t.i, t.i+n))); tells {
			return n
		}
	}
	return 0
}

// otherDay is what a time of another day lacks.
const otherDay = "a time is kept of the day that it is said on; of another day say: note, and what was then"

// whenWas asks for the time of what was told with n tokens that name none.
func (t *talker) whenWas(say string, n int) bool {
	tells, _ := vocab.TellsLast(vocab.Sometime, t.words(t.i, t.i+n))
	t.i += n
	if tells == "other_day" {
		return t.missing(otherDay)
	}
	return t.missing("when was that? Say the time, such as: " + sinceNone(say) + " at ten fifteen")
}

// sometime is how many tokens say when something was, and no time of day, "a
// while ago", "earlier", "two hours ago", and what their end tells; 0 where none do.
func (t *talker) sometime() (n int, tells string) {
	for j := len(t.toks); j > t.i; j-- {
		if tells, ok := vocab.TellsLast(vocab.Sometime, t.words(t.i, j)); ok {
			return j - t.i, tells
		}
	}
	return 0, ""
}

// sinceNone is what was said of a time, without the word that leads to its hour.
func sinceNone(say string) string {
	say = strings.TrimSuffix(strings.TrimSuffix(say, " since"), " by")
	if say == "been here" {
		return "got here"
	}
	return say
}

// span reads when a break began and ended: "twelve to twelve thirty".
func (t *talker) span() bool {
	start := t.i
	from := t.clockOf(lex.PlainTime)
	if from != "" && (t.take(vocab.To) || t.until()) {
		if to := t.clock(); to != "" {
			t.entries = append(t.entries, entry.Time{Mark: "break_start", At: from}, entry.Time{Mark: "break_end", At: to})
			return true
		}
	}
	t.i = start
	return false
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
func (t *talker) clock() string { return t.clockOf(lex.DayTime) }

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

// turn reads the turns of a call: outcomes, and other jobs.
func (t *talker) turn() bool {
	switch {
	case t.is(vocab.Outcome):
		return t.outcome()
	case t.is(vocab.WrongJob):
		t.i++
		for t.take(vocab.JobWord, vocab.Repair, vocab.Correct) || t.is(vocab.Unknown) && points(strings.ToLower(t.words(t.i, t.i+1))) && t.take(vocab.Unknown) {
		}
		t.take(vocab.Was)
		return t.jobNumber("rename") || t.missing("which number is right? Say: wrong job, it is, and the number; for another job say: back to job, and its number")
	case t.is(vocab.BackTo), t.is(vocab.Particle) && t.isAt(t.i+1, vocab.JobWord) && t.toks[t.i].Row.Say == "back on":
		t.i++
		return t.take(vocab.JobWord) && (t.jobNumber("switch") || t.missing("which job? Say: back to job, and its number"))
	case t.is(vocab.JobWord):
		t.i++
		return t.jobNumber("switch")
	}
	return false
}

func (t *talker) outcome() bool {
	o := entry.Outcome{Outcome: t.toks[t.i].Means()}
	if strings.Contains(t.toks[t.i].Row.Say, "call") && o.Outcome == "rescheduled" {
		o.Remark = t.toks[t.i].Row.Say // "customer will call to reschedule": no day is named yet
	}
	t.i++
	if o.Outcome == "no_fault_found" && strings.HasPrefix(t.last().Row.Say, "everything") && strings.Contains(" "+strings.ToLower(t.phrase[t.last().Hi:])+" ", " now ") {
		return t.missing("what is good now? Say: all receivers good, or the point, such as: receiver two good")
	}
	if o.Outcome == "needs_help" && t.is(vocab.Force) && strings.HasPrefix(t.toks[t.i].Row.Say, "out ") { // "another tech out here"
		t.i++
	}
	if o.Outcome == "needs_help" && !t.atEnd() && t.is(vocab.For, vocab.On, vocab.With) { // "a second tech for the roof"
		from := t.i
		for t.i++; !t.atEnd() && t.i-from < mostPlaceWords; t.i++ {
		}
		if said := t.words(from, t.i); strays(said) || lex.Turns(said) {
			return false
		}
		o.Remark = t.words(from, t.i)
		t.entries = append(t.entries, o)
		return true
	}
	if say := t.last().Row.Say; o.Outcome == "rescheduled" && (strings.HasSuffix(say, "be back") || strings.HasPrefix(say, "coming back") || say == "returning") && !namesDay(t.words(t.i, len(t.toks))) {
		return false // "back at ten" is of today
	}
	if o.Outcome == "rescheduled" && t.i < len(t.toks) {
		from := t.i
		aims := t.take(vocab.For, vocab.To) || endsAim(t.last().Row.Say)
		said := t.words(t.i, len(t.toks))
		for _, lead := range []string{"this ", "it ", "them ", "us ", "for ", "to "} {
			said = strings.TrimPrefix(said, lead)
		}
		if t.i == len(t.toks) || !namesTime(said) || !aims && !namesDay(said) && !strings.HasPrefix(said, "until ") && !strings.HasPrefix(said, "till ") && !strings.HasPrefix(said, "at ") && !strings.HasPrefix(said, "in ") && !strings.HasPrefix(said, "later") && !strings.HasPrefix(said, "on ") || strings.HasPrefix(said, "last ") || strings.HasPrefix(said, "from ") || strings.Contains(t.last().Row.Say, "moved") && !namesDay(said) || lex.Turns(strings.NewReplacer("when", "", "last", "", "before", "", "tomorrow", "", "later", "").Replace(said)) || len(strings.Fields(said)) > 8 {
			t.i = from
			return false
		}
		o.When = said
		t.i = len(t.toks)
	}
	t.entries = append(t.entries, o)
	return true
}

// endsAim reports words that a day must follow: "moved the job to".
func endsAim(say string) bool { return strings.HasSuffix(say, " to") || strings.HasSuffix(say, " for") }

// namesDay reports that words name another day.
func namesDay(said string) bool {
	for w := range strings.FieldsSeq(strings.ToLower(strings.Map(wordRune, said))) {
		switch strings.TrimSuffix(w, "s") {
		case "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday", "tomorrow", "week", "month", "next":
			return true
		}
	}
	return false
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
		if _, number := lex.ClockNumbers()[w]; number || w[0] >= '0' && w[0] <= '9' || strings.HasSuffix(w, "teenth") || strings.HasSuffix(w, "tieth") {
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
	if t.is(vocab.Digits) && t.toks[t.i].Text != "" { // typed, with letters in it
		number = t.toks[t.i].Text
		t.i++
		t.entries = append(t.entries, entry.Job{Verb: verb, Number: number})
		return true
	}
	for t.is(vocab.Figure, vocab.Count, vocab.Digit, vocab.Zero, vocab.Teen, vocab.Tens, vocab.Numeral, vocab.Digits, vocab.Index) && !(number != "" && t.toks[t.i].Brk) {
		number += strings.ReplaceAll(t.words(t.i, t.i+1), " ", "")
		t.i++
	}
	if number == "" {
		return false
	}
	if strings.Trim(number, "0123456789") != "" {
		var ok bool
		if number, ok = t.l.Digits(t.phrase, t.toks, t.i); !ok {
			return false
		}
	}
	t.entries = append(t.entries, entry.Job{Verb: verb, Number: number})
	return true
}
