package grammar

import (
	"encoding/json"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"downlead/grammar/entry"
	"downlead/grammar/speech"
)

// sameMeaning parses a sentence and compares what it means with what its
// derivation means; what had to be assumed does not count.
func sameMeaning(t *testing.T, p *Parser, nodes []*node) bool {
	t.Helper()
	said := sentenceOf(nodes)
	want := meaningOf(nodes)
	entries, err := p.Parse(said)
	if strings.Contains(strings.ReplaceAll(said, "leaving the site", ""), "leaving the ") { // the signal does, where it is taken at all, and nobody departs
		for _, e := range entries {
			if m, ok := e.(entry.Time); ok && m.Mark == "departed" {
				t.Errorf("%q: somebody departs: %s", said, encoded(t, entries))
				return false
			}
		}
		return true
	}
	if err != nil {
		t.Errorf("%q: %v\n  want %s", said, err, encoded(t, want))
		return false
	}
	got, wanted := encoded(t, entries), encoded(t, want)
	for i := range got {
		got[i] = withoutAssumed(t, got[i])
	}
	for i := range wanted {
		wanted[i] = withoutAssumed(t, wanted[i])
	}
	if len(got) != len(wanted) {
		t.Errorf("%q:\n  got  %s\n  want %s", said, got, wanted)
		return false
	}
	for i := range got {
		if got[i] != wanted[i] {
			t.Errorf("%q:\n  got  %s\n  want %s", said, got[i], wanted[i])
			return false
		}
	}
	return true
}

func withoutAssumed(t testing.TB, s string) string {
	t.Helper()
	var o map[string]any
	if err := json.Unmarshal([]byte(s), &o); err != nil {
		t.Fatal(err)
	}
	delete(o, "assumed")
	b, err := json.Marshal(o)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// TestSkeleton: with one word for each class, every sentence of up to five
// classes (six with DOWNLEAD_LONG=1), of one statement or two, parses to what
// its derivation means. A sentence with two derivations would have to mean
// both: so none has two meanings.
func TestSkeleton(t *testing.T) {
	p := newParser(t)
	m := newMaker(t, p, plainly)
	longest := 5
	if os.Getenv("DOWNLEAD_LONG") != "" {
		longest = 6
	}
	count, failed := 0, 0
	for n := 1; n <= longest; n++ {
		m.every(speech.OfRule("Sentence"), n, func(nodes []*node) {
			if failed > 20 {
				return
			}
			count++
			if !sameMeaning(t, p, nodes) {
				failed++
			}
		})
	}
	t.Logf("%d sentences of up to %d classes", count, longest)
}

// TestRandomSentences: random sentences of the spoken language, all words and
// all lengths, parse to what their derivations mean.
func TestRandomSentences(t *testing.T) {
	const seed, sentences = 20, 20000
	p := newParser(t)
	m := newMaker(t, p, randomly(rand.New(rand.NewPCG(seed, seed))))
	failed := 0
	for range sentences {
		if !sameMeaning(t, p, m.random(speech.OfRule("Sentence"), "")) {
			if failed++; failed > 20 {
				t.Fatalf("seed %d: too many failures", seed)
			}
		}
	}
	t.Logf("%d sentences, seed %d", sentences, seed)
}
