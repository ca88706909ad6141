package speech

import (
	"fmt"
	"strings"
	"sync"

	"github.com/alecthomas/participle/v2/ebnf"

	"downlead/grammar/lex"
	"downlead/grammar/vocab"
)

// Expr is a node of the grammar's tree. The tree is read from what the
// running parser prints of itself, so that whatever is derived from it (the
// speech grammar, what may come next, test sentences) cannot drift.
type Expr struct {
	Op    op
	Kids  []*Expr
	Class vocab.Class // of opClass
	Name  string      // of opRule and opWords; of opClass, the only row it may be
}

type op int

const (
	OpSeq op = iota
	OpAlt
	OpOpt
	OpStar  // any number of the one kid
	OpPlus  // one or more
	OpClass // a token
	OpRule  // a production, by name
	OpWords // words that are not tokens: "the"
)

// Seq is one after the other.
func Seq(kids ...*Expr) *Expr     { return &Expr{Op: OpSeq, Kids: kids} }
func alt(kids ...*Expr) *Expr     { return &Expr{Op: OpAlt, Kids: kids} }
func opt(kid *Expr) *Expr         { return &Expr{Op: OpOpt, Kids: []*Expr{kid}} }
func ofClass(c vocab.Class) *Expr { return &Expr{Op: OpClass, Class: c} }

// OfRule is a production, by its name.
func OfRule(name string) *Expr { return &Expr{Op: OpRule, Name: name} }
func words(s string) *Expr     { return &Expr{Op: OpWords, Name: s} }

// Language is the grammar as a tree, made when it is first asked for.
type Language struct {
	Ebnf    string
	Lexicon *lex.Lexicon

	once  sync.Once
	Rules map[string]*Expr
	Order []string // names of the rules as the parser prints them
	err   error

	netOnce   sync.Once
	network   *Network
	Statement *Network // of one statement alone
}

// Load reads the tree, once.
func (l *Language) Load() error {
	l.once.Do(func() { l.Rules, l.Order, l.err = readTree(l.Ebnf) })
	return l.err
}

// readTree reads the grammar that participle prints.
func readTree(text string) (map[string]*Expr, []string, error) {
	tree, err := ebnf.ParseString(text)
	if err != nil {
		return nil, nil, fmt.Errorf("read the grammar's own form: %w", err)
	}
	classes := map[string]vocab.Class{}
	for c := vocab.Class(1); c < vocab.ClassCount; c++ {
		classes[strings.ToLower(c.String())] = c
	}
	r := treeReader{classes: classes}
	rules := map[string]*Expr{}
	var order []string
	for _, p := range tree.Productions {
		rules[p.Production] = r.alternatives(p.Expression)
		order = append(order, p.Production)
	}
	return rules, order, r.err
}

type treeReader struct {
	classes map[string]vocab.Class
	err     error
}

func (r *treeReader) alternatives(e *ebnf.Expression) *Expr {
	var kids []*Expr
	for _, s := range e.Alternatives {
		kids = append(kids, r.sequence(s))
	}
	if len(kids) == 1 {
		return kids[0]
	}
	return alt(kids...)
}

func (r *treeReader) sequence(s *ebnf.Sequence) *Expr {
	var kids []*Expr
	for _, t := range s.Terms {
		kids = append(kids, r.term(t))
	}
	if len(kids) == 1 {
		return kids[0]
	}
	return Seq(kids...)
}

func (r *treeReader) term(t *ebnf.Term) *Expr {
	var e *Expr
	switch {
	case t.Negation || t.Literal != "" || t.Group != nil && t.Group.Lookahead != ebnf.LookaheadAssertionNone:
		r.err = fmt.Errorf("the grammar has a part that cannot be spoken: %s", t)
		return Seq()
	case t.Name != "":
		e = OfRule(t.Name)
	case t.Token != "":
		c, ok := r.classes[t.Token]
		if !ok {
			r.err = fmt.Errorf("the grammar names an unknown class %q", t.Token)
		}
		e = ofClass(c)
	default:
		e = r.alternatives(t.Group.Expr)
	}
	switch t.Repetition {
	case "?":
		return opt(e)
	case "*":
		return &Expr{Op: OpStar, Kids: []*Expr{e}}
	case "+":
		return &Expr{Op: OpPlus, Kids: []*Expr{e}}
	case "!":
		r.err = fmt.Errorf("the grammar has a part that cannot be spoken: %s", t)
	}
	return e
}
