package talk

import (
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/lex"
	"downlead/grammar/vocab"
)

// What is said of a fact and is no part of it, "luckily", "took a while", stays
// word for word in the remark of what it was said of.

// apart takes the asides out of a phrase. "too" is one only behind what was
// found: elsewhere it may be the number.
func (t *talker) apart(toks []lex.Token) []lex.Token {
	out := toks[:0]
	gap, brk := false, false
	for _, k := range toks {
		found := len(out) > 0 && isFound(out[len(out)-1].Class)
		if k.Class == vocab.Aside && (k.Means() != "also" || found && !k.Brk) {
			t.asides = append(t.asides, k)
			gap, brk = true, brk || k.Brk
			continue
		}
		k.Gap, k.Brk = k.Gap || gap, k.Brk || brk && len(out) > 0
		gap, brk = false, false
		out = append(out, k)
	}
	return out
}

// isFound reports a class of what was found of a part.
func isFound(c vocab.Class) bool {
	switch c {
	case vocab.Verdict, vocab.NoSignal, vocab.Soft, vocab.Condition, vocab.Symptom, vocab.Done, vocab.Cable, vocab.CableType:
		return true
	}
	return false
}

// remarkAsides puts the asides up to the next statement into the remark of the
// entry before it. Of where somebody is, of the path and of a question they say
// nothing; what is paid for has no room for them, and false is returned.
func (t *talker) remarkAsides() bool {
	end := len(t.phrase)
	if t.i < len(t.toks) {
		end = t.toks[t.i].Lo
	}
	for len(t.asides) > 0 && t.asides[0].Lo < end && len(t.entries) > 0 {
		last := len(t.entries) - 1
		k := t.asides[0]
		switch e := t.entries[last].(type) {
		case entry.Job:
			if e.Verb != "close" {
				return false
			}
		case entry.Code, entry.Miles, entry.Consent:
			return false
		case entry.Material, entry.Outcome:
			if repeats(k.Row.Say) { // "used two fittings twice", "they've rescheduled already"
				return false
			}
		}
		t.entries[last] = withRemark(t.entries[last], strings.ToLower(lex.Clean(t.phrase[k.Lo:k.Hi])))
		t.asides = t.asides[1:]
	}
	return true
}

// repeats reports an aside that says how often, or that it was before.
func repeats(say string) bool {
	return say == "already" || say == "twice" || strings.HasSuffix(say, "times")
}

// withRemark adds words to the remark of an entry, where it has one and not
// these words in it.
func withRemark(e entry.Entry, said string) entry.Entry {
	add := func(remark string) string {
		if strings.Contains(strings.ToLower(remark), said) {
			return remark
		}
		return entry.List(remark, said)
	}
	switch v := e.(type) {
	case entry.Reading:
		v.Remark = add(v.Remark)
		return v
	case entry.Action:
		v.Remark = add(v.Remark)
		return v
	case entry.Material:
		v.Remark = add(v.Remark)
		return v
	case entry.Check:
		v.Remark = add(v.Remark)
		return v
	case entry.Setting:
		v.Remark = add(v.Remark)
		return v
	case entry.Sighting:
		v.Remark = add(v.Remark)
		return v
	case entry.Symptom:
		v.Remark = add(v.Remark)
		return v
	case entry.Time:
		v.Remark = add(v.Remark)
		return v
	case entry.Outcome:
		v.Remark = add(v.Remark)
		return v
	case entry.Correction:
		v.Remark = add(v.Remark)
		return v
	case entry.Job:
		v.Text = add(v.Text)
		return v
	}
	return e
}

// withNotes puts into an entry what had to be assumed to read the tokens.
func withNotes(e entry.Entry, toks []lex.Token) entry.Entry {
	var notes []string
	for i := range toks {
		notes = toks[i].Notes(notes)
	}
	if len(notes) == 0 {
		return e
	}
	add := func(list []string) []string {
		for _, n := range notes {
			list = entry.AddNote(list, n)
		}
		return list
	}
	switch v := e.(type) {
	case entry.Reading:
		v.Assumed = add(v.Assumed)
		return v
	case entry.Action:
		v.Assumed = add(v.Assumed)
		return v
	case entry.Material:
		v.Assumed = add(v.Assumed)
		return v
	case entry.Check:
		v.Assumed = add(v.Assumed)
		return v
	case entry.Sighting:
		v.Assumed = add(v.Assumed)
		return v
	case entry.Symptom:
		v.Assumed = add(v.Assumed)
		return v
	case entry.Place:
		v.Assumed = add(v.Assumed)
		return v
	case entry.Time:
		v.Assumed = add(v.Assumed)
		return v
	case entry.Outcome:
		v.Assumed = add(v.Assumed)
		return v
	case entry.Correction:
		v.Assumed = add(v.Assumed)
		return v
	}
	return e
}
