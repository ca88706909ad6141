package grammar

import (
	"bufio"
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"

	"downlead/grammar/entry"
)

// TestEveryNumber: every number from -999 to 999, and every tenth of it, is
// read back from the words that SayNumber gives for it, and from digits.
func TestEveryNumber(t *testing.T) {
	p := newParser(t)
	count := 0
	for tenths := -9999; tenths <= 9999; tenths++ {
		d := entry.NewDecimal(0, int64(tenths))
		for _, said := range []string{entry.SayNumber(d), d.String(), strings.Replace(d.String(), "-", "−", 1)} {
			a, err := p.ParseAnswer(said)
			if err != nil || a.Value != d {
				t.Fatalf("%q: got %s, %v, want %s", said, a.Value, err, d)
			}
			count++
		}
	}
	t.Logf("%d numbers", count)
}

// TestEveryLevel: every tenth that a level can have, in words, in digits and
// in both, in a reading.
func TestEveryLevel(t *testing.T) {
	p := newParser(t)
	for tenths := -999; tenths < 0; tenths++ {
		want := entry.NewDecimal(0, int64(tenths))
		whole, frac := -tenths/10, -tenths%10
		says := []string{entry.SayNumber(want), want.String(), want.String() + " dBm", fmt.Sprintf("minus %d point %s", whole, entry.DigitWord(frac))}
		if whole >= 10 {
			says = append(says, fmt.Sprintf("minus %s %s point %d", entry.DigitWord(whole/10), entry.DigitWord(whole%10), frac), want.Neg().String()+" dBm")
		}
		for _, said := range says {
			entries, err := p.Parse("wall plate " + said)
			if err != nil {
				t.Fatalf("%q: %v", said, err)
			}
			if got := entries[0].(entry.Reading).Level; got != want {
				t.Fatalf("%q: got %s, want %s", said, got, want)
			}
		}
	}
}

// TestNumberWords: words for 0 … 999 made by a general number library, npm's
// number-to-words 1.2.4 (testdata/numberwords.txt, made by
// testdata/numberwords.js), mean the number.
func TestNumberWords(t *testing.T) {
	p := newParser(t)
	f, err := os.Open("testdata/numberwords.txt")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	count := 0
	for s := bufio.NewScanner(f); s.Scan(); {
		digits, words, _ := strings.Cut(s.Text(), "\t")
		n, err := strconv.ParseInt(digits, 10, 64)
		if err != nil {
			t.Fatal(err)
		}
		a, err := p.ParseAnswer(words)
		if err != nil || a.Value != entry.Whole(n) {
			t.Errorf("%q: got %s, %v, want %d", words, a.Value, err, n)
		}
		count++
	}
	if count != 1999 {
		t.Errorf("%d numbers, want 1999", count)
	}
}

// TestNumberForms: what people say for one number, and what is none.
func TestNumberForms(t *testing.T) {
	p := newParser(t)
	for said, want := range map[string]string{
		"minus forty one": "-41", "−41": "-41", "− 41": "-41", "negative 41.5 dBm": "-41.5", "minus four one point five": "-41.5",
		"one nineteen": "119", "one ten": "110", "sixty one point five": "61.5", "a hundred and twenty": "120", "two hundred": "200",
		"one oh one": "101", "four oh": "40", "oh": "0", "nine ninety nine": "999", "seven hundred and one": "701", "12": "12",
		"minus 4 1": "-41", "forty 1": "",
		"twenty eleven": "", "hundred hundred": "", "point five": "", "minus": "", "one two three four": "", "forty one fifty": "",
		"minus minus one": "", "two point": "",
	} {
		a, err := p.ParseAnswer(said)
		if got := a.Value.String(); got != want || (err == nil) != (want != "") {
			t.Errorf("%q: got %q, %v, want %q", said, got, err, want)
		}
	}
}
