package grammar

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"downlead/grammar/entry"
	"downlead/grammar/lex"
	"downlead/grammar/speech"
	"downlead/grammar/vocab"
)

// Error says why a phrase, or a part of it, was not understood.
type Error struct {
	Message string   `json:"message"`
	At      int      `json:"at"` // byte offset in the phrase
	Word    string   `json:"word,omitempty"`
	Suggest []string `json:"suggest,omitempty"`

	// Example is the phrase nearest to it that is understood, in full.
	Example string `json:"example,omitempty"`

	// Proposal is what the phrase may have been, to be asked about.
	Proposal *entry.Proposal `json:"-"`
}

func (e *Error) Error() string { return e.Message }

// explain says why tokens are no phrase: the word, where it stands, what would
// have fitted, the nearest words, and an example.
func (p *Parser) explain(phrase string, toks []lex.Token) *Error {
	net, err := p.language.Net()
	if err != nil {
		return &Error{Message: err.Error()}
	}
	n, at := net.Reach(toks)
	wanted := net.Expected(at)
	if n == len(toks) {
		return &Error{
			Message: "the phrase stops too early" + after(phrase, toks, n) + ": expected " + p.describe(wanted),
			At:      len(phrase),
		}
	}
	if toks[n].Class == vocab.Minus && n+1 < len(toks) { // the sign is right, what follows is not
		n++
		wanted = []vocab.Class{vocab.Figure}
		for c := vocab.Zero; c <= vocab.Tens; c++ {
			wanted = append(wanted, c)
		}
	}
	bad := toks[n]
	word, short := whole(phrase, bad)
	e := &Error{At: bad.Hi - len(word), Word: word}
	if short == "will" {
		e.Message = strconv.Quote(word) + " tells of what is still to come, and that is not kept; say what was done"
		return e
	}
	known := bad.Class == vocab.Unknown && (p.isWord(word) || short != "")
	if bad.Class == vocab.Unknown && !known {
		e.Suggest = p.nearest(word, wanted)
	}
	what := strconv.Quote(shorten(word))
	switch {
	case bad.Class == vocab.Unknown && !known:
		what += " is not known"
	case bad.Class == vocab.Yes || bad.Class == vocab.No || bad.Class == vocab.Ordinal:
		what += " answers a question, and none was asked"
	case n == 0 && (bad.Class == vocab.Figure || bad.Class == vocab.Count):
		what += " is only a number; say what it is of"
	case bad.Class == vocab.Figure && p.outOfRange(&bad, wanted):
		what += " is out of range"
	default:
		what += " does not fit"
	}
	if n > 0 && toks[n-1].Lo < e.At {
		what += after(phrase, toks, n)
	}
	e.Message = what + ": expected " + p.describe(wanted)
	if n == 0 && bad.Class == vocab.Unknown && len(toks) > 1 { // anything may start a statement
		e.Message = what + " at the start of a statement"
	}
	if n > 1 && toks[n-1].Class == vocab.Digits && toks[n-2].Class == vocab.JobStart { // "one thousand and two"
		e.Message = what + ": say the job's number digit by digit, such as one zero zero two"
	}
	if len(e.Suggest) > 0 {
		e.Message += "; perhaps " + strconv.Quote(e.Suggest[0])
	}
	return e
}

// whole is the word that a token is of, and what it is short for: "I'll" and
// "will" of "'ll", "isn't" and "not" of "n't"; else the token, and nothing.
func whole(phrase string, t lex.Token) (word, short string) {
	word = phrase[t.Lo:t.Hi]
	for _, s := range []struct{ end, means string }{{"'ll", "will"}, {"’ll", "will"}, {"n't", "not"}, {"n’t", "not"}} {
		if strings.EqualFold(word, s.end) {
			lo := t.Lo
			for lo > 0 && isLetter(phrase[lo-1]) {
				lo--
			}
			return phrase[lo:t.Hi], s.means
		}
	}
	return word, ""
}

func isLetter(c byte) bool { return 'a' <= c|0x20 && c|0x20 <= 'z' }

// isWord reports that people's own words have a word: that is no slip.
func (p *Parser) isWord(word string) bool {
	n := p.talk().Trie.Get(strings.ToLower(word))
	return n != nil && n.Row != nil
}

// outOfRange reports that a number would be of one of the classes, were it not
// too large or too small.
func (p *Parser) outOfRange(t *lex.Token, wanted []vocab.Class) bool {
	v := t.Value.Micro() / (entry.DecimalScale / 100)
	return slices.ContainsFunc(wanted, func(c vocab.Class) bool {
		k := p.lexicon.Kinds[c]
		return k != nil && k.Unit == 0 && (k.Sign == lex.Required) == (v < 0) && (v < k.Min || v > k.Max)
	})
}

// after names the words before token n.
func after(phrase string, toks []lex.Token, n int) string {
	if n == 0 {
		return ""
	}
	return " after " + strconv.Quote(shorten(phrase[toks[n-1].Lo:toks[n-1].Hi]))
}

// shorten keeps the start of very long words.
func shorten(s string) string {
	s = lex.Clean(s)
	if utf8.RuneCountInString(s) <= 40 {
		return s
	}
	return string([]rune(s)[:40]) + "…"
}

// describe says in words what the classes stand for: the first few, the most
// telling first.
func (p *Parser) describe(classes []vocab.Class) string {
	var out []string
	statement := slices.Contains(classes, vocab.Path) && slices.Contains(classes, vocab.Time)
	for _, d := range descriptions() {
		if !slices.Contains(classes, d.class) || slices.Contains(out, d.text) || statement && d.inside {
			continue
		}
		if out = append(out, d.text); len(out) == 3 {
			break
		}
	}
	for _, c := range classes {
		if k := p.lexicon.Kinds[c]; k != nil && k.Expect != "" && !statement && !slices.Contains(out, k.Expect) && len(out) < 3 {
			out = append(out, k.Expect)
		}
	}
	for i := range p.lexicon.Rows {
		if r := &p.lexicon.Rows[i]; len(out) == 0 && r.First && slices.Contains(classes, r.Class) {
			out = append(out, strconv.Quote(r.Say))
		}
	}
	switch n := len(out); n {
	case 0:
		return "nothing more"
	case 1:
		return out[0]
	default:
		return strings.Join(out[:n-1], ", ") + " or " + out[n-1]
	}
}

// description is what a class is called when it is missed; inside says that it
// is no news where a new statement may start.
type description struct {
	class  vocab.Class
	text   string
	inside bool
}

func descriptions() []description {
	return []description{
		{vocab.Digits, "the job's number, digit by digit, such as four four one two", false},
		{vocab.CodeDigits, "a work code, such as seven", false},
		{vocab.Orbit, "a slot, such as one nineteen", false},
		{vocab.Channel, "a transponder's number, such as twenty one", false},
		{vocab.Score, "a number from zero to a hundred", false},
		{vocab.Tension, "a voltage, such as eighteen", false},
		{vocab.Warmth, "a temperature, such as ninety", false},
		{vocab.EntryNumber, "the entry's number, such as twelve", false},
		{vocab.To, "to, and the other end", false},
		{vocab.Verdict, "pass or fail", false},
		{vocab.Level, "a level, such as minus forty one", false},
		{vocab.Done, "done", true},
		{vocab.Element, "an element, such as ground block", false},
		{vocab.Action, "an action, such as replaced", false},
		{vocab.Check, "a check, such as outlet pass", false},
		{vocab.Side, "a side, such as dish side", true},
		{vocab.Output, "an output, such as output two", true},
		{vocab.Distance, "miles, such as twelve miles", true},
		{vocab.Length, "a length, such as sixty feet", true},
		{vocab.Item, "a part, such as two fittings", true},
		{vocab.Slot, "a slot, such as slot one nineteen", true},
		{vocab.Room, "a room, such as kitchen", true},
		{vocab.Text, "words of your own", true},
		{vocab.Remark, "a remark, such as open ground", true},
	}
}

// nearest returns up to three rows that look or sound like a word, those that
// would fit first. A word that is English was meant as it stands, or misheard:
// only what sounds all but the same, or begins and ends alike, is near it.
func (p *Parser) nearest(word string, wanted []vocab.Class) []string {
	fold := strings.Join(strings.Fields(strings.ToLower(word)), " ")
	if len(fold) < 2 || len(fold) > 60 {
		return nil
	}
	type hit struct {
		say  string
		cost float64
	}
	var hits []hit
	const far = 0.35
	most := far
	if lex.English(fold) {
		most = 0.12
	}
	index := p.sounds.load()
	sound := index.speller.PhrasePhones(fold)
	bag := speech.BagOf(sound)
	for i := range index.rows {
		r := &index.rows[i]
		if r.row.Class == vocab.Filler {
			continue
		}
		cost, limit := most+1, most*float64(len(r.sound))
		if bag.Apart(r.bag) <= limit {
			cost = index.speller.SoundsApart(sound, r.sound, limit) / float64(max(len(r.sound), 1))
		}
		if cost > most && !alike(fold, r.row.Say) {
			continue
		}
		cost = min(cost, far)
		if slices.Contains(wanted, r.row.Class) {
			cost -= 0.15
		}
		if !slices.Contains(strings.Fields(r.row.Say), fold) { // what was said is no news
			hits = append(hits, hit{r.row.Say, cost})
		}
	}
	slices.SortStableFunc(hits, func(a, b hit) int { return cmp.Compare(a.cost, b.cost) })
	var out []string
	for _, h := range hits {
		if !slices.Contains(out, h.say) && len(out) < 3 {
			out = append(out, h.say)
		}
	}
	return out
}

// alike reports that two words start and end alike: "sprinkler" and "splitter".
func alike(a, b string) bool {
	n := 0
	for n < len(a) && n < len(b) && a[n] == b[n] {
		n++
	}
	suffix := 0
	for suffix < len(a)-n && suffix < len(b)-n && a[len(a)-1-suffix] == b[len(b)-1-suffix] {
		suffix++
	}
	return n >= 2 && n+suffix >= 4 && 5*(n+suffix) >= 2*max(len(a), len(b))
}

// Caret returns the phrase with a caret under the word that an Error names,
// as two lines; columns count characters, not bytes.
func (e *Error) Caret(phrase string) string {
	at := min(max(e.At, 0), len(phrase))
	line := strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, phrase)
	return fmt.Sprintf("%s\n%s^", line, strings.Repeat(" ", utf8.RuneCountInString(phrase[:at])))
}
