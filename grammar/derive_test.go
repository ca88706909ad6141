package grammar

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"downlead/grammar/entry"
	"downlead/grammar/speech"
	"downlead/grammar/vocab"
)

// node is a derivation: which production was used, which row was said. The
// tests build sentences from derivations, and work out what they mean from
// them alone, without the lexer, the parser library or the resolver.
type node struct {
	rule  string // "" for a leaf
	class vocab.Class
	row   *vocab.Row   // of a leaf that is no number
	says  []string     // words of a leaf, little words included
	parts []*vocab.Row // number words of a leaf that is a number
	kids  []*node
}

// picker chooses among n things; the first is the plainest.
type picker func(n int) int

func randomly(r *rand.Rand) picker { return func(n int) int { return r.IntN(n) } }

func plainly(int) int { return 0 }

// maker makes derivations of the spoken language.
type maker struct {
	t    testing.TB
	l    *speech.Language
	pick picker
	rows map[vocab.Class][]*vocab.Row
}

func newMaker(t testing.TB, p *Parser, pick picker) *maker {
	t.Helper()
	if err := p.language.Load(); err != nil {
		t.Fatal(err)
	}
	m := &maker{t: t, l: p.language, pick: pick, rows: map[vocab.Class][]*vocab.Row{}}
	for i := range p.lexicon.Rows {
		if r := &p.lexicon.Rows[i]; r.Spoken {
			m.rows[r.Class] = append(m.rows[r.Class], r)
		}
	}
	return m
}

// random makes one random derivation of e.
func (m *maker) random(e *speech.Expr, rule string) []*node {
	switch e.Op {
	case speech.OpClass:
		return []*node{m.leaf(e.Class, rule)}
	case speech.OpRule:
		return []*node{{rule: e.Name, kids: m.random(m.l.Rules[e.Name], e.Name)}}
	case speech.OpOpt:
		if m.l.Spoken(e.Kids[0], rule) != nil && m.pick(2) == 1 {
			return m.random(e.Kids[0], rule)
		}
		return nil
	case speech.OpStar, speech.OpPlus:
		most := speech.MostSaid(e.Kids[0].Name)
		if speech.Endless(e.Kids[0].Name) {
			most = 14
		}
		n := m.pick(most + 1)
		if e.Op == speech.OpPlus {
			n = 1 + m.pick(most)
		}
		var out []*node
		for range n {
			out = append(out, m.random(e.Kids[0], rule)...)
		}
		return out
	case speech.OpAlt:
		var can []*speech.Expr
		for _, k := range e.Kids {
			if m.l.Spoken(k, rule) != nil {
				can = append(can, k)
			}
		}
		return m.random(can[m.pick(len(can))], rule)
	}
	var out []*node
	for _, k := range e.Kids {
		out = append(out, m.random(k, rule)...)
	}
	return out
}

// leaf says one class: a row, or a number, with little words before or after.
func (m *maker) leaf(c vocab.Class, rule string) *node {
	n := &node{class: c}
	m.say(speech.Decorated(c, rule), n, c)
	return n
}

func (m *maker) say(e *speech.Expr, n *node, c vocab.Class) {
	switch e.Op {
	case speech.OpWords:
		n.says = append(n.says, e.Name)
	case speech.OpClass:
		if k := m.l.Lexicon.Kinds[e.Class]; k != nil && e.Class == c {
			m.say(m.l.NumberTree(k), n, 0)
			return
		}
		list := m.rows[e.Class]
		if e.Name != "" {
			list = slices.DeleteFunc(slices.Clone(list), func(r *vocab.Row) bool { return r.Say != e.Name })
		}
		r := list[m.pick(len(list))]
		n.says = append(n.says, r.Say)
		if c == 0 {
			n.parts = append(n.parts, r)
		} else {
			n.row = r
		}
	case speech.OpOpt:
		if m.pick(2) == 1 {
			m.say(e.Kids[0], n, c)
		}
	case speech.OpAlt:
		m.say(e.Kids[m.pick(len(e.Kids))], n, c)
	case speech.OpSeq:
		for _, k := range e.Kids {
			m.say(k, n, c)
		}
	default:
		m.t.Fatalf("a word tree has an op %d", e.Op)
	}
}

// sentenceOf returns the words of a derivation.
func sentenceOf(nodes []*node) string {
	var words []string
	for _, l := range leaves(nodes) {
		words = append(words, l.says...)
	}
	return strings.Join(words, " ")
}

func leaves(nodes []*node) []*node {
	var out []*node
	for _, n := range nodes {
		if n.rule == "" {
			out = append(out, n)
		} else {
			out = append(out, leaves(n.kids)...)
		}
	}
	return out
}

// every calls yield with each derivation of e that has n leaves.
func (m *maker) every(e *speech.Expr, n int, yield func([]*node)) {
	if n < 0 || !m.can(e, n) {
		return
	}
	switch e.Op {
	case speech.OpClass:
		yield([]*node{m.leaf(e.Class, "")})
	case speech.OpRule:
		m.every(m.l.Rules[e.Name], n, func(kids []*node) { yield([]*node{{rule: e.Name, kids: kids}}) })
	case speech.OpOpt:
		if n == 0 {
			yield(nil)
			return
		}
		m.every(e.Kids[0], n, yield)
	case speech.OpStar, speech.OpPlus:
		if n == 0 {
			yield(nil)
			return
		}
		for first := 1; first <= n; first++ {
			m.every(e.Kids[0], first, func(head []*node) {
				m.every(&speech.Expr{Op: speech.OpStar, Kids: e.Kids}, n-first, func(rest []*node) { yield(join2(head, rest)) })
			})
		}
	case speech.OpAlt:
		for _, k := range e.Kids {
			m.every(k, n, yield)
		}
	case speech.OpSeq:
		m.everySeq(e.Kids, n, nil, yield)
	}
}

func (m *maker) everySeq(kids []*speech.Expr, n int, done []*node, yield func([]*node)) {
	if len(kids) == 0 {
		if n == 0 {
			yield(done)
		}
		return
	}
	for first := 0; first <= n; first++ {
		m.every(kids[0], first, func(head []*node) { m.everySeq(kids[1:], n-first, join2(done, head), yield) })
	}
}

func join2(a, b []*node) []*node { return append(append(make([]*node, 0, len(a)+len(b)), a...), b...) }

// can says whether e has a derivation of n leaves at all; it cuts the search.
func (m *maker) can(e *speech.Expr, n int) bool {
	if e.Op == speech.OpClass {
		return n == 1 && e.Class != vocab.Text && m.l.Speakable(e.Class)
	}
	if e.Op == speech.OpOpt || e.Op == speech.OpStar {
		return true
	}
	return n > 0 || e.Op == speech.OpSeq
}

// value works out a number from its words: by the digits they write.
func (n *node) value() entry.Decimal {
	sign, whole, frac := "", "", ""
	point := false
	hundred := -1
	for _, r := range n.parts {
		switch r.Class {
		case vocab.Minus:
			sign = "-"
		case vocab.Point:
			point = true
		case vocab.Hundred:
			hundred = max(1, vocab.Atoi(whole))
			whole = ""
		case vocab.Zero, vocab.Digit, vocab.Teen, vocab.Tens:
			if point {
				frac += fmt.Sprint(r.Num)
			} else {
				whole += fmt.Sprint(r.Num)
			}
		}
	}
	if hundred > 0 {
		whole = fmt.Sprint(100*hundred + vocab.Atoi(whole))
	}
	if whole == "" {
		whole = "0"
	}
	if frac != "" {
		whole += "." + frac
	}
	if strings.Trim(whole, "0.") == "" {
		sign = ""
	}
	d, err := entry.ParseDecimal(sign + strings.TrimLeft(whole[:len(whole)-1], "0") + whole[len(whole)-1:])
	if err != nil {
		d, err = entry.ParseDecimal(sign + whole)
	}
	if err != nil {
		panic(err)
	}
	if n.class == vocab.Level && d.Sign() > 0 {
		d = d.Neg() // said without its sign
	}
	return d
}

func (n *node) int() int { return int(n.value().Float()) }
