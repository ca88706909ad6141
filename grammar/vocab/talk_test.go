package vocab

import (
	"regexp"
	"strings"
	"testing"
)

// TestOwnRows holds the form of people's own words: words and single spaces,
// and no words of two meanings.
func TestOwnRows(t *testing.T) {
	form := regexp.MustCompile(`^[\p{L}\d]+( [\p{L}\d]+)*$`)
	seen := map[string]Row{}
	for _, r := range OwnRows() {
		if !form.MatchString(r.Say) {
			t.Errorf("%q is no row", r.Say)
		}
		if have, twice := seen[r.Say]; twice && (have.Class != r.Class || have.Means != r.Means) {
			t.Errorf("%q is both %s %s and %s %s", r.Say, have.Class, have.Means, r.Class, r.Means)
		}
		seen[r.Say] = r
	}
	if len(seen) < 5000 {
		t.Errorf("%d rows", len(seen))
	}
}

// TestTells: a hint is found beside the class that its words are read as, has the
// form of a row and one meaning, and every hint has words.
func TestTells(t *testing.T) {
	for _, c := range []struct {
		hint         Class
		words, means string
		tells        bool
	}{
		{Handled, "wiggled", "past", true},
		{Handled, "moved", "past", true}, // a deed as well
		{Handled, "hitting", "", true},
		{Handled, "taped", "", false},
		{Came, "lost the signal", "dropouts", true},
		{Sometime, "last night", "other_day", true},
		{ToCome, "tomorrow", "", true},
		{Over, "tomorrow", "", false},
	} {
		if means, tells := Tells(c.hint, c.words); means != c.means || tells != c.tells {
			t.Errorf("%s %q: %q, %t", c.hint, c.words, means, tells)
		}
	}
	form := regexp.MustCompile(`^[a-z]+( [a-z]+)*$`)
	count := map[Class]int{}
	for k := range ownWords().hints {
		count[k.class]++
		if !form.MatchString(k.say) || len(strings.Fields(k.say)) > mostHintWords {
			t.Errorf("%q is no row", k.say)
		}
	}
	for c := Whenever; c < ClassCount; c++ {
		if count[c] == 0 {
			t.Errorf("no words of %s", c)
		}
	}
}

func TestWays(t *testing.T) {
	for list, want := range map[string]string{
		"toast~, no good":                   "toast~|no good",
		"(look, looks) (good, fine), is ok": "look good|looks good|look fine|looks fine|is ok",
		"in (a, the) rain":                  "in a rain|in the rain",
	} {
		if got := strings.Join(ways(list), "|"); got != want {
			t.Errorf("%q: %s, want %s", list, got, want)
		}
	}
	if _, err := rowsOf("Verdikt pass\n\tgood"); err == nil {
		t.Error("a class that is none is taken")
	}
}
