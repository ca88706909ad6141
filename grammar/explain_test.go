package grammar

import (
	"strings"
	"testing"
)

// TestExplain: every word of a phrase is shown, once, with what it is taken for.
func TestExplain(t *testing.T) {
	p := newParser(t)
	for _, c := range owned() {
		shown := 0
		for _, part := range p.Explain(c[0]) {
			shown += len(strings.Join(strings.Fields(part.Words), ""))
		}
		if whole := len(strings.NewReplacer(" ", "", ",", "").Replace(c[0])); shown < whole-1 || shown > whole {
			t.Errorf("%q: %d letters are shown of %d: %v", c[0], shown, whole, p.Explain(c[0]))
		}
	}
	parts := p.Explain("uh gorund block bananas minus 41")
	want := []Part{{"uh", "changes nothing"}, {"gorund block", "element ground block, a slip of the fingers"}, {"bananas", "not known"}, {"minus 41", "level -41"}}
	if len(parts) != len(want) {
		t.Fatalf("got %v", parts)
	}
	for i := range want {
		if parts[i] != want[i] {
			t.Errorf("got %v, want %v", parts[i], want[i])
		}
	}
}
