package grammar

import (
	"math/rand/v2"
	"strings"
	"testing"
	"unicode"
)

// TestRows: every row of the table is reached by a sentence that means what
// the row means. The sentences are random ones of the spoken language; a typed
// row takes the place of a spoken one of its meaning.
func TestRows(t *testing.T) {
	p := newParser(t)
	m := newMaker(t, p, randomly(rand.New(rand.NewPCG(7, 7))))
	type meaning struct {
		class class
		means string
	}
	found := map[meaning][]*node{} // the shortest sentence for a meaning
	said := map[string]bool{}
	for range 30000 {
		nodes := m.random(ofRule("Sentence"), "")
		ls := leaves(nodes)
		for _, l := range ls {
			for _, r := range append(l.parts, l.row) {
				if r == nil {
					continue
				}
				said[r.class.String()+" "+r.say] = true
				k := meaning{r.class, r.means}
				if have := found[k]; have == nil || len(ls) < len(leaves(have)) {
					found[k] = nodes
				}
			}
		}
	}
	typed := 0
	for i := range p.lexicon.rows {
		r := &p.lexicon.rows[i]
		switch {
		case r.class == cFiller, r.class == cNot, r.class == cYes, r.class == cOrdinal, r.class == cTo && r.say != "to":
			continue // little words, and answers, have their own tests
		case r.class == cSite, r.class == cLocation, r.class == cReported:
			continue // typed only, before free words: TestPhrases
		case r.spoken:
			if !said[r.class.String()+" "+r.say] {
				t.Errorf("nothing that can be said has %s %q in it", r.class, r.say)
			}
			continue
		}
		nodes := found[meaning{r.class, r.means}]
		if nodes == nil {
			t.Errorf("no sentence has a %s of the meaning of %q", r.class, r.say)
			continue
		}
		typed++
		swap(nodes, r)
		if !sameMeaning(t, p, nodes) {
			t.Errorf("… with %q typed", r.say)
		}
	}
	t.Logf("%d rows said, %d typed", len(said), typed)
}

// swap puts a typed row in the place of a row of its meaning.
func swap(nodes []*node, r *row) {
	for _, l := range leaves(nodes) {
		if l.row != nil && l.row.class == r.class && l.row.means == r.means {
			for i, w := range l.says {
				if w == l.row.say {
					l.says[i] = r.say
				}
			}
			l.row = r
			return
		}
		for i, part := range l.parts {
			if part.class == r.class && (part.num == r.num || part.means == r.means) && part.num == r.num {
				for j, w := range l.says {
					if w == part.say {
						l.says[j] = r.say
					}
				}
				l.parts[i] = r
				return
			}
		}
	}
}

// TestTable holds the form of the rows: lower case, letters and single spaces
// (digits only where it is typed), no row twice, and no row that would tear
// another apart.
func TestTable(t *testing.T) {
	rows := builtin()
	l, err := newLexicon(rows)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, r := range rows {
		if strings.Join(strings.Fields(strings.ToLower(r.say)), " ") != r.say {
			t.Errorf("%q is not lower case with single spaces", r.say)
		}
		for _, c := range r.say {
			if c != ' ' && !unicode.IsLetter(c) && (r.spoken || !unicode.IsDigit(c)) {
				t.Errorf("%q has %q in it", r.say, c)
			}
		}
		key := r.class.String() + " " + r.say
		if seen[key] {
			t.Errorf("%s %q is there twice", r.class, r.say)
		}
		seen[key] = true
	}
	// The longest row is always taken. That is safe where the words left over
	// from a longer row begin nothing that could follow the shorter one.
	for _, short := range rows {
		for _, long := range rows {
			rest, ok := strings.CutPrefix(long.say, short.say+" ")
			if !ok || !short.spoken || !long.spoken {
				continue
			}
			words := fields(rest)
			if r, end := l.trie.longest(words, 0); r != nil && end == len(words) && torn(t, short.class, r.class) {
				t.Errorf("%q may be %q and %q", long.say, short.say, rest)
			}
		}
	}
}

// torn reports that class b may follow class a in a spoken sentence.
func torn(t *testing.T, a, b class) bool {
	t.Helper()
	if b == cFiller || a == cFiller {
		return false
	}
	p := newParser(t)
	if err := p.language.load(); err != nil {
		t.Fatal(err)
	}
	n := &network{}
	from, to := n.state(), n.state()
	netBuilder{n: n, rules: p.language.rules}.build(ofRule("Sentence"), from, to)
	for q := range n.steps {
		for _, s := range n.steps[q] {
			if s.class != a {
				continue
			}
			for _, r := range n.reached(s.to) {
				for _, after := range n.steps[r] {
					if after.class == b && p.language.speakable(b) {
						return true
					}
				}
			}
		}
	}
	return false
}
