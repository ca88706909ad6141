package grammar

import (
	"fmt"
	"strings"
	"sync"

	"github.com/alecthomas/participle/v2/ebnf"

	"downlead/grammar/vocab"
)

// expr is a node of the grammar's tree. The tree is read from what the
// running parser prints of itself, so that whatever is derived from it (the
// speech grammar, what may come next, test sentences) cannot drift.
type expr struct {
	op    op
	kids  []*expr
	class vocab.Class // of opClass
	name  string      // of opRule and opWords; of opClass, the only row it may be
}

type op int

const (
	opSeq op = iota
	opAlt
	opOpt
	opStar  // any number of the one kid
	opPlus  // one or more
	opClass // a token
	opRule  // a production, by name
	opWords // words that are not tokens: "the"
)

func seq(kids ...*expr) *expr     { return &expr{op: opSeq, kids: kids} }
func alt(kids ...*expr) *expr     { return &expr{op: opAlt, kids: kids} }
func opt(kid *expr) *expr         { return &expr{op: opOpt, kids: []*expr{kid}} }
func ofClass(c vocab.Class) *expr { return &expr{op: opClass, class: c} }
func ofRule(name string) *expr    { return &expr{op: opRule, name: name} }
func words(s string) *expr        { return &expr{op: opWords, name: s} }

// language is the grammar as a tree, made when it is first asked for.
type language struct {
	ebnf    string
	lexicon *lexicon

	once  sync.Once
	rules map[string]*expr
	order []string // names of the rules as the parser prints them
	err   error

	netOnce   sync.Once
	network   *network
	statement *network // of one statement alone
}

func (l *language) load() error {
	l.once.Do(func() { l.rules, l.order, l.err = readTree(l.ebnf) })
	return l.err
}

// readTree reads the grammar that participle prints.
func readTree(text string) (map[string]*expr, []string, error) {
	tree, err := ebnf.ParseString(text)
	if err != nil {
		return nil, nil, fmt.Errorf("read the grammar's own form: %w", err)
	}
	classes := map[string]vocab.Class{}
	for c := vocab.Class(1); c < vocab.ClassCount; c++ {
		classes[strings.ToLower(c.String())] = c
	}
	r := treeReader{classes: classes}
	rules := map[string]*expr{}
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

func (r *treeReader) alternatives(e *ebnf.Expression) *expr {
	var kids []*expr
	for _, s := range e.Alternatives {
		kids = append(kids, r.sequence(s))
	}
	if len(kids) == 1 {
		return kids[0]
	}
	return alt(kids...)
}

func (r *treeReader) sequence(s *ebnf.Sequence) *expr {
	var kids []*expr
	for _, t := range s.Terms {
		kids = append(kids, r.term(t))
	}
	if len(kids) == 1 {
		return kids[0]
	}
	return seq(kids...)
}

func (r *treeReader) term(t *ebnf.Term) *expr {
	var e *expr
	switch {
	case t.Negation || t.Literal != "" || t.Group != nil && t.Group.Lookahead != ebnf.LookaheadAssertionNone:
		r.err = fmt.Errorf("the grammar has a part that cannot be spoken: %s", t)
		return seq()
	case t.Name != "":
		e = ofRule(t.Name)
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
		return &expr{op: opStar, kids: []*expr{e}}
	case "+":
		return &expr{op: opPlus, kids: []*expr{e}}
	case "!":
		r.err = fmt.Errorf("the grammar has a part that cannot be spoken: %s", t)
	}
	return e
}
