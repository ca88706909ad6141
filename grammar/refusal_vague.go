package grammar

import (
	"strconv"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/lex"
	"downlead/grammar/talk"
	"downlead/grammar/vocab"
)

// deeds is what can be said to have been done, for who says less than that.
const deeds = "replaced, re-terminated, tightened, cleaned, sealed, trimmed, re-aimed, added, removed, bypassed, swapped, moved, rerouted, restored, reset or plugged in"

// vague is the error of a phrase that says that something was done and not
// what, or that all is done and not what of it; nil for any other.
func (p *Parser) vague(phrase string, words []lex.Word) *Error {
	if e := general(phrase, words); e != nil {
		return e
	}
	if e := declined(phrase, words); e != nil {
		return e
	}
	toks := p.talk().RawTokens(phrase, words)
	part := "the ground block"
	for i := range toks {
		if c := toks[i].Class; c == vocab.Element || c == vocab.Cable {
			part = "the " + strings.ToLower(phrase[toks[i].Lo:toks[i].Hi])
		}
	}
	for i := range toks {
		if toks[i].Class != vocab.Vague {
			continue
		}
		said := phrase[toks[i].Lo:toks[i].Hi]
		example := "replaced " + part
		if part == "the dish" {
			example = "re-aimed the dish"
		}
		return &Error{
			Message: strconv.Quote(said) + " does not say what was done: say " + deeds + ", such as: " + example,
			At:      toks[i].Lo, Word: said, Example: example,
		}
	}
	if e := p.planned(phrase, words, toks, part); e != nil {
		return e
	}
	if talk.Ending(phrase, toks) < len(toks) || !talk.SaysOver(words) {
		return nil
	}
	return &Error{
		Message: "done with what? Say: leaving, or: close job, or the check that is done, such as: education done",
		At:      words[0].Lo, Word: phrase[words[0].Lo:words[0].Hi], Example: "close job",
	}
}

// general is the error of a phrase that says how all is, and not of what:
// "everything's good now". Nothing is known of any point by it.
func general(phrase string, words []lex.Word) *Error {
	of, good, bad := false, false, false
	for _, w := range words {
		tells, ok := vocab.Tells(vocab.Overall, w.Text)
		switch tells {
		case "of":
			of = true
		case "none":
			of, bad = true, true
		case "good":
			good = true
		case "bad":
			bad = true
		}
		if !ok || tells == "over" && !good && !bad { // before the state it says that all is done, behind it "everything's good, close job"
			return nil
		}
	}
	if !of || !good && !bad {
		return nil
	}
	at := words[0]
	said := phrase[at.Lo:at.Hi]
	if bad {
		return &Error{Message: "what does not work? Say: all receivers fail, or the point, such as: receiver two no signal", At: at.Lo, Word: said, Example: "all receivers fail"}
	}
	return &Error{Message: "what is good? Say: all receivers good, or the point, such as: receiver two good; when the job is over say: close job", At: at.Lo, Word: said, Example: "all receivers good"}
}

// declined is the error of a phrase that says that the customer declined what is
// no check: a note keeps it.
func declined(phrase string, words []lex.Word) *Error {
	if len(words) < 2 {
		return nil
	}
	switch words[0].Text {
	case "customer", "homeowner", "owner", "tenant":
	default:
		return nil
	}
	for _, lead := range []string{"declined", "declines", "refused", "refuses", "turned down", "does not want", "did not want"} {
		if !lex.SaysAt(words[1:], lead) {
			continue
		}
		note := "note " + strings.TrimRight(lex.Clean(phrase[words[0].Lo:]), " .")
		return &Error{
			Message: "only a check or the education can be declined as such, as in: customer declined education; anything else is kept by: " + note,
			At:      words[0].Lo, Word: phrase[words[0].Lo:words[0].Hi], Example: note,
		}
	}
	return nil
}

// planned is the error of a phrase that says what is to be done: "swap the
// ports". Only what was done is kept.
func (p *Parser) planned(phrase string, words []lex.Word, toks []lex.Token, part string) *Error {
	for i := range toks {
		if c := toks[i].Class; c == vocab.Action || c == vocab.Verdict || c == vocab.NoSignal {
			return nil
		}
	}
	for _, w := range words[:min(len(words), mostLead)] {
		past, means := talk.PastOf(p.talk(), w.Text)
		if past == "" {
			continue
		}
		example := past + " " + part
		for _, topic := range Guide() {
			for _, e := range topic.Examples {
				if topic.Kind == entry.KindAction && p.signs(e)[sign{vocab.Action, means}] {
					example = e
				}
			}
		}
		said := phrase[w.Lo:w.Hi]
		return &Error{
			Message: strconv.Quote(said) + " is still to be done; say what was done, such as: " + example,
			At:      w.Lo, Word: said, Example: example,
		}
	}
	return nil
}

// mostLead is how many words stand before the verb of a plan at most: "I think
// I am going to".
const mostLead = 6
