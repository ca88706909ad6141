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
	if _, err := appendRows(nil, "Verdikt pass\n\tgood"); err == nil {
		t.Error("a class that is none is taken")
	}
}
