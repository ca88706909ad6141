package grammar

import (
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"downlead/grammar/entry"
	"downlead/grammar/lex"
	"downlead/grammar/speech"
	"downlead/grammar/vocab"
)

// TestStarts: the table of what may start a statement is what the grammar
// says, and no choice of the grammar can match nothing (participle panics on
// those).
func TestStarts(t *testing.T) {
	p := newParser(t)
	if err := p.language.Load(); err != nil {
		t.Fatal(err)
	}
	g := &firsts{rules: p.language.Rules}
	want, got := map[string][]string{}, map[string][]string{}
	for _, name := range p.language.Order {
		g.check(t, name, p.language.Rules[name])
	}
	for c, list := range p.starts {
		for _, s := range list {
			name := strings.TrimPrefix(s.name, "grammar.")
			name = strings.ToUpper(name[:1]) + name[1:]
			got[name] = append(got[name], vocab.Class(c).String())
		}
	}
	for name := range got {
		for c := range g.first(speech.OfRule(name)) {
			want[name] = append(want[name], c.String())
		}
		slices.Sort(want[name])
		slices.Sort(got[name])
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("first words of statements, by the grammar (-) and by the table (+):\n%s", diff)
	}
	for _, top := range []string{"Alone", "Clause"} {
		for _, k := range p.language.Rules[top].Kids {
			if got[k.Name] == nil {
				t.Errorf("no first word leads to %s", k.Name)
			}
		}
	}
}

type firsts struct{ rules map[string]*speech.Expr }

func (g *firsts) nullable(e *speech.Expr) bool {
	switch e.Op {
	case speech.OpOpt, speech.OpStar:
		return true
	case speech.OpRule:
		return g.nullable(g.rules[e.Name])
	case speech.OpAlt:
		return slices.ContainsFunc(e.Kids, g.nullable)
	case speech.OpSeq, speech.OpPlus:
		return !slices.ContainsFunc(e.Kids, func(k *speech.Expr) bool { return !g.nullable(k) })
	}
	return false
}

func (g *firsts) first(e *speech.Expr) map[vocab.Class]bool {
	out := map[vocab.Class]bool{}
	switch e.Op {
	case speech.OpClass:
		out[e.Class] = true
	case speech.OpRule:
		return g.first(g.rules[e.Name])
	case speech.OpSeq:
		for _, k := range e.Kids {
			for c := range g.first(k) {
				out[c] = true
			}
			if !g.nullable(k) {
				break
			}
		}
	default:
		for _, k := range e.Kids {
			for c := range g.first(k) {
				out[c] = true
			}
		}
	}
	return out
}

func (g *firsts) check(t *testing.T, rule string, e *speech.Expr) {
	t.Helper()
	if e.Op == speech.OpAlt && slices.ContainsFunc(e.Kids, g.nullable) {
		t.Errorf("a choice in %s can match nothing", rule)
	}
	for _, k := range e.Kids {
		g.check(t, rule, k)
	}
}

// TestGolden keeps the grammar, the speech grammar and the pronunciations, so
// that a change of them is seen. UPDATE=1 writes them.
func TestGolden(t *testing.T) {
	p := newParser(t)
	if err := p.language.Load(); err != nil {
		t.Fatal(err)
	}
	jsgf := p.JSGF(speech.Focus{})
	if strings.ContainsAny(jsgf, "*+") || strings.Count(jsgf, "public") != 1 || strings.Contains(jsgf, "VOID") {
		t.Error("the speech grammar has a star, more or less than one public rule, or a rule of nothing")
	}
	for file, got := range map[string]string{
		"grammar.ebnf": p.language.Ebnf + "\n",
		"phrase.gram":  jsgf,
		"answer.gram":  p.JSGF(speech.Focus{Answers: true}),
		"phrase.dict":  p.Pronunciations(nil),
	} {
		file = "testdata/" + file
		if os.Getenv("UPDATE") == "1" {
			if err := os.WriteFile(file, []byte(got), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(string(want), got); diff != "" {
			t.Errorf("%s (UPDATE=1 accepts it):\n%s", file, diff)
		}
	}
}

// TestUnlikely: words of other elements and rooms alone, none that a phrase of
// this path may need.
func TestUnlikely(t *testing.T) {
	p := newParser(t)
	got := p.Unlikely([]entry.Element{entry.GroundBlock, entry.WallPlate}, []string{"kitchen"})
	for _, want := range []string{"attic", "diplexer", "splitters", "triplexer", "garage"} {
		if !slices.Contains(got, want) {
			t.Errorf("%q is not among %q", want, got)
		}
	}
	// Fittings, barrels and jumpers are what repairs are made with: on no path,
	// and likely on every call (common practice, no source).
	for _, want := range []string{
		"ground", "kitchen", "jumper", "jumpers", "fitting", "fittings", "barrel", "barrels", "connector", "power", "b", "dish", "receiver", "minus",
	} {
		if slices.Contains(got, want) {
			t.Errorf("%q is among %q", want, got)
		}
	}
}

// TestGuide: every example parses to its kind.
func TestGuide(t *testing.T) {
	p := newParser(t)
	for _, topic := range Guide() {
		if len(topic.Examples) == 0 {
			t.Errorf("%s has no examples", topic.Kind)
		}
		for _, example := range topic.Examples {
			entries, err := p.Parse(example)
			if err != nil || entries[0].Kind() != topic.Kind {
				t.Errorf("%q: %v, %v, want a %s", example, entries, err, topic.Kind)
			}
		}
	}
	rows := p.Vocabulary()
	if len(rows) != len(p.lexicon.Rows) {
		t.Errorf("%d rows of %d", len(rows), len(p.lexicon.Rows))
	}
	for _, r := range rows {
		if r.Class == "" || r.Phrase == "" || r.Meaning == "" {
			t.Errorf("%+v has an empty member", r)
		}
	}
}

// TestNext: what is offered after a beginning really goes on from it, and
// common continuations are there.
func TestNext(t *testing.T) {
	p := newParser(t)
	for beginning, want := range map[string]string{
		"":                            "ground block",
		"gro":                         "ground block",
		"ground ":                     "block",
		"ground b":                    "block",
		"replaced ":                   "splitter",
		"wall plate ":                 "pass",
		"wall plate pass mi":          "minus",
		"wall plate pass minus ":      "forty one",
		"what is the ":                "margin",
		"margin at ":                  "wall plate",
		"cable from ground block to ": "wall plate",
		"scratch the last ":           "two",
		"start job ":                  "four",
		"wall plate fail minus forty": "forty one",
	} {
		got := p.Next(beginning)
		if !slices.Contains(got, want) {
			t.Errorf("after %q: %q is not among %q", beginning, want, got)
		}
	}
	if got := p.Next("wall plate bananas "); len(got) != 0 {
		t.Errorf("after an unknown word: %q", got)
	}
	net, err := p.language.Net()
	if err != nil {
		t.Fatal(err)
	}
	for _, beginning := range []string{"", "wall plate ", "ground block dish side pass ", "replaced ", "used two fittings ", "outlet ", "threshold ", "slot one nineteen "} {
		for _, word := range p.Next(beginning) {
			toks := p.lexicon.Lex(beginning + word)
			if len(toks) > 0 && lex.StartsNumber(toks[len(toks)-1].Class) || slices.Contains([]string{"minus", "negative", "point", "decimal"}, word) {
				continue // the number is not whole yet
			}
			if word == "on" {
				continue // of a place or of a slot: the word after it decides
			}
			if n, _ := net.Reach(toks); n < len(toks) && !slices.ContainsFunc(toks, func(k lex.Token) bool { return k.Class == vocab.Figure || k.Class == vocab.Count }) {
				t.Errorf("%q does not go on with %q", beginning, word)
			}
		}
	}
}
