package grammar

import (
	"bufio"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"downlead/grammar/entry"
	"downlead/grammar/lex"
	"downlead/grammar/vocab"
)

// said is a phrase with its meaning, of testdata/phrases.
type said struct {
	Say  string          `json:"say"`
	Want json.RawMessage `json:"want"`
}

func phraseFile(t testing.TB, name string) []said {
	t.Helper()
	f, err := os.Open("../testdata/phrases/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var out []said
	for lines := bufio.NewScanner(f); lines.Scan(); {
		var s said
		if err := json.Unmarshal(lines.Bytes(), &s); err != nil {
			t.Fatal(err)
		}
		out = append(out, s)
	}
	return out
}

// strangers are words that no filler is: put in place of any other word, one
// of them must change what a phrase means, or make it one that nobody takes.
func strangers() []string {
	return []string{
		"bananas", "yesterday", "not", "moved", "loose", "if", "seven", "kitchen", "splitter", "quickly", "maybe", "never", "minus", "neighbor",
		"should", "corroded", "rain", "volts", "unless", "wants", "without", "threshold", "lunch",
	}
}

// TestEachWord takes the phrases of people and leaves out each word, and puts
// another in its place: what it means must change, but for words of the closed
// list. A sample by default; all of it with DOWNLEAD_EVERY_WORD=1.
func TestEachWord(t *testing.T) {
	p := newParser(t)
	every := os.Getenv("DOWNLEAD_EVERY_WORD") != ""
	r := rand.New(rand.NewPCG(7, 7))
	tried, phrases := 0, append(phraseFile(t, "own.jsonl"), phraseFile(t, "more.jsonl")...)
	for _, c := range phrases {
		if c.Want[0] != '[' || !every && r.IntN(4) > 0 {
			continue
		}
		whole := meant(p, c.Say)
		if whole == "" || takesAnyWords(p, c.Say) {
			continue
		}
		words := lex.Split(c.Say)
		for i, w := range words {
			if i > 0 && words[i-1].Hi >= w.Lo || i+1 < len(words) && words[i+1].Lo <= w.Hi {
				continue // half of a contraction, or of a number
			}
			tried++
			if meant(p, c.Say[:w.Lo]+c.Say[w.Hi:]) == whole && !changesNothing(p, w.Text) {
				t.Errorf("%q means the same without %q: %s", c.Say, w.Text, whole)
			}
			others := strangers()
			if !every {
				others = others[r.IntN(len(others)):][:1]
			}
			for _, other := range others {
				if sayNothing(p, c.Say) && other == "quickly" {
					continue
				}
				if changed := c.Say[:w.Lo] + other + c.Say[w.Hi:]; other != w.Text && meant(p, changed) == whole && !sameRow(p, w.Text, other) {
					t.Errorf("%q means the same as %q: %s", changed, c.Say, whole)
				}
			}
		}
	}
	t.Logf("%d words of %d phrases", tried, len(phrases))
}

// meant is what a phrase means, with all that is kept of it; "" for nothing.
func meant(p *Parser, phrase string) string {
	entries, err := p.Parse(phrase)
	if err != nil {
		return ""
	}
	var b strings.Builder
	for _, e := range entries {
		data, _ := entry.Encode(e)
		fmt.Fprintf(&b, "%s ", data)
		switch e := e.(type) { // how many "all" are is no word of the machine form
		case entry.Reading:
			fmt.Fprintf(&b, "%s ", string(e.Point.Which))
		case entry.Symptom:
			if e.Point != nil {
				fmt.Fprintf(&b, "%s ", string(e.Point.Which))
			}
		}
	}
	return b.String()
}

// takesAnyWords reports entries that keep the words said as they are.
func takesAnyWords(p *Parser, phrase string) bool {
	entries, _ := p.Parse(phrase)
	for _, e := range entries {
		switch e.Kind() {
		case entry.KindNote, entry.KindSite, entry.KindJob, entry.KindQuestion, entry.KindControl, entry.KindConsent:
			return true
		}
	}
	return false
}

// sayNothing reports entries that have no room for an aside: where somebody is,
// and how the path runs.
func sayNothing(p *Parser, phrase string) bool {
	entries, _ := p.Parse(phrase)
	return slices.ContainsFunc(entries, func(e entry.Entry) bool { return e.Kind() == entry.KindPlace || e.Kind() == entry.KindPath })
}

// changesNothing reports that a word may be left out: it is part of a filler,
// it joins or leads in what speaks for itself ("used", "miles" after "drove"),
// or it is one of several words of one row.
func changesNothing(p *Parser, w string) bool {
	for _, r := range p.talk().Rows {
		switch w {
		case "pm", "oh", "percent", "grown", "cable", "used": // the hour says it, the figure, the tree
			return true
		}
		switch r.Class {
		case vocab.Filler, vocab.And, vocab.At, vocab.On, vocab.In, vocab.To, vocab.From, vocab.For, vocab.Stand, vocab.With, vocab.Found, vocab.Particle, vocab.Has, vocab.Subject,
			vocab.Used, vocab.Drove, vocab.Cable, vocab.Repair, vocab.No, vocab.Was, vocab.UnitDBm, vocab.Strength, vocab.Some:
			if slices.Contains(strings.Fields(r.Say), w) {
				return true
			}
		default: // of a row that is one of the same meaning without it: "lag bolts"
			if parts := strings.Fields(r.Say); len(parts) > 1 && slices.Contains(parts, w) {
				return true
			}
		}
	}
	return false
}

// sameRow reports that two words are rows of one meaning.
func sameRow(p *Parser, a, b string) bool {
	switch a + " " + b { // the same in their places: "no good", "strength seven four", "no volts"
	case "no not", "seventy seven", "7 seven", "voltage volts", "is not", "does not",
		"on corroded", "inside corroded": // rust that corrodes a part is rust on it
		return true
	}
	ra, rb := p.talk().Trie.Get(a), p.talk().Trie.Get(b)
	return ra != nil && rb != nil && ra.Row != nil && rb.Row != nil && ra.Row.Class == rb.Row.Class && ra.Row.Means == rb.Row.Means
}
