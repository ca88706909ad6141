package capture

import (
	"errors"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"downlead/capture/hear"
	"downlead/capture/segment"
	"downlead/capture/sound"
	"downlead/capture/soundtest"
)

// anySecond is the second listener of all tests.
var anySecond = sync.OnceValue(func() *Second { return OpenSecond(hear.Folder()) })

// second loads the second listener, or skips where set-up did not fetch it.
func second(t testing.TB) *Second {
	t.Helper()
	s := anySecond()
	if err := s.Wait(); err != nil {
		t.Skip(err)
	}
	return s
}

// Source: pocketsphinx-testdata, tidigits/dhd.2934z.raw (its name is what is
// said, z for zero). Both listeners hear it against one grammar.
func TestBothListenersHearPublishedDigits(t *testing.T) {
	soundtest.NeedPublished(t)
	meaning := func(text string) string { return strings.ReplaceAll(text, "oh", "zero") } // "29340" is either
	r := recogniser(t, Config{JSGF: digitsGrammar, Second: second(t), Meaning: meaning})
	u, err := r.RecogniseSegment(t.Context(), segment.Segment{Samples: soundtest.ReadRaw(t, soundtest.Published+"/tidigits/dhd.2934z.raw")})
	if err != nil {
		t.Fatal(err)
	}
	const want = "two nine three four zero"
	if u.Text != want || u.Second == nil || len(u.Second.Sentences) == 0 || meaning(u.Second.Sentences[0].Text) != want {
		t.Fatalf("heard %q, and second %+v; want %q", u.Text, u.Second, want)
	}
	if meaning(u.Second.Spoken) != want {
		t.Errorf("the phonemes are those of %q, want %q", u.Second.Spoken, want)
	}
	if w := u.Second; w.Own != w.Sentences[0].LogP || w.Fit != 0 {
		t.Errorf("%+v: they agree", w)
	}
	if !(u.Scores.NumberMargin > 0) {
		t.Errorf("what the second listener heard less likely fits the first one better, by %g", -u.Scores.NumberMargin)
	}
}

// Source: pocketsphinx-testdata, cards/cards.transcription with cards.gram. The layer of phonemes was trained on
// synthetic voices and phrases of the trade alone; here a person says something else.
func TestPublishedCardsByPhonemes(t *testing.T) {
	soundtest.NeedPublished(t)
	r := recogniser(t, Config{JSGF: readFile(t, soundtest.Published+"/cards/cards.gram"), Second: second(t)})
	right := 0
	want := transcripts(t, soundtest.Published+"/cards/cards.transcription")
	for name, text := range want {
		u, err := r.RecogniseSegment(t.Context(), segment.Segment{Samples: readSound(t, filepath.Join(soundtest.Published, "cards", name+".wav"))})
		if err != nil {
			t.Fatal(err)
		}
		if u.Second.Spoken == text {
			right++
		} else {
			t.Logf("%s: %q, want %q", name, u.Second.Spoken, text)
		}
		// Nothing fits better than the likeliest phonemes, and of all that was looked at its sentence fits best.
		if len(u.Second.Phonemes) == 0 || u.Second.Phonemes[0].LogP > 1e-3 || u.Second.Phonemes[0].Text != u.Second.Spoken {
			t.Errorf("%s: %v", name, u.Second.Phonemes)
		}
	}
	if right < 4 || len(want) != 5 {
		t.Errorf("%d of %d right, want 4 of 5", right, len(want))
	}
}

// Sound that says nothing of the grammar, or is too long for the second
// listener, is heard by the first alone.
func TestSecondListenerMayHaveNothing(t *testing.T) {
	soundtest.NeedPublished(t)
	r := recogniser(t, Config{JSGF: "#JSGF V1.0;\ngrammar g;\npublic <g> = wall plate | barrel;\n", Second: second(t)})
	for name, samples := range map[string][]int16{
		"other words": soundtest.ReadRaw(t, soundtest.Published+"/goforward.raw"), "silence": make([]int16, sound.Rate), "too long": make([]int16, 31*sound.Rate), "too short": make([]int16, 10),
	} {
		u, err := r.RecogniseSegment(t.Context(), segment.Segment{Samples: samples})
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if strings.HasPrefix(name, "too") && u.Second != nil {
			t.Errorf("%s: heard %+v", name, u.Second)
		}
	}
}

// Without its files a Recogniser works as without a second listener.
func TestSecondListenerMissing(t *testing.T) {
	s := OpenSecond(t.TempDir())
	defer s.Close()
	if err := s.Wait(); !errors.Is(err, hear.ErrMissing) {
		t.Fatalf("error %v", err)
	}
	soundtest.NeedPublished(t)
	r := recogniser(t, Config{JSGF: digitsGrammar, Second: s, Rivals: func(string) []string { return []string{"two nine three four oh"} }})
	u, err := r.RecogniseSegment(t.Context(), segment.Segment{Samples: soundtest.ReadRaw(t, soundtest.Published+"/tidigits/dhd.2934z.raw")})
	if err != nil || u.Second != nil || u.Rival == "" {
		t.Errorf("%+v, error %v", u.Second, err)
	}
}

// What says nothing, and could not go on to, is no rival.
func TestSayable(t *testing.T) {
	cfg := Config{
		Meaning: func(text string) string { return strings.TrimPrefix(text, "wall ") },
		Completeness: func(words string) (complete, mayGoOn bool) {
			return words == "pass", words == "strength"
		},
	}
	for text, want := range map[string]bool{"wall plate": true, "pass": true, "strength": true, "strength two twelve": false} {
		if got := cfg.sayable(text); got != want {
			t.Errorf("%q: %v", text, got)
		}
	}
	if !(Config{Meaning: cfg.Meaning}).sayable("strength two twelve") {
		t.Error("without Completeness everything may be said")
	}
}
