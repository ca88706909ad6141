package grammar

import (
	"slices"
	"strings"
	"testing"

	"downlead/grammar/entry"
	"downlead/grammar/speech"
)

// TestOwnWords: a vocabulary file's words are understood when typed, stand in
// the speech grammar with a pronunciation, and are said back.
func TestOwnWords(t *testing.T) {
	own, err := LoadWords(strings.NewReader(`
[[word]]
say = "sep"
means = "splitter"
sounds = "S EH P"

[[word]]
say = "kaput"
means = "fail"

[[word]]
say = "Zapped"
means = "replaced"

[[room]]
say = "sun room"

[[check]]
say = "surge guard"

[[code]]
say = "antenna swap"
`))
	if err != nil {
		t.Fatal(err)
	}
	p, err := New(own)
	if err != nil {
		t.Fatal(err)
	}
	for phrase, want := range map[string]string{
		"sep output two no signal":          "splitter output two, no signal",
		"wall plate kaput minus fifty four": "wall plate, fail, minus fifty four",
		"zapped the sep":                    "replaced splitter",
		"sun room wall plate pass":          "wall plate in the sun room, pass",
		"wall plate in the sun room pass":   "wall plate in the sun room, pass",
		"surge guard fail":                  "surge guard fail",
		"work code antenna swap":            "work code antenna swap",
		"splitter output two no signal":     "splitter output two, no signal",
		"zappped the sep":                   "replaced splitter", // slips in own words, too
	} {
		entries, err := p.Parse(phrase)
		if err != nil {
			t.Errorf("%q: %v", phrase, err)
			continue
		}
		if got := entry.Say(entries[0]); got != want {
			t.Errorf("%q: got %q, want %q", phrase, got, want)
		}
		if again, err := p.Parse(entry.Say(entries[0])); err != nil || entry.Say(again[0]) != want {
			t.Errorf("%q does not come back: %v", want, err)
		}
	}
	jsgf := p.JSGF(speech.Focus{})
	for _, w := range []string{"sep", "sun", "surge guard", "antenna swap", "zapped"} {
		if !strings.Contains(jsgf, w) {
			t.Errorf("%q cannot be said", w)
		}
	}
	base := func(w string) bool { return w != "sep" && w != "zapped" && speech.KnownSounds()[w] == "" }
	dict := p.Pronunciations(base)
	for _, line := range []string{"sep S EH P\n", "zapped Z AE P T\n", "diplexer D AY P L EH K S ER\n"} {
		if !strings.Contains(dict, line) {
			t.Errorf("no %q among\n%s", line, dict)
		}
	}
	compile(t, jsgf)
	if !slices.ContainsFunc(p.Vocabulary(), func(r Row) bool { return r.Own && r.Phrase == "sep" && r.Meaning == "splitter" }) {
		t.Error("own words are not in the vocabulary")
	}
}

// TestOwnWordsRefused: what would make a phrase ambiguous is refused, with the
// reason.
func TestOwnWordsRefused(t *testing.T) {
	for _, c := range []struct{ file, why string }{
		{`[[word]]
say = "pass"
means = "fail"`, "already means verdict pass"},
		{`[[word]]
say = "splitter"
means = "splitter"`, "known already"},
		{`[[word]]
say = "sep"`, "does not say what it means"},
		{`[[word]]
say = "sep"
means = "frobnicator"`, "no word of the table"},
		{`[[word]]
say = "dozen"
means = "twelve"`, "numbers and little words"},
		{`[[room]]
say = "room two"`, "number word"},
		{`[[room]]
say = "room 2"`, "only letters"},
		{`[[room]]
say = "the cabin"`, "not listened to"},
		{`[[room]]
say = "kitchen dish"`, "mean something already"},
		{`[[room]]
say = "kitchen wall"`, "read in two ways"},
		{`[[room]]
say = "paws"`, "sounds the same"},
		{`[[room]]
say = ""`, "empty"},
		{`[[room]]
say = "a b c d e"`, "more than 4"},
		{`[[room]]
say = "cabin"
sounds = "K AE B QQ N"`, "no phone"},
		{`[[room]]
say = "sun room"
sounds = "S AH N R UW M"`, "comma"},
		{`[[room]]
say = "cabin"
means = "kitchen"`, "only a [[word]]"},
		{`[[room]]
say = "cabin"
[[check]]
say = "cabin"`, "already means room cabin"},
		{`[[rooms]]
say = "cabin"`, "not known"},
		{`say = `, "own words"},
		{strings.Repeat("#", 70_000), "longer than"},
		{strings.Repeat("[[room]]\nsay = \"cabin\"\n", 600), "more than 500"},
	} {
		_, err := LoadWords(strings.NewReader(c.file))
		if err == nil || !strings.Contains(err.Error(), c.why) {
			t.Errorf("%.60q: got %v, want %q", c.file, err, c.why)
		}
	}
	if own, err := LoadWords(strings.NewReader("")); err != nil || len(own.rows) != 0 {
		t.Errorf("an empty file: %v", err)
	}
}
