package grammar

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"downlead/grammar/entry"
	"downlead/grammar/lex"
	"downlead/grammar/vocab"
)

// seedPhrases start the fuzzing: what is said, what is typed, and what hurts.
func seedPhrases() []string {
	out := []string{
		"", " ", "\x00", "minus", "-", "−41", "41.5.5", "#2", "R.G. 6", "L.N.B.", "receiver's", "’", "wall plate\u200f minus 41", "e\u0301\u0301",
		"ground block dish side, pass, minus forty one", "ＷＡＬＬ plate", "١٢", "İ", "ß", strings.Repeat("a", 300), strings.Repeat("one ", 200),
		"\xff\xfe", "wall plate -\xc3\x28 41", "path " + strings.Repeat("dish ", 100), "start job " + strings.Repeat("4", 50), "intY  n", "note, raining on",
	}
	for _, topic := range Guide() {
		out = append(out, topic.Examples...)
	}
	return out
}

// FuzzLexer: words and tokens lie in the phrase, in order, and no word is
// empty.
func FuzzLexer(f *testing.F) {
	for _, s := range seedPhrases() {
		f.Add(s)
	}
	p := newParser(f)
	f.Fuzz(func(t *testing.T, s string) {
		at := 0
		for _, w := range lex.Split(s) {
			if w.Lo < at || w.Hi <= w.Lo || w.Hi > len(s) {
				t.Fatalf("%q: word %+v after byte %d", s, w, at)
			}
			at = w.Hi
		}
		for _, k := range p.lexicon.Lex(s) {
			if k.Lo < 0 || k.Hi < k.Lo || k.Hi > len(s) || k.Class <= 0 || k.Class >= vocab.ClassCount {
				t.Fatalf("%q: token %+v", s, k)
			}
		}
	})
}

// FuzzParse: a phrase never panics; it gives entries, each of which can be
// written, read back and said, or an *Error whose place lies in the phrase.
func FuzzParse(f *testing.F) {
	for _, s := range seedPhrases() {
		f.Add(s)
	}
	p := newParser(f)
	f.Fuzz(func(t *testing.T, s string) {
		entries, err := p.Parse(s)
		if err != nil {
			var e *Error
			if !errors.As(err, &e) || entries != nil {
				t.Fatalf("%q: %v, %v", s, entries, err)
			}
			if e.At < 0 || e.At > len(s) || e.Message == "" || strings.Contains(e.Message, "cannot be read") {
				t.Fatalf("%q: %+v", s, e)
			}
			_ = e.Caret(s)
			return
		}
		if len(entries) == 0 {
			t.Fatalf("%q: neither entries nor an error", s)
		}
		for _, e := range entries {
			b, err := entry.Encode(e)
			if err != nil {
				t.Fatalf("%q: %v", s, err)
			}
			back, err := entry.Decode(b)
			if err != nil {
				t.Fatalf("%q: %s: %v", s, b, err)
			}
			if again, _ := entry.Encode(back); string(again) != string(b) {
				t.Fatalf("%q: %s is read as %s", s, b, again)
			}
			if said := entry.Say(e); said == "" || utf8.ValidString(s) && !utf8.ValidString(said) {
				t.Fatalf("%q: %s says %q", s, b, said)
			}
			completed, _ := entry.Complete(e, nil)
			if completed.Kind() != e.Kind() {
				t.Fatalf("%q: completed to another kind", s)
			}
		}
	})
}

// FuzzNumber: a phrase that is a number says itself back.
func FuzzNumber(f *testing.F) {
	for _, s := range []string{"minus forty one point five", "one nineteen", "a hundred and twenty", "0041", "4 1", "-0.5", "999999999", "1.2345678", "two hundred and"} {
		f.Add(s)
	}
	p := newParser(f)
	f.Fuzz(func(t *testing.T, s string) {
		a, err := p.ParseAnswer(s)
		if err != nil || !a.Value.Said() {
			return
		}
		again, err := p.ParseAnswer(entry.SayNumber(a.Value))
		if err != nil || again.Value != a.Value {
			t.Fatalf("%q is %s, said %q, which is %s, %v", s, a.Value, entry.SayNumber(a.Value), again.Value, err)
		}
	})
}

// FuzzWords: a vocabulary file is refused or makes a parser that still
// understands what the built-in one does.
func FuzzWords(f *testing.F) {
	for _, s := range []string{
		"", "[[word]]\nsay=\"sep\"\nmeans=\"splitter\"\n", "[[room]]\nsay=\"sun room\"\nsounds=\"S AH N,R UW M\"\n", "[[check]]\nsay=\"surge guard\"\n",
		"[[word]]\nsay=\"pass\"\nmeans=\"fail\"\n", "[[room]]\nsay=\"wall\"\n", "[[room]]\nsay=\"plate dish\"\n", "[[code]]\nsay=\"\"\n", "x=1", "[[word]]\nsay=1",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		own, err := LoadWords(strings.NewReader(s))
		if err != nil {
			return
		}
		p, err := New(own)
		if err != nil {
			t.Fatalf("%q is taken, and then: %v", s, err)
		}
		for _, topic := range Guide() {
			for _, example := range topic.Examples {
				entries, err := p.Parse(example)
				if err != nil || !slices.ContainsFunc(entries, func(e entry.Entry) bool { return e.Kind() == topic.Kind }) {
					t.Fatalf("%q breaks %q: %v %v", s, example, entries, err)
				}
			}
		}
	})
}
