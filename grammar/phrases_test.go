package grammar

import (
	"encoding/json"
	"errors"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"downlead/grammar/entry"
)

// TestPhrases: what people say means what they meant. The phrases and their
// meanings were written before the parser was tried on them.
func TestPhrases(t *testing.T) {
	p := newParser(t)
	b, err := os.ReadFile("testdata/phrases.txt")
	if err != nil {
		t.Fatal(err)
	}
	count := 0
	for block := range strings.SplitSeq(string(b), "\n> ") {
		lines := strings.Split(strings.TrimRight(block, "\n"), "\n")
		if strings.HasPrefix(lines[0], "#") {
			continue
		}
		count++
		phrase, want := lines[0], lines[1:]
		entries, err := p.Parse(phrase)
		if want[0] == "!" {
			var e *Error
			if err == nil || !errors.As(err, &e) {
				t.Errorf("%q: got %s, want an *Error", phrase, encoded(t, entries))
			}
			continue
		}
		var e *Error
		if want[0] == "?" && errors.As(err, &e) && e.Proposal != nil {
			want, entries, err = want[1:], e.Proposal.Entries, nil
		}
		if err != nil {
			t.Errorf("%q: %v", phrase, err)
			continue
		}
		if diff := cmp.Diff(objects(t, want), objects(t, encoded(t, entries))); diff != "" {
			t.Errorf("%q (-want +got):\n%s", phrase, diff)
		}
	}
	t.Logf("%d phrases", count)
	if count < 200 {
		t.Errorf("%d phrases, want 200 at least", count)
	}
}

func newParser(t testing.TB) *Parser {
	t.Helper()
	p, err := New(nil)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func encoded(t testing.TB, entries []entry.Entry) []string {
	t.Helper()
	var out []string
	for _, e := range entries {
		b, err := entry.Encode(e)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, string(b))
	}
	return out
}

func objects(t testing.TB, lines []string) []map[string]any {
	t.Helper()
	var out []map[string]any
	for _, l := range lines {
		var o map[string]any
		if err := json.Unmarshal([]byte(l), &o); err != nil {
			t.Fatalf("%s: %v", l, err)
		}
		out = append(out, o)
	}
	return out
}
