package grammar

import (
	"fmt"
	"strings"
	"testing"

	"downlead/grammar/entry"
)

// The sign of a number is no punctuation before it.
func TestANoteKeepsItsSign(t *testing.T) {
	p, err := New(nil)
	if err != nil {
		t.Fatal(err)
	}
	for phrase, want := range map[string]string{
		"note -40 at the dish":   "-40 at the dish",
		"note: -40.5 there":      "-40.5 there",
		"note - 40 at the dish":  "40 at the dish",
		"note - loose clamp":     "loose clamp",
		"note .5 dB more":        ".5 dB more",
		"note: ... see the path": "see the path",
		"note 40":                "40",
	} {
		entries, perr := p.Parse(phrase)
		if perr != nil || len(entries) != 1 {
			t.Errorf("%q: %v, %v", phrase, entries, perr)
			continue
		}
		if n, ok := entries[0].(entry.Note); !ok || n.Text != want {
			t.Errorf("%q: %+v, want %q", phrase, entries[0], want)
		}
	}
}

// A file of own words cannot make a large error or a large dictionary.
func TestOwnWordsAreBounded(t *testing.T) {
	var many strings.Builder
	for i := range 400 {
		fmt.Fprintf(&many, "[[room]]\nsay = \"%d\"\n", i)
	}
	for name, file := range map[string]string{
		"means":    "[[word]]\nsay = \"ab\"\nmeans = \"" + strings.Repeat("x ", 20000) + "\"\n",
		"key":      strings.Repeat("k", 30000) + " = 1\n",
		"sounds":   "[[room]]\nsay = \"abo\"\nsounds = \"" + strings.Repeat("B AH ", 5000) + "\"\n",
		"phone":    "[[room]]\nsay = \"abo\"\nsounds = \"" + strings.Repeat("B", 5000) + "\"\n",
		"refusals": many.String(),
		"the file": "# " + strings.Repeat("x", 70<<10),
	} {
		if _, err := LoadWords(strings.NewReader(file)); err == nil || len(err.Error()) > 4000 {
			t.Errorf("%s: %.200v", name, err)
		}
	}
}
