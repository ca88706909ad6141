package capture

import (
	"bytes"
	"context"
	"errors"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

func TestVoiceRenders(t *testing.T) {
	for _, program := range []string{"flite", "espeak-ng"} {
		t.Run(program, func(t *testing.T) {
			needs(t, program, program)
			v, err := NewVoice(VoiceConfig{Program: program})
			if err != nil {
				t.Fatal(err)
			}
			usual, err := v.Render(t.Context(), "-- fault is between here; and $(the) \"dish\" side")
			if err != nil {
				t.Fatal(err)
			}
			if s := float64(len(usual)) / Rate; s < 1.5 || s > 6 {
				t.Errorf("%.1f s of sound", s)
			}
			if l := loudness(usual); l < 0.01 {
				t.Errorf("loudness %.4f of full scale", l)
			}
			v.SetSpeed(1.5)
			fast, err := v.Render(t.Context(), "-- fault is between here; and $(the) \"dish\" side")
			if err != nil {
				t.Fatal(err)
			}
			if r := float64(len(usual)) / float64(len(fast)); r < 1.25 || r > 1.75 {
				t.Errorf("at 1.5 times the speed it is %.2f times shorter", r)
			}
			if got, err := v.Render(t.Context(), " \n"); err != nil || got != nil {
				t.Errorf("nothing to say gave %d samples, %v", len(got), err)
			}
		})
	}
}

func TestVoiceAbsent(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	v, err := NewVoice(VoiceConfig{})
	if !errors.Is(err, ErrNoVoice) || v == nil {
		t.Fatalf("%v, error %v; want a voice for tones and ErrNoVoice", v, err)
	}
	if err := v.Say(t.Context(), "hello"); !errors.Is(err, ErrNoVoice) || !strings.Contains(err.Error(), "apt-get install") {
		t.Errorf("error %v, want ErrNoVoice that says what to install", err)
	}
}

// Said by flite, heard by the recogniser: what is read back can be understood.
func TestVoiceIsUnderstood(t *testing.T) {
	r := pointsRecogniser(t)
	for _, text := range []string{"ground block dish side fail minus fifty three", "behind receiver two pass minus forty six", "what next"} {
		sound := append(append(make([]int16, Rate/2), phrase(t, text)...), make([]int16, Rate)...)
		n := 0
		for u, err := range Listen(t.Context(), FromSamples(sound), r, ListenConfig{}) {
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

func TestTonesDiffer(t *testing.T) {
	tones := []Tone{ToneTaken, ToneAgain, ToneAttention}
	for i, a := range tones {
		s := a.Samples()
		if len(s) == 0 || len(s) > Rate/2 || s[0] != 0 || math.Abs(float64(s[len(s)-1])) > 10 {
			t.Errorf("%v: %d samples from %d to %d", a, len(s), s[0], s[len(s)-1])
		}
		for _, b := range tones[i+1:] {
			if cmp.Equal(s, b.Samples()) || a.String() == b.String() {
				t.Errorf("%v and %v are the same", a, b)
			}
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
	sound := make([]int16, Rate)
	for _, text := range texts {
		sound = append(append(sound, phrase(t, text)...), make([]int16, 3*Rate/2)...)
	}
	path := filepath.Join(t.TempDir(), "memo.wav")
	if err := os.WriteFile(path, WAV(sound), 0o600); err != nil {
		t.Fatal(err)
	}
	both := []*Recogniser{pointsRecogniser(t), pointsRecogniser(t)}
	take := func(skip, most int) (heard []Heard) {
		src, err := OpenFile(path)
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
	for _, err := range Import(ctx, FromSamples(make([]int16, Rate)), []*Recogniser{nil}, ImportConfig{}) {
		if !errors.Is(err, context.Canceled) {
			t.Errorf("error %v", err)
		}
	}
}

// Full-scale clipping is measured and never accepted unasked.
func TestClippedSpeechIsNotAccepted(t *testing.T) {
	r := pointsRecogniser(t)
	sound := phrase(t, "ground block dish side pass minus forty one")
	for i, s := range sound {
		sound[i] = int16(max(-32768, min(32767, int(s)*20)))
	}
	sound = append(append(make([]int16, Rate/2), sound...), make([]int16, Rate)...)
	n := 0
	for u, err := range Listen(t.Context(), FromSamples(sound), r, ListenConfig{}) {
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
