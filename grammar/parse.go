package grammar

import (
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"sync"

	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// Parser turns phrases into entries. It is safe for concurrent use.
type Parser struct {
	lexicon  *lexicon
	talk     func() *lexicon // of the talker: the same words and more, made when a phrase first needs them
	root     *participle.Parser[sentence]
	starts   [vocab.ClassCount][]statement
	figures  statement // more figures for the reading before
	language *language // derived from root: what may follow what
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
	lex, err := newLexicon(rows)
	if err != nil {
		return nil, err
	}
	p := &Parser{lexicon: lex, talk: sync.OnceValue(func() *lexicon { return newTalkLexicon(rows) })}
	p.root, err = participle.Build[sentence](participle.Lexer(definition{lex, symbols()}))
	if err != nil {
		return nil, fmt.Errorf("grammar: %w", err)
	}
	if err := p.setStatements(); err != nil {
		return nil, err
	}
	p.language = &language{ebnf: p.root.String(), lexicon: lex}
	p.sounds = &soundIndex{lexicon: lex}
	p.examples = sync.OnceValue(p.drawExamples)
	return p, nil
}

func newLexicon(rows []vocab.Row) (*lexicon, error) {
	l := &lexicon{rows: rows, kinds: newKindTable()}
	for i := range l.rows {
		r := &l.rows[i]
		switch {
		case r.Class == vocab.Verdict && r.Say == "pass":
			l.pass = r
		case r.Class == vocab.Side && r.Say == "input":
			l.input = r
		}
		switch {
		case r.Class == vocab.DishCheck:
			l.dish = r
		case r.Class == vocab.For && r.Say == "on":
			l.onFor = r
		case r.Class == vocab.Trouble: // only ever heard: "complaint" takes all words after it
		default:
			if clash := l.trie.add(r); clash != nil && (clash.Class != r.Class || clash.Means != r.Means) {
				return nil, fmt.Errorf("%q is both %s and %s", r.Say, clash.Class, r.Class)
			}
		}
	}
	return l, nil
}

func symbols() map[string]lexer.TokenType {
	m := map[string]lexer.TokenType{"EOF": lexer.EOF}
	for c := vocab.Class(1); c < vocab.ClassCount; c++ {
		m[c.String()] = lexer.TokenType(c)
	}
	return m
}

// definition is the lexer as participle knows it.
type definition struct {
	lexicon *lexicon
	symbols map[string]lexer.TokenType
}

// Symbols names the token types.
func (d definition) Symbols() map[string]lexer.TokenType { return d.symbols }

// Lex reads a whole phrase into tokens.
func (d definition) Lex(_ string, r io.Reader) (lexer.Lexer, error) {
	b, err := io.ReadAll(r)
	if err != nil {
		return nil, err
	}
	return &tokenReader{toks: d.lexicon.lex(string(b))}, nil
}

// tokenReader hands tokens to participle. A token's line is its index.
type tokenReader struct {
	toks []token
	next int
}

func (t *tokenReader) Next() (lexer.Token, error) {
	if t.next >= len(t.toks) {
		return lexer.Token{Type: lexer.EOF, Pos: lexer.Position{Line: t.next}}, nil
	}
	t.next++
	return lexToken(&t.toks[t.next-1], t.next-1), nil
}

func lexToken(k *token, i int) lexer.Token {
	return lexer.Token{Type: lexer.TokenType(k.class), Pos: lexer.Position{Offset: k.lo, Line: i}}
}

func lexTokens(toks []token) []lexer.Token {
	out := make([]lexer.Token, len(toks))
	for i := range toks {
		out[i] = lexToken(&toks[i], i)
	}
	return out
}

// statement parses one production of the grammar and puts what it means into
// an assembly.
type statement struct {
	name  string
	parse func(*lexer.PeekingLexer) (any, error)
}

// production returns the statement of a production of the grammar.
func production[P any](root *participle.Parser[sentence]) (statement, error) {
	parser, err := participle.ParserForProduction[P](root)
	if err != nil {
		return statement{}, fmt.Errorf("grammar: %w", err)
	}
	trailing := participle.AllowTrailing(true)
	return statement{
		name:  fmt.Sprintf("%T", *new(P)),
		parse: func(lex *lexer.PeekingLexer) (any, error) { return parser.ParseFromLexer(lex, trailing) },
	}, nil
}

// setStatements says which statements may start with which class; where there
// are several they are tried in order.
func (p *Parser) setStatements() error {
	var errs []error
	on := func(s statement, err error) func(...vocab.Class) {
		errs = append(errs, err)
		return func(classes ...vocab.Class) {
			for _, c := range classes {
				p.starts[c] = append(p.starts[c], s)
			}
		}
	}
	on(production[reading](p.root))(vocab.Element, vocab.Room, vocab.Numbered, vocab.Behind)
	on(production[checkOf](p.root))(vocab.Element, vocab.Room)
	on(production[placed](p.root))(vocab.Element, vocab.Cable, vocab.Ways, vocab.Room, vocab.Numbered)
	on(production[lead](p.root))(vocab.Side, vocab.Output, vocab.At, vocab.In)
	on(production[standing](p.root))(vocab.Element, vocab.Room, vocab.Numbered, vocab.Behind, vocab.Side, vocab.Output, vocab.At)
	on(production[anywhere](p.root))(vocab.For, vocab.Slot, vocab.Transponder, vocab.Polarity)
	on(production[backward](p.root))(vocab.Verdict, vocab.Level, vocab.NoSignal, vocab.Strength, vocab.Share, vocab.MER, vocab.Volts, vocab.Voltage, vocab.NoVolts)
	on(production[path](p.root))(vocab.Path)
	on(production[both](p.root))(vocab.Action)
	on(production[action](p.root))(vocab.Action)
	on(production[material](p.root))(vocab.Used)
	on(production[stretch](p.root))(vocab.Length, vocab.Distance)
	on(production[tested](p.root))(vocab.InputTest)
	on(production[check](p.root))(vocab.Check, vocab.DishCheck, vocab.InputTest)
	on(production[setup](p.root))(vocab.Threshold, vocab.Floor, vocab.Temperature, vocab.Weather)
	on(production[mark](p.root))(vocab.Time)
	on(production[miles](p.root))(vocab.Drove)
	on(production[coded](p.root))(vocab.Code)
	on(production[opening](p.root))(vocab.JobStart)
	on(production[texted](p.root))(vocab.JobComplaint, vocab.JobClose, vocab.JobReopen, vocab.Note, vocab.Site, vocab.Location, vocab.Reported)
	on(production[ask](p.root))(vocab.Question, vocab.Margin, vocab.Aim)
	on(production[scratched](p.root))(vocab.Scratch)
	on(production[corrected](p.root))(vocab.Correct, vocab.Entry, vocab.No)
	on(production[confirmed](p.root))(vocab.Confirm)
	on(production[single](p.root))(vocab.Control, vocab.Consent)
	var err error
	p.figures, err = production[shown](p.root)
	return errors.Join(append(errs, err)...)
}

// Parse returns the entries of a phrase, or none and an *Error: a phrase is
// all or nothing.
func (p *Parser) Parse(phrase string) (entries []entry.Entry, err error) {
	if len(phrase) > maxPhrase {
		return nil, &Error{Message: fmt.Sprintf("the phrase is longer than %d characters; say it in parts", maxPhrase), At: maxPhrase}
	}
	defer recoverPanic(phrase, &entries, &err)
	words := splitWords(phrase)
	toks := p.lexicon.lexWords(phrase, words)
	if p.asksSomebody(phrase, words) && !p.asksTool(toks) && !p.asksTool(p.talk().rawTokens(phrase, words)) {
		return nil, &Error{Message: "that asks somebody; nothing is taken from a question. Say what is so, such as: wall plate pass, minus forty four", Word: firstWord(phrase, words)}
	}
	entries, lacks := p.read(phrase, words, toks)
	if stopsShort(words, entries) {
		last := words[len(words)-1]
		return nil, &Error{Message: "the phrase stops after " + strconv.Quote(last.text) + "; say it whole", At: last.lo, Word: last.text}
	}
	if entries != nil {
		return p.spoke(phrase, entries), nil
	}
	if mended, did := p.respell(words); did {
		if entries, _ := p.read(phrase, mended, p.lexicon.lexWords(phrase, mended)); entries != nil {
			return entries, nil
		}
	}
	if lacks != nil {
		return nil, lacks
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

// read reads words by the speech grammar, and else as talk. Its error says
// what a phrase lacks that was understood.
func (p *Parser) read(phrase string, words []word, toks []token) ([]entry.Entry, *Error) {
	entries, err := p.parseTokens(phrase, toks)
	if err == nil && !mendsItself(entries) {
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
	if net, nerr := p.language.net(); nerr == nil {
		n, _ := net.reach(toks)
		if plain := wordyRemark(phrase, toks, n); plain != nil {
			if entries, err := p.parseTokens(phrase, plain); err == nil {
				return entries, nil
			}
		}
	}
	return nil, bad
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
func (p *Parser) asksTool(toks []token) bool {
	if len(toks) == 0 {
		return false
	}
	switch toks[0].class {
	case vocab.Question, vocab.Margin, vocab.Aim, vocab.Control, vocab.Note, vocab.JobComplaint, vocab.Site, vocab.JobClose, vocab.JobReopen:
		return true
	}
	return false
}

func firstWord(phrase string, words []word) string {
	if len(words) == 0 {
		return ""
	}
	return phrase[words[0].lo:words[0].hi]
}

// exactly parses a phrase as it stands.
func (p *Parser) exactly(phrase string) (entries []entry.Entry, err error) {
	if len(phrase) > maxPhrase {
		return nil, errNoClause
	}
	defer recoverPanic(phrase, &entries, &err)
	return p.parseTokens(phrase, p.lexicon.lex(phrase))
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

// parseTokens runs the grammar clause by clause. Its error is an *Error where
// the tokens make sense and contradict each other, else any other.
func (p *Parser) parseTokens(phrase string, toks []token) ([]entry.Entry, error) {
	if len(toks) == 0 {
		return nil, &Error{Message: "nothing was said that means anything by itself"}
	}
	for i := range toks {
		if toks[i].class == vocab.Unknown {
			return nil, errNoClause
		}
	}
	lex, err := lexer.Upgrade(&tokenReader{toks: toks})
	if err != nil {
		return nil, err
	}
	a := &assembly{phrase: phrase, toks: toks, reading: -1}
	for !lex.Peek().EOF() {
		c := vocab.Class(lex.Peek().Type)
		if c == vocab.And && len(a.entries) > 0 {
			lex.Next()
			continue
		}
		if err := p.clause(a, lex, c); err != nil {
			return nil, err
		}
		if next := lex.Peek(); vocab.Class(next.Type) == vocab.Time && toks[next.Pos.Line-1].class == vocab.Weather && !toks[next.Pos.Line].brk && len(phrase) > 5 && strings.EqualFold(phrase[:5], "there") {
			return nil, errNoClause // "there's snow on the road" is no drive
		}
		if next := lex.Peek(); vocab.Class(next.Type) == vocab.Action && toks[next.Pos.Line].means() == "removed" && !toks[next.Pos.Line].brk && blows(&toks[next.Pos.Line-1]) {
			return nil, errNoClause // "lightning took out the LNB" is no weather
		}
	}
	return a.entries, nil
}

// blows reports that a word of the weather names what may do something itself.
func blows(t *token) bool {
	if t.class != vocab.Weather || t.row == nil {
		return false
	}
	switch t.row.Say {
	case "lightning", "wind", "high wind", "ice", "thunderstorm":
		return true
	}
	return false
}

// clause parses one statement and adds its entries.
func (p *Parser) clause(a *assembly, lex *lexer.PeekingLexer, c vocab.Class) error {
	start := lex.MakeCheckpoint()
	if a.reading >= 0 && isMeasure(c) {
		v, err := p.figures.parse(lex)
		if err == nil {
			return a.more(v.(*shown).Tokens)
		}
		lex.LoadCheckpoint(start)
	}
	if (c == vocab.At || c == vocab.On) && len(a.entries) > 0 && a.lateSide(lex) {
		return nil
	}
	err := errNoClause
	for _, s := range p.starts[c] {
		var v any
		if v, err = s.parse(lex); err == nil {
			_, standing := v.(*standing)
			if standing && (len(a.entries) > 0 || !lex.Peek().EOF() || a.several()) {
				err = errNoClause // a place by itself, or none
			} else if !endsWithPlace(v) || !measureAhead(lex) {
				return a.do(v)
			}
		}
		lex.LoadCheckpoint(start)
	}
	return err
}

// several reports a part of which there are many: "we're out of splitters".
func (a *assembly) several() bool {
	if k := &a.toks[0]; k.class != vocab.Output || k.row == nil || k.row.Say != "out" {
		return false
	}
	for i := range a.toks {
		if k := &a.toks[i]; k.class == vocab.Element && k.row != nil && k.row.Plural && !(i+1 < len(a.toks) && a.toks[i+1].class == vocab.Index) {
			return true
		}
	}
	return false
}

// lateSide takes a side that comes after all else: "ground block good on the
// dish side", "tightened the splitter on the receiver side".
func (a *assembly) lateSide(lex *lexer.PeekingLexer) bool {
	start := lex.MakeCheckpoint()
	lex.Next()
	if lex.Peek().EOF() { // "on" ends the phrase
		lex.LoadCheckpoint(start)
		return false
	}
	side := a.tok(*lex.Next())
	if side.class == vocab.Side && vocab.Class(lex.Peek().Type) != vocab.Element && a.setSide(entry.Side(side.means())) {
		return true
	}
	lex.LoadCheckpoint(start)
	return false
}

// setSide puts a side into the last entry, where it has none.
func (a *assembly) setSide(s entry.Side) bool {
	last := len(a.entries) - 1
	switch e := a.entries[last].(type) {
	case entry.Reading:
		if a.reading != last || !set(&e.Point.Side, s) {
			return false
		}
		a.entries[last], a.place = e, e.Point
		return true
	case entry.Action:
		if e.At != nil {
			return false
		}
		e.At = &entry.Point{Element: e.Element, Number: e.Number, Side: s}
		a.entries[last] = e
		return true
	}
	return false
}

var errNoClause = errors.New("no statement starts here")

// endsWithPlace reports that the last element of a statement could be the
// place of a reading that follows: then it is.
func endsWithPlace(v any) bool {
	switch v.(type) {
	case *tested, *both:
		return true
	}
	return false
}

// measureAhead reports that figures follow, so that the element before them
// is the place of a reading.
func measureAhead(lex *lexer.PeekingLexer) bool {
	c := vocab.Class(lex.Peek().Type)
	return isMeasure(c) || c == vocab.Side || c == vocab.Output || c == vocab.In || c == vocab.Room || c == vocab.Numbered || c == vocab.InputTest
}

// do puts a parsed statement into the assembly.
func (a *assembly) do(v any) error {
	switch v := v.(type) {
	case *reading:
		return a.doReading(v)
	case *lead:
		return a.doLead(v)
	case *backward:
		return a.doFlat(v.Tokens)
	case *anywhere:
		return a.doFlat(v.Tokens)
	case *standing:
		a.add(entry.Place{Point: a.pointOf(v.Tokens), Assumed: a.assumed(v.Tokens)})
	case *placed:
		a.doPlaced(v)
	case *path:
		a.doPath(v)
	case *action:
		a.doAction(v)
	case *both:
		a.doBoth(v)
	case *material:
		a.doMaterial(v)
	case *stretch:
		a.add(a.materialOf(v.Tokens))
	case *miles:
		a.add(a.materialOf(v.Tokens))
	case *check:
		a.doCheck(v.Tokens, v.At)
	case *tested:
		a.doCheck(v.Tokens, nil)
	case *checkOf:
		a.doCheck(v.Tokens, nil)
	case *setup:
		a.doSetting(v.Tokens)
	case *mark:
		a.add(entry.Time{Mark: a.tok(v.Tokens[0]).means(), Assumed: a.assumed(v.Tokens)})
	case *coded:
		a.doCode(v.Tokens)
	case *opening:
		a.add(entry.Job{Verb: a.tok(v.Tokens[0]).means(), Number: a.tok(v.Tokens[1]).text})
	case *texted:
		return a.doTexted(v.Tokens)
	case *ask:
		a.doAsk(v)
	case *scratched:
		a.doScratch(v.Tokens)
	case *corrected:
		return a.doCorrect(v.Tokens)
	case *confirmed:
		a.doConfirm(v.Tokens)
	case *single:
		a.doSingle(v.Tokens)
	default:
		return fmt.Errorf("no meaning for %T", v)
	}
	return nil
}
