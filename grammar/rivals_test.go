package grammar

import (
	"slices"
	"testing"
)

func TestRivals(t *testing.T) {
	p, err := New(nil)
	if err != nil {
		t.Fatal(err)
	}
	rivals := p.Rivals("ground block dish side pass minus sixty one")
	for _, want := range []string{
		"ground block dish side pass minus sixteen",
		"ground block dish side pass minus fifty one",
		"ground block dish side pass minus sixty",
		"ground block dish side fail minus sixty one",
		"ground block receiver side pass minus sixty one",
	} {
		if !slices.Contains(rivals, want) {
			t.Errorf("no rival %q", want)
		}
	}
	own := p.Meaning("ground block dish side pass minus sixty one")
	for _, r := range rivals {
		if m := p.Meaning(r); m == own || m == r {
			t.Errorf("%q is no rival: it means the same, or nothing", r)
		}
	}
	if got := p.Rivals("arrived"); len(got) > 0 {
		t.Errorf("rivals of a phrase without a number or a verdict: %q", got)
	}
}
