package grammar

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"sync"

	"github.com/alecthomas/participle/v2"

	"downlead/grammar/entry"
	"downlead/grammar/lex"
	"downlead/grammar/speech"
	"downlead/grammar/talk"
	"downlead/grammar/vocab"
)

// Parser turns phrases into entries. It is safe for concurrent use.
type Parser struct {
	lexicon  *lex.Lexicon
	talk     func() *lex.Lexicon // of the talker: the same words and more, made when a phrase first needs them
	root     *participle.Parser[sentence]
	starts   [vocab.ClassCount][]statement
	figures  statement        // more figures for the reading before
	language *speech.Language // derived from root: what may follow what
	sounds   *soundIndex
	examples func() []exampleSigns // of the guide, drawn when a refusal first needs them
}

// New returns a parser of the built-in vocabulary and, where own is not nil,
// of the technician's own words.
func New(own *Words) (*Parser, error) {
	rows := vocab.Builtin()
	if own != nil {
		rows = append(rows, own.rows...)
	}
	words, err := lex.New(rows)
	if err != nil {
		return nil, err
	}
	p := &Parser{lexicon: words, talk: sync.OnceValue(func() *lex.Lexicon { return lex.NewTalk(rows) })}
	p.root, err = participle.Build[sentence](participle.Lexer(definition{words, symbols()}))
	if err != nil {
		return nil, fmt.Errorf("grammar: %w", err)
	}
	if err := p.setStatements(); err != nil {
		return nil, err
	}
	p.language = &speech.Language{Ebnf: p.root.String(), Lexicon: words}
	p.sounds = &soundIndex{lexicon: words}
	p.examples = sync.OnceValue(p.drawExamples)
	return p, nil
}

// Parse returns the entries of a phrase, or none and an *Error: a phrase is
// all or nothing.
func (p *Parser) Parse(phrase string) (entries []entry.Entry, err error) {
	if len(phrase) > maxPhrase {
		return nil, &Error{Message: fmt.Sprintf("the phrase is longer than %d characters; say it in parts", maxPhrase), At: maxPhrase}
	}
	defer recoverPanic(phrase, &entries, &err)
	words := lex.Split(phrase)
	toks := p.lexicon.LexWords(phrase, words)
	if p.asksSomebody(phrase, words) && !p.asksTool(toks) && !p.asksTool(p.talk().RawTokens(phrase, words)) {
		return nil, &Error{Message: "that asks somebody; nothing is taken from a question. Say what is so, such as: wall plate pass, minus forty four", Word: firstWord(phrase, words)}
	}
	entries, lacks := p.read(phrase, words, toks)
	if stopsShort(words, entries) {
		last := words[len(words)-1]
		return nil, &Error{Message: "the phrase stops after " + strconv.Quote(last.Text) + "; say it whole", At: last.Lo, Word: last.Text}
	}
	if room := ofRoom(entries); room != "" {
		return nil, &Error{
			Message:  "behind the receiver, or at the wall plate? Say: behind the " + room + " receiver, or: " + room + " wall plate",
			Proposal: &entry.Proposal{Say: "at the " + room + " receiver or wall plate", Entries: entries},
		}
	}
	if entries != nil {
		return p.spoke(phrase, entries), nil
	}
	if mended, did := p.talk().Respell(words); did {
		if entries, _ := p.read(phrase, mended, p.lexicon.LexWords(phrase, mended)); entries != nil {
			return entries, nil
		}
	}
	if lacks != nil {
		return nil, lacks
	}
	if onRoof(words) { // a roof is no point of the path; the dish stands there most often
		return nil, &Error{Message: "at the dish? Say: I'm at the dish", Proposal: &entry.Proposal{Say: "standing at the dish", Entries: []entry.Entry{entry.Place{Point: entry.Point{Element: entry.Dish}}}}}
	}
	bad := p.explain(phrase, toks)
	if vague := p.vague(phrase, words); vague != nil {
		return nil, vague
	}
	bad.Proposal = p.propose(phrase, words)
	if bad.Proposal == nil {
		bad.Example = p.like(phrase)
	} else {
		bad.Message = "did you say: " + bad.Proposal.Say + "?"
	}
	return nil, bad
}

// ofRoom is the room of a reading that says no more of its place: a room is no
// place of a meter, and which part of it was measured must be asked.
func ofRoom(entries []entry.Entry) string {
	for _, e := range entries {
		if r, ok := e.(entry.Reading); ok && r.Point.Room != "" && r.Point == (entry.Point{Room: r.Point.Room}) {
			return r.Point.Room
		}
	}
	return ""
}

// read reads words by the speech grammar, and else as talk. Its error says
// what a phrase lacks that was understood.
func (p *Parser) read(phrase string, words []lex.Word, toks []lex.Token) ([]entry.Entry, *Error) {
	entries, err := p.parseTokens(phrase, toks)
	if err == nil && len(entries) == 1 && entries[0].Kind() == entry.KindPlace && exists(words) { // "there's a splitter in the attic" is where the splitter is
		said, lacks := p.talkOf(phrase, words, false)
		if said == nil && lacks == nil {
			lacks = &Error{Message: "where is it in the path? Say: splitter after the ground block, or: splitter is in the attic"}
		}
		return said, lacks
	}
	if err == nil && !mendsItself(entries) {
		if said := p.checksIn(phrase, words, entries); said != nil {
			return said, nil
		}
		return entries, nil
	}
	if err == nil {
		if said, _ := p.talkOf(phrase, words, false); len(said) > 0 && len(said) < len(entries) {
			return said, nil
		}
		return entries, nil
	}
	var bad *Error
	understood := errors.As(err, &bad) // it cannot be right
	said, lacks := p.talkOf(phrase, words, false)
	if said != nil {
		return said, nil
	}
	if understood && len(toks) > 0 {
		return nil, bad
	}
	if lacks != nil {
		return nil, lacks
	}
	if net, nerr := p.language.Net(); nerr == nil {
		n, _ := net.Reach(toks)
		if plain := lex.WordyRemark(phrase, toks, n); plain != nil {
			if entries, err := p.parseTokens(phrase, plain); err == nil {
				return entries, nil
			}
		}
	}
	return nil, bad
}

// checksIn reads again, in all words, what the speech grammar read as a check
// and more: its remark may be another check, "components good, ground good", and
// volts after an outlet are the outlet's. Nil where it is as it was read.
func (p *Parser) checksIn(phrase string, words []lex.Word, entries []entry.Entry) []entry.Entry {
	remarked, outlet := false, false
	for i, e := range entries {
		switch e := e.(type) {
		case entry.Check:
			remarked = remarked || e.Remark != ""
		case entry.Reading:
			before, check := entries[max(i-1, 0)].(entry.Check)
			outlet = outlet || check && before.Check == "outlet" && e.Point == (entry.Point{}) && e.Volts.Said() && e.Verdict == ""
		}
	}
	if !remarked && !outlet {
		return nil
	}
	said, _ := p.talkOf(phrase, words, false)
	if !outlet && len(said) <= len(entries) || slices.ContainsFunc(said, func(e entry.Entry) bool { return e.Kind() != entry.KindCheck }) {
		return nil
	}
	return said
}

// onRoof reports that somebody says that they are on the roof, and no more.
func onRoof(words []lex.Word) bool {
	roof, on := false, false
	for _, w := range words {
		switch w.Text {
		case "roof", "rooftop":
			roof = true
		case "on", "up":
			on = true
		case "i", "am", "we", "are", "the", "now", "here", "right", "still", "out", "back", "over", "just", "top", "of", "standing", "okay", "ok", "alright", "so", "well", "got", "climbed", "it", "is", "with", "dish":
		default:
			return false
		}
	}
	return roof && on
}

// exists reports words that say that there is something, and not where somebody is.
func exists(words []lex.Word) bool {
	for len(words) > 0 && lex.LeadIn(words[0].Text) {
		words = words[1:]
	}
	for _, lead := range []string{"there is", "there are", "we have", "i have", "have", "we got", "i got", "got", "it is", "that is"} {
		if lex.SaysAt(words, lead) {
			return true
		}
	}
	return false
}

// mendsItself reports that a phrase corrects what it said before.
func mendsItself(entries []entry.Entry) bool {
	for _, e := range entries[1:] {
		if c, ok := e.(entry.Correction); ok && c.Verb == "change" {
			return true
		}
	}
	return false
}

// asksTool reports that a phrase starts with a question to the tool.
func (p *Parser) asksTool(toks []lex.Token) bool {
	if len(toks) == 0 {
		return false
	}
	switch toks[0].Class {
	case vocab.Question, vocab.Margin, vocab.Aim, vocab.Control, vocab.Note, vocab.JobComplaint, vocab.Site, vocab.JobClose, vocab.JobReopen:
		return true
	}
	return false
}

func firstWord(phrase string, words []lex.Word) string {
	if len(words) == 0 {
		return ""
	}
	return phrase[words[0].Lo:words[0].Hi]
}

// exactly parses a phrase as it stands.
func (p *Parser) exactly(phrase string) (entries []entry.Entry, err error) {
	if len(phrase) > maxPhrase {
		return nil, errNoClause
	}
	defer recoverPanic(phrase, &entries, &err)
	return p.parseTokens(phrase, p.lexicon.Lex(phrase))
}

// maxPhrase is the longest phrase taken, in bytes: some minutes of speech.
const maxPhrase = 8192

// recoverPanic turns a panic of the parser library into an error, so that one
// bad phrase never ends a recording.
func recoverPanic(phrase string, entries *[]entry.Entry, err *error) {
	if r := recover(); r != nil {
		*entries, *err = nil, &Error{Message: fmt.Sprintf("this phrase cannot be read: %s (%v)", strconv.Quote(phrase), r)}
	}
}

// talkOf reads words as talk; its error says what a phrase lacks that was
// understood.
func (p *Parser) talkOf(phrase string, words []lex.Word, bare bool) ([]entry.Entry, *Error) {
	entries, lack := talk.Read(p.talk(), phrase, words, bare)
	if lack != nil {
		return entries, &Error{Message: lack.Message, At: lack.At, Word: lack.Word}
	}
	return entries, nil
}

// Symptoms reads what is noticed out of the free words of a complaint.
func (p *Parser) Symptoms(complaint string) []entry.Symptom {
	return talk.Symptoms(p.talk(), complaint)
}
