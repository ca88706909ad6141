package grammar

import (
	"errors"
	"fmt"
	"io"
	"strconv"

	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"
)

// Parser turns phrases into entries. It is safe for concurrent use.
type Parser struct {
	lexicon  *lexicon
	root     *participle.Parser[sentence]
	starts   [classCount][]statement
	figures  statement // more figures for the reading before
	language *language // derived from root: what may follow what
	sounds   *soundIndex
}

// New returns a parser of the built-in vocabulary and, where own is not nil,
// of the technician's own words.
func New(own *Words) (*Parser, error) {
	rows := builtin()
	if own != nil {
		rows = append(rows, own.rows...)
	}
	lex, err := newLexicon(rows)
	if err != nil {
		return nil, err
	}
	p := &Parser{lexicon: lex}
	p.root, err = participle.Build[sentence](participle.Lexer(definition{lex, symbols()}))
	if err != nil {
		return nil, fmt.Errorf("grammar: %w", err)
	}
	if err := p.setStatements(); err != nil {
		return nil, err
	}
	p.language = &language{ebnf: p.root.String(), lexicon: lex}
	p.sounds = &soundIndex{lexicon: lex}
	return p, nil
}

func newLexicon(rows []row) (*lexicon, error) {
	l := &lexicon{rows: rows, kinds: newKindTable()}
	for i := range l.rows {
		r := &l.rows[i]
		switch {
		case r.class == cVerdict && r.say == "pass":
			l.pass = r
		case r.class == cSide && r.say == "input":
			l.input = r
		}
		switch {
		case r.class == cDishCheck:
			l.dish = r
		case r.class == cFor && r.say == "on":
			l.onFor = r
		case r.class == cTrouble: // only ever heard: "complaint" takes all words after it
		default:
			if clash := l.trie.add(r); clash != nil && (clash.class != r.class || clash.means != r.means) {
				return nil, fmt.Errorf("%q is both %s and %s", r.say, clash.class, r.class)
			}
		}
	}
	return l, nil
}

func symbols() map[string]lexer.TokenType {
	m := map[string]lexer.TokenType{"EOF": lexer.EOF}
	for c := class(1); c < classCount; c++ {
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
	on := func(s statement, err error) func(...class) {
		errs = append(errs, err)
		return func(classes ...class) {
			for _, c := range classes {
				p.starts[c] = append(p.starts[c], s)
			}
		}
	}
	on(production[reading](p.root))(cElement, cRoom, cNumbered, cBehind)
	on(production[checkOf](p.root))(cElement, cRoom)
	on(production[placed](p.root))(cElement, cCable, cWays, cRoom, cNumbered)
	on(production[lead](p.root))(cSide, cOutput, cAt, cIn)
	on(production[anywhere](p.root))(cFor, cSlot, cTransponder, cPolarity)
	on(production[backward](p.root))(cVerdict, cLevel, cNoSignal, cStrength, cShare, cMER, cVolts, cVoltage, cNoVolts)
	on(production[path](p.root))(cPath)
	on(production[both](p.root))(cAction)
	on(production[action](p.root))(cAction)
	on(production[material](p.root))(cUsed)
	on(production[stretch](p.root))(cLength, cDistance)
	on(production[tested](p.root))(cInputTest)
	on(production[check](p.root))(cCheck, cDishCheck, cInputTest)
	on(production[setup](p.root))(cThreshold, cFloor, cTemperature, cWeather)
	on(production[mark](p.root))(cTime)
	on(production[miles](p.root))(cDrove)
	on(production[coded](p.root))(cCode)
	on(production[opening](p.root))(cJobStart)
	on(production[texted](p.root))(cJobComplaint, cJobClose, cJobReopen, cNote, cSite, cLocation, cReported)
	on(production[ask](p.root))(cQuestion, cMargin, cAim)
	on(production[scratched](p.root))(cScratch)
	on(production[corrected](p.root))(cCorrect, cEntry, cNo)
	on(production[confirmed](p.root))(cConfirm)
	on(production[single](p.root))(cControl, cConsent)
	var err error
	p.figures, err = production[shown](p.root)
	return errors.Join(append(errs, err)...)
}

// Parse returns the entries of a phrase, or none and an *Error: a phrase is
// all or nothing.
func (p *Parser) Parse(phrase string) (entries []Entry, err error) {
	if len(phrase) > maxPhrase {
		return nil, &Error{Message: fmt.Sprintf("the phrase is longer than %d characters; say it in parts", maxPhrase), At: maxPhrase}
	}
	defer recoverPanic(phrase, &entries, &err)
	words := splitWords(phrase)
	toks := p.lexicon.lexWords(phrase, words)
	entries, err = p.parseTokens(phrase, toks)
	if err == nil {
		return entries, nil
	}
	var bad *Error
	if errors.As(err, &bad) { // it is understood, and cannot be right
		return nil, bad
	}
	if net, nerr := p.language.net(); nerr == nil {
		n, _ := net.reach(toks)
		if plain := wordyRemark(phrase, toks, n); plain != nil {
			if entries, err := p.parseTokens(phrase, plain); err == nil {
				return entries, nil
			}
		}
	}
	if fixed, ferr := p.mend(phrase, words); fixed != nil || ferr != nil {
		return fixed, ferr
	}
	return nil, p.explain(phrase, toks)
}

// exactly parses a phrase as it stands.
func (p *Parser) exactly(phrase string) (entries []Entry, err error) {
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
func recoverPanic(phrase string, entries *[]Entry, err *error) {
	if r := recover(); r != nil {
		*entries, *err = nil, &Error{Message: fmt.Sprintf("this phrase cannot be read: %s (%v)", strconv.Quote(phrase), r)}
	}
}

// parseTokens runs the grammar clause by clause. Its error is an *Error where
// the tokens make sense and contradict each other, else any other.
func (p *Parser) parseTokens(phrase string, toks []token) ([]Entry, error) {
	if len(toks) == 0 {
		return nil, &Error{Message: "nothing was said that means anything by itself"}
	}
	for i := range toks {
		if toks[i].class == cUnknown {
			return nil, errNoClause
		}
	}
	lex, err := lexer.Upgrade(&tokenReader{toks: toks})
	if err != nil {
		return nil, err
	}
	a := &assembly{phrase: phrase, toks: toks, reading: -1}
	for !lex.Peek().EOF() {
		c := class(lex.Peek().Type)
		if c == cAnd && len(a.entries) > 0 {
			lex.Next()
			continue
		}
		if err := p.clause(a, lex, c); err != nil {
			return nil, err
		}
	}
	return a.entries, nil
}

// clause parses one statement and adds its entries.
func (p *Parser) clause(a *assembly, lex *lexer.PeekingLexer, c class) error {
	start := lex.MakeCheckpoint()
	if a.reading >= 0 && isMeasure(c) {
		v, err := p.figures.parse(lex)
		if err == nil {
			return a.more(v.(*shown).Tokens)
		}
		lex.LoadCheckpoint(start)
	}
	if (c == cAt || c == cOn) && len(a.entries) > 0 && a.lateSide(lex) {
		return nil
	}
	err := errNoClause
	for _, s := range p.starts[c] {
		var v any
		if v, err = s.parse(lex); err == nil {
			if !endsWithPlace(v) || !measureAhead(lex) {
				return a.do(v)
			}
		}
		lex.LoadCheckpoint(start)
	}
	return err
}

// lateSide takes a side that comes after all else: "ground block good on the
// dish side", "tightened the splitter on the receiver side".
func (a *assembly) lateSide(lex *lexer.PeekingLexer) bool {
	start := lex.MakeCheckpoint()
	lex.Next()
	side := a.tok(*lex.Next())
	if side.class == cSide && class(lex.Peek().Type) != cElement && a.setSide(Side(side.means())) {
		return true
	}
	lex.LoadCheckpoint(start)
	return false
}

// setSide puts a side into the last entry, where it has none.
func (a *assembly) setSide(s Side) bool {
	last := len(a.entries) - 1
	switch e := a.entries[last].(type) {
	case Reading:
		if a.reading != last || !set(&e.Point.Side, s) {
			return false
		}
		a.entries[last], a.place = e, e.Point
		return true
	case Action:
		if e.At != nil {
			return false
		}
		e.At = &Point{Element: e.Element, Number: e.Number, Side: s}
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
	c := class(lex.Peek().Type)
	return isMeasure(c) || c == cSide || c == cOutput || c == cIn || c == cRoom || c == cNumbered || c == cInputTest
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
		a.add(Time{Mark: a.tok(v.Tokens[0]).means(), Assumed: a.assumed(v.Tokens)})
	case *coded:
		a.doCode(v.Tokens)
	case *opening:
		a.add(Job{Verb: a.tok(v.Tokens[0]).means(), Number: a.tok(v.Tokens[1]).text})
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
