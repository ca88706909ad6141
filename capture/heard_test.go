package capture

import (
	"bytes"
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"downlead/capture/sound"
	"downlead/capture/soundtest"
)

// Said by flite, heard by the recogniser: what is read back can be understood.
func TestVoiceIsUnderstood(t *testing.T) {
	r := pointsRecogniser(t)
	for _, text := range []string{"ground block dish side fail minus fifty three", "behind receiver two pass minus forty six", "what next"} {
		said := append(append(make([]int16, sound.Rate/2), soundtest.Phrase(t, text)...), make([]int16, sound.Rate)...)
		n := 0
		for u, err := range Listen(t.Context(), sound.FromSamples(said), r, ListenConfig{}) {
			if err != nil {
				t.Fatal(err)
			}
			n++
			if got := DefaultThresholds().Decide(u.Scores); u.Text != text || got != Accept {
				t.Errorf("%v %q for %q: %+v", got, u.Text, text, u.Scores)
			}
			if len(u.Words) != len(strings.Fields(text)) {
				t.Errorf("%d words with times in %q", len(u.Words), text)
			}
			if u.Words[0].Start < 400*time.Millisecond || u.Words[0].Start > 900*time.Millisecond || u.End > 6*time.Second {
				t.Errorf("first word at %v, end at %v", u.Words[0].Start, u.End)
			}
		}
		if n != 1 {
			t.Errorf("%d stretches for %q", n, text)
		}
	}
}

// A recording of several phrases is taken in order, in parallel, and an import
// that was broken off goes on where it stopped.
func TestImport(t *testing.T) {
	texts := []string{
		"ground block dish side pass minus forty one", "wall plate receiver side fail minus fifty five",
		"threshold seventy five", "where is the fault", "behind receiver one pass minus forty four",
	}
	said := make([]int16, sound.Rate)
	for _, text := range texts {
		said = append(append(said, soundtest.Phrase(t, text)...), make([]int16, 3*sound.Rate/2)...)
	}
	path := filepath.Join(t.TempDir(), "memo.wav")
	if err := os.WriteFile(path, sound.WAV(said), 0o600); err != nil {
		t.Fatal(err)
	}
	both := []*Recogniser{pointsRecogniser(t), recogniser(t, Config{JSGF: readFile(t, "testdata/points.gram"), Meaning: shown})}
	take := func(skip, most int) (heard []Heard) {
		src, err := sound.OpenFile(path)
		if err != nil {
			t.Fatal(err)
		}
		defer src.Close()
		for h, err := range Import(t.Context(), src, both, ImportConfig{Skip: skip, Doubt: func(u Utterance) bool { return len(u.Words) > 4 }}) {
			if err != nil {
				t.Fatal(err)
			}
			if doubted := len(h.Words) > 4; doubted != (h.Evidence != nil) {
				t.Errorf("%q: doubted %v, further decodes %v", h.Text, doubted, h.Evidence)
			}
			if heard = append(heard, h); len(heard) == most {
				break
			}
		}
		return heard
	}
	all := take(0, -1)
	var got []string
	for i, h := range all {
		got = append(got, h.Text)
		if h.Index != i || (i > 0 && h.Start <= all[i-1].Start) {
			t.Errorf("stretch %d has index %d and begins at %v", i, h.Index, h.Start)
		}
	}
	if d := cmp.Diff(texts, got); d != "" {
		t.Error(d)
	}
	pieces := append(take(0, 2), take(2, -1)...)
	if d := cmp.Diff(all, pieces, cmpopts.IgnoreUnexported(Utterance{})); d != "" {
		t.Errorf("in two pieces: %s", d)
	}
	one, err := FileHash(path)
	if err != nil {
		t.Fatal(err)
	}
	// Source of the reference: the program sha256sum.
	if out, err := exec.Command("sha256sum", path).Output(); err != nil || !bytes.HasPrefix(out, []byte(one)) {
		t.Errorf("hash %s, sha256sum says %s %v", one, out, err)
	}
}

func TestImportCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	for _, err := range Import(ctx, sound.FromSamples(make([]int16, sound.Rate)), []*Recogniser{nil}, ImportConfig{}) {
		if !errors.Is(err, context.Canceled) {
			t.Errorf("error %v", err)
		}
	}
}

// Full-scale clipping is measured and never accepted unasked.
func TestClippedSpeechIsNotAccepted(t *testing.T) {
	r := pointsRecogniser(t)
	said := soundtest.Phrase(t, "ground block dish side pass minus forty one")
	for i, s := range said {
		said[i] = int16(max(-32768, min(32767, int(s)*20)))
	}
	said = append(append(make([]int16, sound.Rate/2), said...), make([]int16, sound.Rate)...)
	n := 0
	for u, err := range Listen(t.Context(), sound.FromSamples(said), r, ListenConfig{}) {
		if err != nil {
			t.Fatal(err)
		}
		n++
		if u.Scores.Clipped < 0.05 {
			t.Errorf("%.3f of the samples clipped, want more", u.Scores.Clipped)
		}
		if got := DefaultThresholds().Decide(u.Scores); got == Accept {
			t.Errorf("accepted %q with %+v", u.Text, u.Scores)
		}
	}
	if n == 0 {
		t.Error("clipped speech was not heard at all")
	}
}
