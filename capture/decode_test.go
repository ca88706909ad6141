//go:build !novoice && linux

package capture

import (
	"context"
	"errors"
	"math"
	"os"
	"slices"
	"testing"
	"time"

	"downlead/capture/soundtest"
)

// What is read from the scores is what a decoder makes of the sound: the same words at the
// same places, with the same scores, by two ways through the library.
func TestScoresDecodeAsSound(t *testing.T) {
	r := pointsRecogniser(t)
	sound := soundtest.Phrase(t, "ground block dish side pass minus forty one")
	words, phones, err := r.decode(t.Context(), sound)
	if err != nil {
		t.Fatal(err)
	}
	again, err := r.again.decode(r.current, sound)
	if err != nil || again.text != words.text || again.frames != words.frames || len(again.words) != len(words.words) {
		t.Fatalf("from scores %q of %d frames, from sound %q of %d, %v", words.text, words.frames, again.text, again.frames, err)
	}
	for i, w := range words.words {
		if v := again.words[i]; v.text != w.text || v.first != w.first || v.last != w.last {
			t.Errorf("from scores %+v, from sound %+v", w, v)
		}
	}
	if len(phones.words) < 20 {
		t.Errorf("%d phones in %q", len(phones.words), words.text)
	}
	if phones.acoustic() >= 0 {
		t.Errorf("the phones together fit by %d, better than the likeliest of every moment", phones.acoustic())
	}
}

// It does not matter whether the scores among which sentences are compared are kept
// or made again.
func TestAmongHasTheSameScore(t *testing.T) {
	r := pointsRecogniser(t)
	const text = "ground block dish side pass minus forty one"
	sound := soundtest.Phrase(t, text)
	u, err := r.Recognise(t.Context(), sound)
	if err != nil || u.Text != text {
		t.Fatal(u.Text, err)
	}
	rivals := []string{"ground block dish side pass minus forty nine", "ground block dish side pass minus thirty one"}
	kept, err := r.among(t.Context(), sound, rivals)
	if err != nil {
		t.Fatal(err)
	}
	made, err := r.among(t.Context(), slices.Clone(sound), rivals)
	if err != nil || kept.text != made.text || kept.acoustic() != made.acoustic() || kept.text == "" {
		t.Errorf("kept %q %d, made again %q %d, %v", kept.text, kept.acoustic(), made.text, made.acoustic(), err)
	}
}

// A decode that nobody wants any more ends soon, and the next is whole.
func TestDecodeStops(t *testing.T) {
	r := pointsRecogniser(t)
	const text = "ground block dish side pass minus forty one"
	sound := soundtest.Phrase(t, text)
	for _, after := range []time.Duration{0, 20 * time.Millisecond, 60 * time.Millisecond} {
		ctx, cancel := context.WithCancel(t.Context())
		time.AfterFunc(after, cancel)
		if _, _, err := r.decode(ctx, slices.Concat(sound, sound, sound)); !errors.Is(err, context.Canceled) {
			t.Errorf("cancelled after %v: %v", after, err)
		}
		if u, err := r.Recognise(t.Context(), sound); err != nil || u.Text != text {
			t.Errorf("after it %q, %v", u.Text, err)
		}
	}
}

// Nothing is left of the scores on a disk between two phrases, whatever becomes of the process.
func TestScoresLeaveNothing(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir())
	r := recogniser(t, Config{JSGF: readFile(t, "testdata/points.gram")})
	const text = "ground block dish side pass minus forty one"
	sound := soundtest.Phrase(t, text)
	for range 3 {
		left, err := os.ReadDir(os.TempDir())
		if err != nil || len(left) > 0 {
			t.Errorf("left: %v, %v", left, err)
		}
		if u, err := r.Recognise(t.Context(), sound); err != nil || u.Text != text || math.IsInf(u.Scores.Ratio, -1) {
			t.Fatal(u.Text, u.Scores.Ratio, err)
		}
	}
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := r.Recognise(t.Context(), sound); !errors.Is(err, errClosed) {
		t.Error(err)
	}
}
