package talk

import (
	"slices"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/lex"
	"downlead/grammar/vocab"
)

// What stands around the readings and repairs of a call: where the house is,
// how far it was, what the customer was shown.

// address reads where the house is: "we're at 22 Hickory Lane". Without a word
// for a street, a number and a name are no address.
func (t *talker) address() bool {
	if t.i > 0 {
		return false
	}
	t.take(vocab.Stand)
	t.take(vocab.At)
	from := t.i
	if from >= len(t.toks) {
		return false
	}
	lead := t.phrase[t.toks[from].Lo]
	if lead < '0' || lead > '9' {
		return false
	}
	for t.i++; t.is(vocab.Unknown, vocab.Side, vocab.Ordinal, vocab.Room, vocab.Force, vocab.Digit, vocab.Figure, vocab.Old, vocab.New, vocab.Element, vocab.Stuff, vocab.Weather, vocab.Output, vocab.Condition, vocab.Particle); t.i++ {
		if t.isAt(t.i+1, vocab.Street) && t.i+2 == len(t.toks) {
			t.i += 2
			t.entries = append(t.entries, entry.Site{Text: lex.Address(t.words(from, t.i))})
			return true
		}
	}
	return false
}

// driven reads miles without "drove": "eighteen miles to get here".
func (t *talker) driven() bool {
	put := t.is(vocab.Put) && t.toks[t.i].Row.Say == "put" && t.isAt(t.i+1, vocab.Distance)
	if !t.take(vocab.Was) && !t.take(vocab.Drove) && put {
		t.i++
	}
	if !t.take(vocab.Distance) {
		return false
	}
	t.entries = append(t.entries, entry.Miles{Value: t.last().Value})
	if put {
		return t.take(vocab.On, vocab.Tail) // "put seventeen miles on"
	}
	if t.is(vocab.Force) && strings.HasPrefix(t.toks[t.i].Row.Say, "out ") { // "thirty miles out here"
		t.i++
	}
	t.take(vocab.Tail)
	return true
}

// taught reads that the customer was shown how things work, or told what was
// wrong: "explained what was done", "went over the repair with the homeowner".
func (t *talker) taught() bool {
	if t.i > 0 && t.isAt(t.i-1, vocab.Not) {
		return false
	}
	from := t.i
	verdict := entry.Pass
	if t.is(vocab.Taught) && t.toks[t.i].Means() == string(entry.NotApplicable) { // "nobody to show"
		verdict = entry.NotApplicable
	}
	withWhom := t.is(vocab.Looked, vocab.Action, vocab.Unknown, vocab.Used, vocab.Ran) && reviews(t.words(t.i, t.i+1))
	if !t.is(vocab.Taught) && !withWhom {
		return false
	}
	for t.i++; t.i < len(t.toks) && !t.toks[t.i].Brk; t.i++ {
		if lex.IsMeasure(t.toks[t.i].Class) && !t.is(vocab.For) && !(t.is(vocab.Verdict) && (t.isAt(t.i+1, vocab.Element, vocab.Cable) || t.isAt(t.i-1, vocab.Was) && t.toks[t.i].Means() == string(entry.Fail) || strings.Contains(strings.ToLower(t.words(from, t.i)), " how"))) || t.is(vocab.Time, vocab.Code) || t.is(vocab.Action) && t.words(t.i-2, t.i) != "how to" && !t.isAt(t.i-1, vocab.Agent) { // "how to reset the box"
			return false
		}
	}
	said := t.words(from, t.i)
	if verdict == entry.Pass && (saysElse(said) || t.letKnow(from)) {
		return false
	}
	if withWhom && !namesPerson(said) || hedges(t.words(from+1, t.i)) {
		return false
	}
	t.entries = append(t.entries, entry.Check{Check: "education", Verdict: verdict, Remark: said})
	return true
}

// letKnow reports "let the customer know" with nothing behind it of the fault or
// the work: that he knows when somebody comes is no education.
func (t *talker) letKnow(from int) bool {
	if !strings.HasPrefix(t.toks[from].Row.Say, "let ") {
		return false
	}
	for i := from + 1; i < t.i; i++ {
		if t.isAt(i, vocab.Element, vocab.Cable, vocab.Ends, vocab.Stuff, vocab.Condition, vocab.Agent) {
			return false
		}
		switch strings.ToLower(t.words(i, i+1)) {
		case "what", "how", "why", "fault", "problem", "trouble", "repair", "wrong", "fixed":
			return false
		}
	}
	return true
}

// saysElse reports that what the customer was told is of the technician, and
// not of the fault or the work: "I'd be late", "we're leaving".
func saysElse(said string) bool {
	said = strings.ReplaceAll(strings.ToLower(said), "’", "'")
	for w := range strings.FieldsSeq(said) {
		switch w {
		case "i'd", "i'll", "we'll", "we'd", "i'm", "we're", "late", "running", "coming", "leaving", "reschedule", "call", "callback", "arrive", "arriving", "eta", "tech", "technician", "bill", "charge", "pay", "price", "cost", "appointment", "delay", "dog", "dogs", "when", "need", "needs", "tomorrow", "time":
			return true
		}
	}
	return strings.HasSuffix(said, " to") || strings.Contains(said, " i am ") || strings.Contains(said, " i was ") || strings.Contains(said, " we are ")
}

// reviews reports what one does with somebody: "went over … with".
func reviews(verb string) bool {
	switch strings.ToLower(verb) {
	case "went over", "reviewed", "covered", "explained", "discussed", "demonstrated", "showed", "talked", "sat", "went through", "ran", "ran through", "walked", "talked through":
		return true
	}
	return false
}

// namesPerson reports that words name one of the house, with or to whom
// something was gone over.
func namesPerson(said string) bool {
	words := strings.Fields(strings.ToLower(said))
	for i, w := range words {
		if w != "with" && w != "to" {
			continue
		}
		for _, who := range words[i+1 : min(i+4, len(words))] {
			switch who {
			case "customer", "homeowner", "client", "owner", "tenant", "lady", "gentleman", "wife", "husband", "guy", "couple", "family", "folks", "them", "him", "her", "mrs", "everybody", "everyone":
				return true
			}
		}
	}
	return false
}

// hedges reports words that tell what is not so yet, or not sure, and who is
// told to do something. What was wrong may be told in the past.
func hedges(said string) bool {
	if strings.HasPrefix(said, "to ") {
		return true
	}
	past := map[string]bool{"was": true, "were": true, "when": true, "before": true, "last": true, "ago": true, "yesterday": true, "told": true}
	kept := make([]string, 0, 8)
	for w := range strings.FieldsSeq(strings.ToLower(said)) {
		if !past[w] {
			kept = append(kept, w)
		}
	}
	return lex.Turns(strings.Join(kept, " "))
}

// coded reads a work code with its units before or after it.
func (t *talker) coded() bool {
	var c entry.Code
	if t.take(vocab.UnitCount) {
		c.Units = t.last().Value
	}
	if !t.take(vocab.Code) || !t.take(vocab.CodeDigits, vocab.CodeName) {
		return false
	}
	c.Code = entry.OrElse(t.last().Text, t.last().Means())
	switch {
	case c.Units.Said():
	case t.take(vocab.UnitCount):
		c.Units = t.last().Value
	case t.is(vocab.Times) && t.isAt(t.i+1, vocab.Figure, vocab.Count, vocab.Digit):
		t.i += 2
		c.Units = t.last().Value
	}
	t.entries = append(t.entries, c)
	return true
}

// setting reads a limit, the weather or the temperature.
func (t *talker) setting() bool {
	var s entry.Setting
	switch {
	case t.take(vocab.Weather):
		s = entry.Setting{Name: "weather", Text: t.last().Means()}
		if n := len(t.entries); n > 0 && s.Text == "dry" { // "was wet but it's dry now" is of the part
			if _, seen := t.entries[n-1].(entry.Sighting); seen {
				return false
			}
		}
		if strings.Contains(t.last().Row.Say, "not ") && t.is(vocab.Force, vocab.Degree) { // "isn't raining hard"
			return false
		}
		for t.is(vocab.Force, vocab.Degree, vocab.Output) && !t.toks[t.i].Brk {
			s.Remark = entry.List(s.Remark, t.words(t.i, t.i+1))
			t.i++
		}
	case t.is(vocab.Figure, vocab.Count, vocab.Digit) && t.isAt(t.i+1, vocab.UnitDegrees), t.words(t.i, t.i+1) == "about" && t.isAt(t.i+2, vocab.UnitDegrees):
		from := t.i
		for !t.is(vocab.UnitDegrees) {
			t.i++
		}
		s = entry.Setting{Name: "temperature_f", Value: t.last().Value}
		if t.i-from > 1 {
			s.Remark = t.words(from, from+1)
		}
		if t.i++; !t.take(vocab.Output, vocab.Force, vocab.Weather) || !strings.HasPrefix(t.last().Row.Say, "out") {
			return false
		}
	case t.is(vocab.Begun) && t.isAt(t.i+1, vocab.Weather):
		t.i += 2
		s = entry.Setting{Name: "weather", Text: t.last().Means()}
	case t.is(vocab.Threshold) && t.isAt(t.i+1, vocab.Score):
		t.i += 2
		s = entry.Setting{Name: "threshold", Value: t.last().Value}
		if t.is(vocab.For, vocab.On) && t.isAt(t.i+1, vocab.Slot) || t.is(vocab.Slot) {
			t.take(vocab.For, vocab.On)
			if t.i++; !t.take(vocab.Orbit) {
				return false
			}
			s.Slot = t.number(t.last())
		} else if t.is(vocab.For) && t.isAt(t.i+1, vocab.Figure, vocab.Limit) && isOrbit(t.toks[t.i+1].Value) { // "for one nineteen"
			t.i += 2
			s.Slot = t.number(t.last())
		}
	case t.is(vocab.Floor) && t.isAt(t.i+1, vocab.Level):
		t.i += 2
		s = entry.Setting{Name: "floor_dbm", Value: t.last().Value}
	case t.is(vocab.Temperature) && t.isAt(t.i+1, vocab.Force) && t.isAt(t.i+2, vocab.Figure, vocab.Level, vocab.Warmth):
		t.i += 3
		s = entry.Setting{Name: "temperature_f", Value: t.last().Value}
		t.take(vocab.UnitDegrees)
	case t.is(vocab.Temperature) && t.isAt(t.i+1, vocab.Warmth):
		t.i += 2
		s = entry.Setting{Name: "temperature_f", Value: t.last().Value}
	default:
		return false
	}
	t.entries = append(t.entries, s)
	return true
}

// closed reads the end of a job, with the words that lead to it: "I'm done,
// close job".
func (t *talker) closed() bool {
	start := t.i
	t.i += Ending(t.phrase, t.toks[t.i:])
	said := strings.ToLower(t.words(start, t.i))
	if said != "" {
		if _, over := vocab.TellsLast(vocab.Over, said); !over {
			return false
		}
		t.take(vocab.And)
	}
	switch {
	case t.take(vocab.JobClose):
	case said != "" && t.i+1 == len(t.toks) && strings.EqualFold(trimEnd(lex.Clean(t.phrase[t.toks[t.i].Lo:])), "close it"): // "job complete, close it"
		t.i++
	default:
		return false
	}
	t.entries = append(t.entries, entry.Job{Verb: "close", Text: said})
	return t.i == len(t.toks)
}

// Ending is how many tokens, from the first on, are what people say when a job is
// over, and of nothing in particular: "I'm all done", "job finished".
func Ending(phrase string, toks []lex.Token) int {
	n := 0
	for ; n < len(toks); n++ {
		switch toks[n].Class {
		case vocab.Stand, vocab.Some, vocab.JobWord:
			continue
		}
		if _, over := vocab.Tells(vocab.Over, strings.ToLower(phrase[toks[n].Lo:toks[n].Hi])); !over {
			break
		}
	}
	return n
}

// SaysOver reports that one of the words says that something is over: "all done".
func SaysOver(words []lex.Word) bool {
	return slices.ContainsFunc(words, func(w lex.Word) bool {
		_, over := vocab.Tells(vocab.Over, w.Text)
		return over
	})
}

// ofNone is the row of "both" for "either", and of "all" for "any", behind a
// place at which there is no signal: "no signal on either receiver"; or nil.
func (t *talker) ofNone(k lex.Token, before []lex.Token) *vocab.Row {
	n := len(before)
	if n < 2 || before[n-2].Class != vocab.NoSignal {
		return nil
	}
	switch before[n-1].Class {
	case vocab.On, vocab.At, vocab.In, vocab.Behind:
	default:
		return nil
	}
	same := map[string]string{"either": "both", "any": "all"}[strings.ToLower(t.phrase[k.Lo:k.Hi])]
	if some := t.l.Trie.Get(same); some != nil {
		return some.Row
	}
	return nil
}
