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

// Rivals of a sentence in people's own words differ from it little, and mean
// something else.
func TestOwnRivals(t *testing.T) {
	p := newParser(t)
	const said = "behind receiver one it fails at minus fifty eight"
	rivals := p.OwnRivals(said)
	for _, want := range []string{
		"behind receiver one it fails at minus fifty",
		"behind receiver one it fails at minus sixty eight",
		"behind receiver two it fails at minus fifty eight",
		"behind receiver one it passes at minus fifty eight",
		"behind splitter one it fails at minus fifty eight",
	} {
		if !slices.Contains(rivals, want) {
			t.Errorf("no rival %q", want)
		}
	}
	for _, r := range rivals {
		if m := p.Means(r); m == "" || m == p.Means(said) {
			t.Errorf("%q is no rival", r)
		}
	}
	if m := p.Means(said); m == "" || m != p.Means("behind receiver one, it's failing at minus fifty eight") {
		t.Errorf("it means %q", m)
	}
	for _, nothing := range []string{"", "they went home too late", "is it raining"} {
		if m := p.Means(nothing); m != "" {
			t.Errorf("%q means %s", nothing, m)
		}
	}
}

// What was written down by ear is given back as it may have been said.
func TestSounding(t *testing.T) {
	p := newParser(t)
	for phrase, want := range map[string]string{
		"all plate is good minus fifty":                 "wall plate is good minus fifty",
		"okay i have connected at the whole plate":      "okay i have connected at the wall plate",
		"small plates strength is only fifty four":      "wall plates strength is only fifty four",
		"they went home too late and it was a long way": "",
		"": "",
	} {
		got := p.Sounding(phrase)
		if want == "" && len(got) > 0 || want != "" && !slices.Contains(got, want) {
			t.Errorf("%q: %q, want %q", phrase, got, want)
		}
		for _, text := range got {
			if p.Means(text) == "" {
				t.Errorf("%q says nothing", text)
			}
		}
	}
}
