package grammar

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"

	"downlead/grammar/entry"
	"downlead/grammar/lex"
	"downlead/grammar/vocab"
)

func symbols() map[string]lexer.TokenType {
	m := map[string]lexer.TokenType{"EOF": lexer.EOF}
	for c := vocab.Class(1); c < vocab.ClassCount; c++ {
		m[c.String()] = lexer.TokenType(c)
	}
	return m
}

// definition is the lexer as participle knows it.
type definition struct {
	lexicon *lex.Lexicon
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
	return &tokenReader{toks: d.lexicon.Lex(string(b))}, nil
}

// tokenReader hands tokens to participle. A token's line is its index.
type tokenReader struct {
	toks []lex.Token
	next int
}

func (t *tokenReader) Next() (lexer.Token, error) {
	if t.next >= len(t.toks) {
		return lexer.Token{Type: lexer.EOF, Pos: lexer.Position{Line: t.next}}, nil
	}
	t.next++
	return lexToken(&t.toks[t.next-1], t.next-1), nil
}

func lexToken(k *lex.Token, i int) lexer.Token {
	return lexer.Token{Type: lexer.TokenType(k.Class), Pos: lexer.Position{Offset: k.Lo, Line: i}}
}

func lexTokens(toks []lex.Token) []lexer.Token {
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
		parse: func(ahead *lexer.PeekingLexer) (any, error) { return parser.ParseFromLexer(ahead, trailing) },
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

// parseTokens runs the grammar clause by clause. Its error is an *Error where
// the tokens make sense and contradict each other, else any other.
func (p *Parser) parseTokens(phrase string, toks []lex.Token) ([]entry.Entry, error) {
	if len(toks) == 0 {
		return nil, &Error{Message: "nothing was said that means anything by itself"}
	}
	for i := range toks {
		if toks[i].Class == vocab.Unknown {
			return nil, errNoClause
		}
	}
	ahead, err := lexer.Upgrade(&tokenReader{toks: toks})
	if err != nil {
		return nil, err
	}
	a := &assembly{phrase: phrase, toks: toks, reading: -1}
	for !ahead.Peek().EOF() {
		c := vocab.Class(ahead.Peek().Type)
		if c == vocab.And && len(a.entries) > 0 {
			ahead.Next()
			continue
		}
		if err := p.clause(a, ahead, c); err != nil {
			return nil, err
		}
		if next := ahead.Peek(); vocab.Class(next.Type) == vocab.Time && toks[next.Pos.Line-1].Class == vocab.Weather && !toks[next.Pos.Line].Brk && len(phrase) > 5 && strings.EqualFold(phrase[:5], "there") {
			return nil, errNoClause // "there's snow on the road" is no drive
		}
		if next := ahead.Peek(); vocab.Class(next.Type) == vocab.Action && toks[next.Pos.Line].Means() == "removed" && !toks[next.Pos.Line].Brk && blows(&toks[next.Pos.Line-1]) {
			return nil, errNoClause // "lightning took out the LNB" is no weather
		}
	}
	return a.entries, nil
}

// blows reports that a word of the weather names what may do something itself.
func blows(t *lex.Token) bool {
	if t.Class != vocab.Weather || t.Row == nil {
		return false
	}
	switch t.Row.Say {
	case "lightning", "wind", "high wind", "ice", "thunderstorm":
		return true
	}
	return false
}

// clause parses one statement and adds its entries.
func (p *Parser) clause(a *assembly, ahead *lexer.PeekingLexer, c vocab.Class) error {
	start := ahead.MakeCheckpoint()
	if a.reading >= 0 && lex.IsMeasure(c) {
		v, err := p.figures.parse(ahead)
		if err == nil {
			return a.more(v.(*shown).Tokens)
		}
		ahead.LoadCheckpoint(start)
	}
	if (c == vocab.At || c == vocab.On) && len(a.entries) > 0 && a.lateSide(ahead) {
		return nil
	}
	err := errNoClause
	for _, s := range p.starts[c] {
		var v any
		if v, err = s.parse(ahead); err == nil {
			if p.ofAnother(a, v, ahead.Peek().EOF()) {
				err = errNoClause
			} else if !endsWithPlace(v) || !measureAhead(ahead) {
				return a.do(v)
			}
		}
		ahead.LoadCheckpoint(start)
	}
	return err
}

// ofAnother reports that the words of a statement, which ends the phrase or not, mean
// something else: where nobody stands, or when nobody left.
func (p *Parser) ofAnother(a *assembly, v any, ends bool) bool {
	switch v := v.(type) {
	case *standing: // a place by itself, or none
		return len(a.entries) > 0 || !ends || a.several() || a.tells()
	case *mark:
		return p.isPlace(a.phrase, a.tok(v.Tokens[0]))
	}
	return false
}

// isPlace reports a mark of time that begins a longer row of people's own words that
// is a place: "leaving the splitter", which the signal leaves and nobody else.
func (p *Parser) isPlace(phrase string, mark *lex.Token) bool {
	words := lex.Split(phrase)
	i := slices.IndexFunc(words, func(w lex.Word) bool { return w.Lo == mark.Lo })
	if i < 0 || words[len(words)-1].Hi == mark.Hi { // nothing longer: people's own words need not be read
		return false
	}
	row, end := p.talk().Trie.Longest(words, i)
	return row != nil && row.Class == vocab.Side && words[end-1].Hi > mark.Hi
}

// several reports "out" that is no place: of a part of which there are many,
// "we're out of splitters", and of somebody, "I'm out".
func (a *assembly) several() bool {
	if k := &a.toks[0]; k.Class != vocab.Output || k.Row == nil || k.Row.Say != "out" {
		return false
	}
	if len(a.toks) == 1 && a.toks[0].Lo > 0 {
		return true
	}
	for i := range a.toks {
		if k := &a.toks[i]; k.Class == vocab.Element && k.Row != nil && k.Row.Plural && !(i+1 < len(a.toks) && a.toks[i+1].Class == vocab.Index) {
			return true
		}
	}
	return false
}

// tells reports that a place is told of a part: "receiver one is in the den" says
// where the receiver is, and not where somebody stands.
func (a *assembly) tells() bool {
	for i := 1; i < len(a.toks); i++ {
		for w := range strings.FieldsSeq(strings.ToLower(a.phrase[a.toks[i-1].Hi:a.toks[i].Lo])) {
			switch w {
			case "is", "are", "has", "have", "'s", "’s":
				return true
			}
		}
	}
	return false
}

// lateSide takes a side that comes after all else: "ground block good on the
// dish side", "tightened the splitter on the receiver side".
func (a *assembly) lateSide(ahead *lexer.PeekingLexer) bool {
	start := ahead.MakeCheckpoint()
	ahead.Next()
	if ahead.Peek().EOF() { // "on" ends the phrase
		ahead.LoadCheckpoint(start)
		return false
	}
	side := a.tok(*ahead.Next())
	if side.Class == vocab.Side && vocab.Class(ahead.Peek().Type) != vocab.Element && a.setSide(entry.Side(side.Means())) {
		return true
	}
	ahead.LoadCheckpoint(start)
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
func measureAhead(ahead *lexer.PeekingLexer) bool {
	c := vocab.Class(ahead.Peek().Type)
	return lex.IsMeasure(c) || c == vocab.Side || c == vocab.Output || c == vocab.In || c == vocab.Room || c == vocab.Numbered || c == vocab.InputTest
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
		a.add(entry.Time{Mark: a.tok(v.Tokens[0]).Means(), Assumed: a.assumed(v.Tokens)})
	case *coded:
		a.doCode(v.Tokens)
	case *opening:
		a.add(entry.Job{Verb: a.tok(v.Tokens[0]).Means(), Number: a.tok(v.Tokens[1]).Text})
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
