package capture

import (
	"bufio"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"downlead/capture/confidence"
	"downlead/capture/sound"
	"downlead/capture/soundtest"
)

// recogniser makes one for a test, or skips where there is no library or model.
func recogniser(t testing.TB, cfg Config) *Recogniser {
	t.Helper()
	r, err := NewRecogniser(cfg)
	r = made(t, r, err)
	t.Cleanup(func() { r.Close() })
	return r
}

// made skips where there is no library or model.
func made(t testing.TB, r *Recogniser, err error) *Recogniser {
	t.Helper()
	if errors.Is(err, ErrNoRecogniser) || errors.Is(err, ErrNoModel) {
		t.Skip(err)
	}
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func readFile(t testing.TB, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func readSound(t testing.TB, path string) []int16 {
	t.Helper()
	f, err := sound.OpenFile(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	s, err := sound.ReadAll(t.Context(), f)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// transcripts reads lines "<s> words </s> (name)".
func transcripts(t testing.TB, path string) map[string]string {
	t.Helper()
	out := map[string]string{}
	in := bufio.NewScanner(strings.NewReader(readFile(t, path)))
	for in.Scan() {
		text, name, _ := strings.Cut(in.Text(), "(")
		text = strings.NewReplacer("<s>", "", "</s>", "").Replace(text)
		name = strings.Fields(strings.TrimSuffix(name, ")"))[0]
		out[name] = strings.Join(strings.Fields(text), " ")
	}
	return out
}

// Source: pocketsphinx-testdata, cards/cards.transcription with cards.gram.
func TestPublishedCards(t *testing.T) {
	soundtest.NeedPublished(t)
	r := recogniser(t, Config{JSGF: readFile(t, soundtest.Published+"/cards/cards.gram")})
	want := transcripts(t, soundtest.Published+"/cards/cards.transcription")
	if len(want) != 5 {
		t.Fatalf("%d transcripts, want 5", len(want))
	}
	for name, text := range want {
		u, err := r.Recognise(t.Context(), readSound(t, filepath.Join(soundtest.Published, "cards", name+".wav")))
		if err != nil {
			t.Fatal(err)
		}
		if u.Text != text {
			t.Errorf("%s: heard %q, want %q", name, u.Text, text)
		}
		t.Logf("%s %q %v", name, u.Text, u.Scores)
	}
}

// Source: pocketsphinx-testdata, goforward.raw with goforward.gram; the phrase
// is that of the package's own regression test, "go forward ten meters".
func TestPublishedGoForward(t *testing.T) {
	soundtest.NeedPublished(t)
	r := recogniser(t, Config{JSGF: readFile(t, soundtest.Published+"/goforward.gram")})
	samples := soundtest.ReadRaw(t, soundtest.Published+"/goforward.raw")
	u, err := r.Recognise(t.Context(), samples)
	if err != nil {
		t.Fatal(err)
	}
	const want = "go forward ten meters"
	if u.Text != want {
		t.Errorf("heard %q, want %q", u.Text, want)
	}
	// The same sound, then other sound, then the same again: no memory.
	if _, err := r.Recognise(t.Context(), soundtest.ReadRaw(t, soundtest.Published+"/numbers.raw")); err != nil {
		t.Fatal(err)
	}
	again, err := r.Recognise(t.Context(), samples)
	if err != nil {
		t.Fatal(err)
	}
	if again.Scores != u.Scores {
		t.Errorf("scores %v the second time, %v the first", again.Scores, u.Scores)
	}
	free, err := r.Free(t.Context(), samples)
	if err != nil {
		t.Fatal(err)
	}
	if free.Text != want {
		t.Errorf("against the general model heard %q, want %q", free.Text, want)
	}
	after, err := r.Recognise(t.Context(), samples)
	if err != nil {
		t.Fatal(err)
	}
	if after.Scores != u.Scores {
		t.Errorf("scores %v after free decoding, %v before", after.Scores, u.Scores)
	}
}

// Source: pocketsphinx-testdata, tidigits/dhd.2934z.raw (its name is what is
// said, z for zero) with the grammar of digits.
func TestPublishedDigits(t *testing.T) {
	soundtest.NeedPublished(t)
	r := recogniser(t, Config{JSGF: digitsGrammar})
	u, err := r.Recognise(t.Context(), soundtest.ReadRaw(t, soundtest.Published+"/tidigits/dhd.2934z.raw"))
	if err != nil {
		t.Fatal(err)
	}
	if want := "two nine three four zero"; u.Text != want {
		t.Errorf("heard %q, want %q", u.Text, want)
	}
	t.Logf("%v", u.Scores)
}

const digitsGrammar = `#JSGF V1.0;
grammar digits;
public <digits> = <d> [ <d> [ <d> [ <d> [ <d> [ <d> [ <d> ] ] ] ] ] ];
<d> = zero | oh | one | two | three | four | five | six | seven | eight | nine;
`

// Source: pocketsphinx-testdata, something.raw, in which "something" is said,
// one of the phrases of its goforward.kws.
func TestPublishedSpot(t *testing.T) {
	soundtest.NeedPublished(t)
	r := recogniser(t, Config{})
	samples := soundtest.ReadRaw(t, soundtest.Published+"/something.raw")
	at, found, err := r.Spot(t.Context(), samples, "something", 1e-20)
	if err != nil || !found {
		t.Fatalf("found %v, error %v; want it found", found, err)
	}
	t.Log(at)
	if _, found, _ = r.Spot(t.Context(), samples, "forward", 1e-20); found {
		t.Error("found a word that is not said")
	}
	if _, _, err = r.Spot(t.Context(), samples, "zzyzxq", 1); err == nil {
		t.Error("no error for a word without pronunciation")
	}
}

// Source: pocketsphinx-testdata, librivox/transcription. The package's own
// result, librivox/test-lm.match, has words wrong; ours may have no more.
func TestPublishedReading(t *testing.T) {
	soundtest.TakesLong(t)
	soundtest.NeedPublished(t)
	r := recogniser(t, Config{})
	want := transcripts(t, soundtest.Published+"/librivox/transcription")
	theirs := transcripts(t, soundtest.Published+"/librivox/test-lm.match")
	words, wrong, wrongTheirs := 0, 0, 0
	for name, text := range want {
		u, err := r.Free(t.Context(), readSound(t, filepath.Join(soundtest.Published, "librivox", name+".wav")))
		if err != nil {
			t.Fatal(err)
		}
		ref := strings.Fields(text)
		words += len(ref)
		wrong += confidence.Distance(ref, strings.Fields(u.Text))
		wrongTheirs += confidence.Distance(ref, strings.Fields(theirs[name]))
	}
	t.Logf("%d of %d words wrong; the reference result has %d", wrong, words, wrongTheirs)
	if wrong > wrongTheirs {
		t.Errorf("%d words wrong, the reference result has %d", wrong, wrongTheirs)
	}
}
