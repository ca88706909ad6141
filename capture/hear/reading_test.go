package hear

import (
	"slices"
	"strings"
	"testing"
)

// Whatever the model writes for a sentence is read as that sentence.
func TestReadingTakesEverySpelling(t *testing.T) {
	for sentence, texts := range map[string][]string{
		"ground block dish side pass minus forty one": {
			"Ground block, dish side: pass. Minus forty-one.", "ground-block dish side past -41", "GROUNDBLOCK DISH SIDE PASSED, minus 41!",
		},
		"splitter output two fail minus thirty seven point five": {
			"Splitter output to fail, minus 37.5", "Splitter output 2, fail -37.5.", "splitter, output two fail minus thirty seven point five",
		},
		"minus four seven":             {"-47", "Minus 4-7.", "Minus four, seven."},
		"multi switch output three":    {"Multiswitch output 3.", "multi-switch output three"},
		"pass strength one hundred":    {"Pass. Strength 100.", "Past strength one hundred."},
		"cable is two hundred five ft": {"Cable is 205 ft."},
	} {
		g := Sentences([]string{sentence, "wall plate", "minus eleven"})
		for _, text := range texts {
			if got := g.ended(g.read([]reading{{}}, text)); !slices.Equal(got, []string{sentence}) {
				t.Errorf("%q is read as %q, want %q", text, got, sentence)
			}
		}
	}
}

func TestReadingRefusesOtherWords(t *testing.T) {
	g := Sentences([]string{"wall plate pass minus forty one", "minus four"})
	for _, text := range []string{"Wall paper", "wall plate fail", "wall plate pass minus 42", "41", "wall plate pass minus 41.5", "€", "wall plate pass minus 041"} {
		if got := g.ended(g.read([]reading{{}}, text)); len(got) > 0 {
			t.Errorf("%q is read as %q", text, got)
		}
	}
	if got := g.ended(g.read([]reading{{}}, "wall plate pass")); len(got) > 0 {
		t.Errorf("half a sentence is read as %q", got)
	}
}

func TestWords(t *testing.T) {
	for text, want := range map[string]string{
		"Wall plate, pass: -41.5.": "wall plate pass minus forty one point five",
		"Multi-switch output 3!":   "multi switch output three",
		"It's 105 feet, (about).":  "it's one hundred five feet about",
		"4.1.2 -":                  "4.1.2",
		"":                         "",
	} {
		if got := Words(text); got != want {
			t.Errorf("%q gives %q, want %q", text, got, want)
		}
	}
}

// A tokenizer's file that is cut short or has other tokens is refused.
func TestReadTokensRefusesDamage(t *testing.T) {
	for _, file := range []string{"\x05ab", "\x80", "\x01a\x01b", strings.Repeat("\x01a", vocabulary+1)} {
		if _, err := readTokens([]byte(file)); err == nil {
			t.Errorf("%d bytes are taken", len(file))
		}
	}
}

// An early end is no better than the whole sentence, of which each word costs
// something; a word that costs much is not added.
func TestScoreOfLengths(t *testing.T) {
	whole := Candidate{"wall plate fail minus twenty eight", -11.6}
	for _, other := range []Candidate{{"wall plate", -9.6}, {"the", -12}, {"wall plate fail minus twenty eight one", -14}} {
		if other.Score() >= whole.Score() {
			t.Errorf("%q scores %.1f, the whole %.1f", other.Text, other.Score(), whole.Score())
		}
	}
}
