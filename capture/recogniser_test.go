package capture

import (
	"errors"
	"os"
	"strings"
	"sync"
	"testing"

	"downlead/capture/sound"
	"downlead/capture/soundtest"
)

// pointsRecogniser has the tests' own grammar. It is one for all: what changes
// its grammar puts it back, and what closes one makes its own.
func pointsRecogniser(t testing.TB) *Recogniser {
	t.Helper()
	r, err := points()
	return made(t, r, err)
}

var points = sync.OnceValues(func() (*Recogniser, error) {
	jsgf, err := os.ReadFile("testdata/points.gram")
	if err != nil {
		return nil, err
	}
	return NewRecogniser(Config{JSGF: string(jsgf), Meaning: shown})
})

// shown is what the meter showed: the words after the place.
func shown(text string) string {
	_, shown, _ := strings.Cut(text, " side ")
	return shown
}

// A phrase that was heard right is confirmed; told that it was another, the
// further decodes object.
func TestConfirm(t *testing.T) {
	r := pointsRecogniser(t)
	const text = "ground block dish side pass minus forty one"
	sound := append(append(make([]int16, sound.Rate/2), soundtest.Phrase(t, text)...), make([]int16, sound.Rate/2)...)
	u, err := r.Recognise(t.Context(), sound)
	if err != nil {
		t.Fatal(err)
	}
	if u.Text != text {
		t.Fatalf("heard %q, want %q", u.Text, text)
	}
	e, err := r.Confirm(t.Context(), u)
	if err != nil || !e.Agrees() || e.Decodes != 2 {
		t.Errorf("evidence %+v, error %v; want agreement of two", e, err)
	}
	u.Text = "ground block dish side pass minus forty nine"
	if e, err = r.Confirm(t.Context(), u); err != nil || len(e.Others) != 2 || e.Others[0] != text {
		t.Errorf("evidence %+v, error %v; want two for %q", e, err, text)
	}
	// Another place means the same here, and does not count.
	u.Text = "wall plate dish side pass minus forty one"
	if e, err = r.Confirm(t.Context(), u); err != nil || !e.Agrees() {
		t.Errorf("evidence %+v, error %v; want agreement by meaning", e, err)
	}
}

func TestClosedRecogniser(t *testing.T) {
	r := recogniser(t, Config{JSGF: digitsGrammar})
	for range 2 {
		if err := r.Close(); err != nil {
			t.Fatal(err)
		}
	}
	_, err1 := r.Recognise(t.Context(), make([]int16, sound.Rate))
	_, err2 := r.Free(t.Context(), make([]int16, sound.Rate))
	_, _, err3 := r.Spot(t.Context(), make([]int16, sound.Rate), "what", 1)
	_, err4 := r.Confirm(t.Context(), Utterance{})
	for _, err := range []error{err1, err2, err3, err4, r.SetGrammar(digitsGrammar)} {
		if !errors.Is(err, errClosed) {
			t.Errorf("error %v, want that it is closed", err)
		}
	}
}

// The dialogue changes the grammar back and forth, more of them than are kept.
func TestSetGrammar(t *testing.T) {
	r := pointsRecogniser(t)
	points := readFile(t, "testdata/points.gram")
	t.Cleanup(func() { _ = r.SetGrammar(points) })
	answer := func(word string) string {
		return "#JSGF V1.0;\ngrammar a;\npublic <a> = " + word + " | splitter;\n"
	}
	sound := append(append(make([]int16, sound.Rate/2), soundtest.Phrase(t, "where is the fault")...), make([]int16, sound.Rate/2)...)
	for _, w := range []string{"yes", "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "yes"} {
		if err := r.SetGrammar(answer(w)); err != nil {
			t.Fatal(err)
		}
	}
	if u, err := r.Recognise(t.Context(), sound); err != nil || (u.Text != "" && u.Text != "yes" && u.Text != "splitter") {
		t.Errorf("heard %q, error %v in a grammar of yes and splitter", u.Text, err)
	}
	if err := r.SetGrammar(points); err != nil {
		t.Fatal(err)
	}
	if u, err := r.Recognise(t.Context(), sound); err != nil || u.Text != "where is the fault" {
		t.Errorf("heard %q, error %v after the first grammar came back", u.Text, err)
	}
}
