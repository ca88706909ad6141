package grammar

import (
	"errors"
	"strings"
	"sync"
	"testing"
	"time"
	"unicode"

	"downlead/grammar/entry"
	"downlead/grammar/speech"
)

// TestHostile: phrases made to hurt come back as an *Error, soon.
func TestHostile(t *testing.T) {
	p := newParser(t)
	controls := ""
	for r := rune(0); r < 0x20; r++ {
		controls += string(r)
	}
	for name, phrase := range map[string]string{
		"one letter":      strings.Repeat("a", 100_000),
		"one word":        strings.Repeat("a", 4000),
		"many words":      strings.Repeat("q ", 2000),
		"known words":     strings.Repeat("dish ", 800),
		"numbers":         strings.Repeat("one ", 1000),
		"minus":           strings.Repeat("minus ", 600),
		"digits":          strings.Repeat("9", 4000),
		"points":          strings.Repeat("1.", 2000),
		"controls":        strings.Repeat(controls, 100),
		"marks":           "e" + strings.Repeat("\u0301", 2000),
		"right to left":   strings.Repeat("\u200f\u202e", 600),
		"invalid":         strings.Repeat("\xff\xc0", 2000),
		"near misses":     strings.Repeat("splitre ", 30),
		"apostrophes":     strings.Repeat("'", 4000),
		"dashes":          strings.Repeat("-", 4000),
		"dashes, numbers": strings.Repeat("- 1 - 2 ", 500),
		"conjunctions":    "used " + strings.Repeat("and ", 900),
	} {
		start := time.Now()
		entries, err := p.Parse(phrase)
		var e *Error
		if !errors.As(err, &e) || entries != nil {
			t.Errorf("%s: got %d entries, %v", name, len(entries), err)
			continue
		}
		if e.At < 0 || e.At > len(phrase) || len(e.Message) > 600 {
			t.Errorf("%s: error at %d of %d, message of %d bytes", name, e.At, len(phrase), len(e.Message))
		}
		if took := time.Since(start); took > 5*time.Second {
			t.Errorf("%s took %v", name, took)
		}
		if _, err := p.ParseAnswer(phrase); err == nil && name != "digits" {
			t.Errorf("%s is taken for an answer", name)
		}
		_ = p.Next(phrase)
	}
}

// TestEveryScript: a word of any script is an unknown word, at its place.
func TestEveryScript(t *testing.T) {
	p := newParser(t)
	count := 0
	for name, table := range unicode.Scripts {
		if name == "Latin" || name == "Common" || name == "Inherited" {
			continue
		}
		var first rune
		if len(table.R16) > 0 {
			first = rune(table.R16[0].Lo)
		} else {
			first = rune(table.R32[0].Lo)
		}
		if !unicode.IsLetter(first) {
			continue
		}
		count++
		w := strings.Repeat(string(first), 3)
		_, err := p.Parse("wall plate " + w + " pass")
		var e *Error
		if !errors.As(err, &e) || e.At != len("wall plate ") || e.Word != w {
			t.Errorf("%s: %q: %v", name, w, err)
		}
	}
	if count < 100 {
		t.Errorf("only %d scripts", count)
	}
}

// TestMarksAndCase: marks that do not show, capitals and punctuation change
// nothing.
func TestMarksAndCase(t *testing.T) {
	p := newParser(t)
	for _, phrase := range []string{
		"wall plate pass minus forty one", "Wall Plate. Pass. Minus Forty One.", "WALL PLATE, PASS, −41", "wall\u00a0plate pass – 41", "wall\tplate\npass -41",
		"\u200ewall plate\u200f pass -41", "wa\u0301ll plate pass -41", "wall-plate pass -41", "wall plate: pass; (-41 dBm)!", "wall plate pass \"-41\"",
	} {
		entries, err := p.Parse(phrase)
		if err != nil || len(entries) != 1 || entry.Say(entries[0]) != "wall plate, pass, minus forty one" {
			t.Errorf("%q: %v, %v", phrase, entries, err)
		}
	}
}

// TestConcurrent: one parser serves many at once.
func TestConcurrent(t *testing.T) {
	p := newParser(t)
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			for _, phrase := range []string{typicalReading, "ground lock dish side pass minus forty one", "removed sprinkler"} {
				_, _ = p.Parse(phrase)
				_ = p.JSGF(speech.Focus{})
				_ = p.Next("ground ")
			}
		})
	}
	wg.Wait()
}
