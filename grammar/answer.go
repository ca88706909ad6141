package grammar

import (
	"cmp"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/lex"
	"downlead/grammar/talk"
	"downlead/grammar/vocab"
)

// ParseAnswer reads a phrase as the answer to a question of the tool: yes or
// no, a choice, a number by itself or digit by digit, a verdict, or a place.
// None of these is a statement, so Parse takes none of them. "No, minus sixty
// one" is the number. A phrase that is no answer is an *Error.
func (p *Parser) ParseAnswer(phrase string) (answer entry.Answer, err error) {
	if len(phrase) > maxPhrase {
		return entry.Answer{}, &Error{Message: "that is too long for an answer", At: maxPhrase}
	}
	words := lex.Split(phrase)
	if a, ok := plainAnswer(words); ok {
		return a, nil
	}
	toks := p.lexicon.RawTokens(phrase, words)
	toks = p.lexicon.LittleWords(toks)
	if len(toks) > 1 && (toks[0].Class == vocab.No || toks[0].Class == vocab.Yes || toks[0].Class == vocab.Correct) {
		toks = toks[1:]
	}
	if n := len(toks); n == 2 && len(words) > 2 && words[0].Text == "the" && toks[0].Class == vocab.Numbered && words[len(words)-1].Text == "one" {
		toks = toks[:1] // "the bedroom one" is no bedroom one
	}
	if a, ok := p.answer(toks); ok {
		return a, nil
	}
	bad := &Error{Message: "that is no answer: say yes or no, a number, pass or fail, or a place"}
	if len(toks) > 0 {
		bad.At, bad.Word = toks[0].Lo, phrase[toks[0].Lo:toks[0].Hi]
	}
	return entry.Answer{}, bad
}

func (p *Parser) answer(toks []lex.Token) (entry.Answer, bool) {
	if len(toks) == 0 {
		return entry.Answer{}, false
	}
	if v, ok := bareNumber(p.lexicon, toks); ok {
		return entry.Answer{Value: v}, true
	}
	switch t := &toks[0]; {
	case t.Class == vocab.Ordinal && (len(toks) == 1 || len(toks) == 2 && toks[1].Class == vocab.Element):
		return entry.Answer{Choice: vocab.Atoi(t.Means())}, true
	case len(toks) > 1:
	case t.Class == vocab.Yes, t.Class == vocab.Correct:
		return entry.Answer{Yes: true}, true
	case t.Class == vocab.No:
		return entry.Answer{No: true}, true
	case t.Class == vocab.Verdict:
		return entry.Answer{Verdict: entry.Verdict(t.Means())}, true
	}
	return p.placeAnswer(toks)
}

// bareNumber reads tokens that are one number and nothing else but its unit.
func bareNumber(l *lex.Lexicon, toks []lex.Token) (entry.Decimal, bool) {
	end := lex.NumberEnd(toks)
	if end == 0 || end < len(toks)-1 || end == len(toks)-1 && lex.UnitKind(toks[end].Class) == 0 {
		return entry.Decimal{}, false
	}
	t, n := l.Match(l.Kinds[vocab.Figure], toks, end)
	return t.Value, n > 0
}

// placeAnswer reads a place by itself: "output two", "dish side", "the
// kitchen one".
func (p *Parser) placeAnswer(toks []lex.Token) (entry.Answer, bool) {
	if n := len(toks); n > 1 && toks[n-1].Class == vocab.Digit && toks[n-1].Row != nil && toks[n-1].Row.Num == 1 &&
		(toks[n-2].Class == vocab.Room || toks[n-2].Class == vocab.Side) {
		toks = toks[:n-1]
	}
	toks = p.lexicon.JoinNumbers(toks)
	a := &assembly{toks: toks}
	var seen [vocab.ClassCount]int
	for i := range toks {
		c := toks[i].Class
		switch c {
		case vocab.Numbered:
			c = vocab.Room
		case vocab.Behind, vocab.Output:
			c = vocab.Side
		case vocab.Element, vocab.Index, vocab.Side, vocab.Room, vocab.In, vocab.At, vocab.On:
		default:
			return entry.Answer{}, false
		}
		if seen[c]++; seen[c] > 1 && c != vocab.Index {
			return entry.Answer{}, false
		}
	}
	point := a.pointOf(lexTokens(toks))
	return entry.Answer{Point: &point}, point != entry.Point{}
}

// Meaning returns a key of what a phrase means: the same for two wordings of
// one statement, another for another number. A phrase without meaning is its
// own key; nothing is mended, because the recogniser hears only whole phrases.
func (p *Parser) Meaning(phrase string) string { return cmp.Or(p.Says(phrase, true), phrase) }

// Says maps a phrase to a key of what it says, "" where that is nothing: half a
// statement, or, unless a question is open, what only answers one, as a bare
// number does.
func (p *Parser) Says(phrase string, answering bool) string {
	if entries, err := p.exactly(phrase); err == nil {
		return keyOf(entries)
	}
	if !answering {
		return ""
	}
	if a, err := p.ParseAnswer(phrase); err == nil {
		if b, err := entry.Encode(a); err == nil {
			return string(b)
		}
	}
	return ""
}

// keyOf tells entries apart.
func keyOf(entries []entry.Entry) string {
	key := ""
	for _, e := range entries {
		b, err := entry.Encode(e)
		if err != nil {
			return ""
		}
		key += string(b) + "\n"
	}
	return key
}

// plainAnswer reads the answers that choose no single thing.
func plainAnswer(words []lex.Word) (entry.Answer, bool) {
	said := make([]string, 0, len(words))
	for _, w := range words {
		if !lex.LeadIn(w.Text) {
			said = append(said, w.Text)
		}
	}
	switch strings.Join(said, " ") {
	case "yes it is", "yes it does", "yes it was", "it is", "it does", "it was", "it sure is", "sure is", "sure does", "that is correct", "affirmative", "you bet", "you got it", "uh huh", "exactly", "yes sir", "yes please", "that is the one", "that is what i said", "yes that is right", "yep that is right", "yeah that is right":
		return entry.Answer{Yes: true}, true
	case "no it is not", "no it does not", "no it was not", "it is not", "it does not", "it was not", "nope that is wrong", "no that is wrong", "that is wrong", "that is not right", "no that is not right", "uh uh", "no sir", "not at all", "no way", "it sure is not":
		return entry.Answer{No: true}, true
	case "both", "both of them", "both sides", "both of those", "the both of them":
		return entry.Answer{Both: true}, true
	case "neither", "none", "neither one", "none of them", "neither of them", "neither of those", "none of those", "not either", "not either one":
		return entry.Answer{Neither: true}, true
	case "i do not know", "do not know", "not sure", "i am not sure", "no idea", "dunno", "skip it", "skip", "skip that", "skip that one", "skip this", "pass on that", "leave it", "leave it open", "i have no idea", "could not tell you", "can not say", "no clue", "i could not say", "i do not remember", "not certain", "unknown", "leave that", "move on", "ask me later", "later":
		return entry.Answer{Unknown: true}, true
	}
	return entry.Answer{}, false
}

// ParseBeside reads a phrase that is of the other side of the place of the reading
// before: "other side minus 41". It is nil for any other.
func (p *Parser) ParseBeside(phrase string, before entry.Point) []entry.Entry {
	words := lex.Split(phrase)
	if len(phrase) > maxPhrase || before.Side == "" || p.asksSomebody(phrase, words) {
		return nil
	}
	for _, t := range p.talk().RawTokens(phrase, words) {
		if t.Class == vocab.Side && t.Means() == "other" {
			entries, _ := talk.ReadAfter(p.talk(), phrase, words, before)
			return entries
		}
	}
	return nil
}

// ParseBare reads figures or a verdict by themselves, for when the tool named
// the point.
func (p *Parser) ParseBare(phrase string) (r entry.Reading, ok bool) {
	if len(phrase) > maxPhrase {
		return r, false
	}
	entries, _ := p.talkOf(phrase, lex.Split(phrase), true)
	if len(entries) != 1 {
		return r, false
	}
	r, ok = entries[0].(entry.Reading)
	return r, ok && r.Point == entry.Point{}
}
