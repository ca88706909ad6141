package grammar

import (
	"strings"

	"github.com/alecthomas/participle/v2/lexer"

	"downlead/grammar/entry"
	"downlead/grammar/lex"
	"downlead/grammar/vocab"
)

func (a *assembly) doTexted(tokens []lexer.Token) error {
	k, text := a.tok(tokens[0]), ""
	if len(tokens) > 1 {
		text = a.tok(tokens[1]).Words()
	}
	switch k.Class {
	case vocab.Note:
		a.add(entry.Note{Text: text})
	case vocab.JobComplaint, vocab.JobClose, vocab.JobReopen:
		if k.Class == vocab.JobClose && strings.HasSuffix(k.Words(), " out") && strings.HasPrefix(text, "of ") {
			text = "out " + text // "close job, out of time"
		}
		if k.Class == vocab.JobClose && text == "out" { // "job done, close it out"
			text = ""
		}
		if k.Class == vocab.JobClose && text != "" && toCome(text) {
			return &Error{Message: "that is still to come; when the job is over say: close job", At: k.Hi, Word: text}
		}
		a.add(entry.Job{Verb: k.Means(), Text: text})
	default:
		site, err := a.siteOf(k, text)
		if err != nil {
			return err
		}
		a.add(site)
	}
	return nil
}

func (a *assembly) doAsk(v *ask) {
	out := entry.Question{Question: a.tok(v.Tokens[0]).Means()}
	for _, t := range v.Tokens {
		if a.class(t) == vocab.Orbit {
			out.Slot = a.slot(t)
		}
	}
	if v.At != nil {
		p := a.pointOf(v.At.Tokens)
		out.Point = &p
	}
	a.add(out)
}

func (a *assembly) doScratch(tokens []lexer.Token) {
	out := entry.Correction{Verb: "scratch", Count: 1, Assumed: a.assumed(tokens)}
	for _, t := range tokens {
		switch a.class(t) {
		case vocab.Count:
			out.Count = a.number(t)
		case vocab.EntryNumber:
			out.Count, out.Entry = 0, int64(a.number(t))
		}
	}
	a.add(out)
}

func (a *assembly) doCorrect(tokens []lexer.Token) error {
	var place, shown []lexer.Token
	out := entry.Correction{Verb: "change"}
	for _, t := range tokens {
		switch a.class(t) {
		case vocab.Correct, vocab.Entry, vocab.Confirm, vocab.No:
		case vocab.EntryNumber:
			out.Entry = int64(a.number(t))
		case vocab.Behind, vocab.Element, vocab.Side, vocab.Output, vocab.Room, vocab.Numbered, vocab.Index, vocab.In, vocab.At, vocab.On:
			place = append(place, t)
		default:
			shown = append(shown, t)
		}
	}
	r := entry.Reading{Assumed: a.assumed(tokens)}
	if err := a.showInto(&r, shown); err != nil {
		return err
	}
	if len(place) > 0 {
		p := a.pointOf(place)
		out.Point = &p
	}
	out.Verdict, out.Level, out.Strength, out.MER, out.Volts = r.Verdict, r.Level, r.Strength, r.MER, r.Volts
	out.NoSignal, out.Slot, out.Transponder, out.Polarity, out.Assumed = r.NoSignal, r.Slot, r.Transponder, r.Polarity, r.Assumed
	a.add(out)
	return nil
}

func (a *assembly) doConfirm(tokens []lexer.Token) {
	out := entry.Correction{Verb: "confirm", Assumed: a.assumed(tokens)}
	for _, t := range tokens {
		if a.class(t) == vocab.EntryNumber {
			out.Entry = int64(a.number(t))
		}
	}
	a.add(out)
}

func (a *assembly) doSingle(tokens []lexer.Token) {
	k := a.tok(tokens[0])
	if k.Class == vocab.Control {
		a.add(entry.Control{Verb: k.Means()})
		return
	}
	a.add(entry.Consent{Given: k.Means() == "yes"})
}

// siteOf reads the free words after "site", "location" and "reported at".
func (a *assembly) siteOf(k *lex.Token, text string) (entry.Entry, error) {
	fail := func(msg string) (entry.Entry, error) {
		return nil, &Error{Message: msg, At: k.Hi, Word: text}
	}
	for _, lead := range []string{"is ", "is at ", "at ", "was "} { // "location is 35.1 north"
		if len(text) > len(lead) && strings.EqualFold(text[:len(lead)], lead) {
			text = text[len(lead):]
		}
	}
	switch k.Class {
	case vocab.Location:
		lat, lon, ok := lex.Coordinates(text)
		if !ok {
			return fail("a location is two numbers in degrees, such as: location 35.1 north 100.2 west")
		}
		return entry.Site{Lat: lat, Lon: lon}, nil
	case vocab.Reported:
		clock, ok := lex.DayTime(text)
		if !ok {
			return fail("a time of day was expected, such as: reported at eight ten, or reported at 14:30")
		}
		return entry.Site{Reported: clock}, nil
	}
	if text == "" {
		return fail("the address was expected after site, such as: site 12 quarry lane")
	}
	return entry.Site{Text: lex.Address(strings.TrimSpace(text))}, nil
}

// toCome reports words behind "close job" that put it off.
func toCome(text string) bool {
	first, _, _ := strings.Cut(strings.ToLower(text), " ")
	_, tells := vocab.Tells(vocab.ToCome, strings.Trim(first, ".,;!?"))
	return tells
}

// spoke is what the reported words of a customer are where they are no
// complaint: consent, a visit that is put off, or education refused.
func (p *Parser) spoke(phrase string, entries []entry.Entry) []entry.Entry {
	job, ok := entries[0].(entry.Job)
	if !ok || len(entries) > 1 || job.Verb != "complaint" || job.Text == "" || strings.HasPrefix(strings.ToLower(phrase), "complaint") {
		return entries
	}
	if whole, _ := p.talkOf(phrase, lex.Split(phrase), false); len(whole) == 1 { // "customer said no thanks to the education"
		if check, ok := whole[0].(entry.Check); ok && check.Check == "education" {
			return whole
		}
	}
	words := lex.Split(job.Text)
	said, _ := p.read(job.Text, words, p.lexicon.LexWords(job.Text, words))
	if len(said) != 1 {
		return entries
	}
	switch said[0].(type) {
	case entry.Consent, entry.Outcome:
		return said
	}
	return entries
}
