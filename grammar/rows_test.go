package grammar

import (
	"math/rand/v2"
	"strings"
	"testing"
	"unicode"

	"downlead/grammar/lex"
	"downlead/grammar/speech"
	"downlead/grammar/vocab"
)

// TestRows: every row of the table is reached by a sentence that means what
// the row means. The sentences are random ones of the spoken language; a typed
// row takes the place of a spoken one of its meaning.
func TestRows(t *testing.T) {
	p := newParser(t)
	m := newMaker(t, p, randomly(rand.New(rand.NewPCG(7, 7))))
	type meaning struct {
		class vocab.Class
		means string
	}
	found := map[meaning][]*node{} // the shortest sentence for a meaning
	said := map[string]bool{}
	for range 30000 {
		nodes := m.random(speech.OfRule("Sentence"), "")
		ls := leaves(nodes)
		for _, l := range ls {
			for _, r := range append(l.parts, l.row) {
				if r == nil {
					continue
				}
				said[r.Class.String()+" "+r.Say] = true
				k := meaning{r.Class, r.Means}
				if have := found[k]; have == nil || len(ls) < len(leaves(have)) {
					found[k] = nodes
				}
			}
		}
	}
	typed := 0
	for i := range p.lexicon.Rows {
		r := &p.lexicon.Rows[i]
		switch {
		case r.Class == vocab.Filler, r.Class == vocab.Not, r.Class == vocab.Yes, r.Class == vocab.Ordinal, r.Class == vocab.To && r.Say != "to":
			continue // little words, and answers, have their own tests
		case r.Class == vocab.Site, r.Class == vocab.Location, r.Class == vocab.Reported:
			continue // typed only, before free words: TestPhrases
		case r.Spoken:
			if !said[r.Class.String()+" "+r.Say] {
				t.Errorf("nothing that can be said has %s %q in it", r.Class, r.Say)
			}
			continue
		}
		nodes := found[meaning{r.Class, r.Means}]
		if nodes == nil {
			t.Errorf("no sentence has a %s of the meaning of %q", r.Class, r.Say)
			continue
		}
		typed++
		swap(nodes, r)
		if !sameMeaning(t, p, nodes) {
			t.Errorf("… with %q typed", r.Say)
		}
	}
	t.Logf("%d rows said, %d typed", len(said), typed)
}

// swap puts a typed row in the place of a row of its meaning.
func swap(nodes []*node, r *vocab.Row) {
	for _, l := range leaves(nodes) {
		if l.row != nil && l.row.Class == r.Class && l.row.Means == r.Means {
			for i, w := range l.says {
				if w == l.row.Say {
					l.says[i] = r.Say
				}
			}
			l.row = r
			return
		}
		for i, part := range l.parts {
			if part.Class == r.Class && (part.Num == r.Num || part.Means == r.Means) && part.Num == r.Num {
				for j, w := range l.says {
					if w == part.Say {
						l.says[j] = r.Say
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
	rows := vocab.Builtin()
	l, err := lex.New(rows)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, r := range rows {
		if strings.Join(strings.Fields(strings.ToLower(r.Say)), " ") != r.Say {
			t.Errorf("%q is not lower case with single spaces", r.Say)
		}
		for _, c := range r.Say {
			if c != ' ' && !unicode.IsLetter(c) && (r.Spoken || !unicode.IsDigit(c)) {
				t.Errorf("%q has %q in it", r.Say, c)
			}
		}
		key := r.Class.String() + " " + r.Say
		if seen[key] {
			t.Errorf("%s %q is there twice", r.Class, r.Say)
		}
		seen[key] = true
	}
	// The longest row is always taken. That is safe where the words left over
	// from a longer row begin nothing that could follow the shorter one.
	for _, short := range rows {
		for _, long := range rows {
			rest, ok := strings.CutPrefix(long.Say, short.Say+" ")
			if !ok || !short.Spoken || !long.Spoken {
				continue
			}
			words := fields(rest)
			if r, end := l.Trie.Longest(words, 0); r != nil && end == len(words) && torn(t, short.Class, r.Class) {
				t.Errorf("%q may be %q and %q", long.Say, short.Say, rest)
			}
		}
	}
}

// torn reports that class b may follow class a in a spoken sentence.
func torn(t *testing.T, a, b vocab.Class) bool {
	t.Helper()
	if b == vocab.Filler || a == vocab.Filler {
		return false
	}
	p := newParser(t)
	if err := p.language.Load(); err != nil {
		t.Fatal(err)
	}
	n := &speech.Network{}
	from, to := n.State(), n.State()
	speech.NetBuilder{N: n, Rules: p.language.Rules}.Build(speech.OfRule("Sentence"), from, to)
	for q := range n.Steps {
		for _, s := range n.Steps[q] {
			if s.Class != a {
				continue
			}
			for _, r := range n.Reached(s.To) {
				for _, after := range n.Steps[r] {
					if after.Class == b && p.language.Speakable(b) {
						return true
					}
				}
			}
		}
	}
	return false
}
