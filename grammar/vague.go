package grammar

import (
	"strconv"
	"strings"

	"downlead/grammar/vocab"
)

// deeds is what can be said to have been done, for who says less than that.
const deeds = "replaced, re-terminated, tightened, cleaned, sealed, trimmed, re-aimed, added, removed, bypassed, swapped, moved, rerouted, restored, reset or plugged in"

// vague is the error of a phrase that says that something was done and not
// what, or that all is done and not what of it; nil for any other.
func (p *Parser) vague(phrase string, words []word) *Error {
	toks := p.talk().rawTokens(phrase, words)
	part := "the ground block"
	for i := range toks {
		if c := toks[i].class; c == vocab.Element || c == vocab.Cable {
			part = "the " + strings.ToLower(phrase[toks[i].lo:toks[i].hi])
		}
	}
	for i := range toks {
		if toks[i].class != vocab.Vague {
			continue
		}
		said := phrase[toks[i].lo:toks[i].hi]
		example := "replaced " + part
		if part == "the dish" {
			example = "re-aimed the dish"
		}
		return &Error{
			Message: strconv.Quote(said) + " does not say what was done: say " + deeds + ", such as: " + example,
			At:      toks[i].lo, Word: said, Example: example,
		}
	}
	for i := range toks {
		if c := toks[i].class; c != vocab.Done && c != vocab.Some && c != vocab.Stand {
			return nil
		}
	}
	if last := len(words) - 1; last >= 0 && strings.Contains(strings.ToLower(phrase), "done") || last >= 0 && strings.Contains(strings.ToLower(phrase), "finished") {
		return &Error{
			Message: "done with what? Say: leaving, or: close job, or the check that is done, such as: education done",
			At:      words[0].lo, Word: phrase[words[0].lo:words[0].hi], Example: "close job",
		}
	}
	return nil
}
