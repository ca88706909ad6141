package figure

import (
	"strings"
	"testing"
	"unicode/utf8"
)

// ruler is a canvas on which every letter is one wide, and which counts the
// letters that it measures.
type ruler struct {
	Canvas
	measured int
}

func (r *ruler) TextWidth(_ float64, _ bool, s string) float64 {
	n := utf8.RuneCountInString(s)
	r.measured += n
	return float64(n)
}

func TestWrapBreaksWords(t *testing.T) {
	for text, want := range map[string]string{
		"":                        "",
		"one two":                 "one two",
		"one two three":           "one two|three",
		"one abcdefghijklmnop qr": "one|abcdefghij|klmnop qr",
		"abcdefghij":              "abcdefghij",
		"ééééééééééééé":           "éééééééééé|ééé",
		"a\nb":                    "a|b",
	} {
		if got := strings.Join(Wrap(&ruler{}, 1, false, text, 10), "|"); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}

// A word without a break costs as much as it is long, and not its square.
func TestWrapIsLinear(t *testing.T) {
	for _, n := range []int{10_000, 100_000} {
		r := &ruler{}
		if lines := Wrap(r, 1, false, strings.Repeat("x", n), 50); len(lines) != n/50 {
			t.Errorf("%d lines of %d letters", len(lines), n)
		}
		if r.measured > 20*n {
			t.Errorf("%d letters measured for %d", r.measured, n)
		}
	}
}
