package voice

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	audio "downlead/capture/sound"
	"downlead/capture/soundtest"
)

func TestVoiceRenders(t *testing.T) {
	for _, program := range []string{"flite", "espeak-ng"} {
		t.Run(program, func(t *testing.T) {
			soundtest.Needs(t, program, program)
			v, err := New(Config{Program: program})
			if err != nil {
				t.Fatal(err)
			}
			usual, err := v.Render(t.Context(), "-- fault is between here; and $(the) \"dish\" side")
			if err != nil {
				t.Fatal(err)
			}
			if s := float64(len(usual)) / audio.Rate; s < 1.5 || s > 6 {
				t.Errorf("%.1f s of sound", s)
			}
			if l := soundtest.Loudness(usual); l < 0.01 {
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
	v, err := New(Config{})
	if !errors.Is(err, ErrNoVoice) || v == nil {
		t.Fatalf("%v, error %v; want a voice for tones and ErrNoVoice", v, err)
	}
	if err := v.Say(t.Context(), "hello"); !errors.Is(err, ErrNoVoice) || !strings.Contains(err.Error(), "apt-get install") {
		t.Errorf("error %v, want ErrNoVoice that says what to install", err)
	}
}

func TestTonesDiffer(t *testing.T) {
	tones := []Tone{ToneTaken, ToneAgain, ToneAttention}
	for i, a := range tones {
		s := a.Samples()
		if len(s) == 0 || len(s) > audio.Rate/2 || s[0] != 0 || math.Abs(float64(s[len(s)-1])) > 10 {
			t.Errorf("%v: %d samples from %d to %d", a, len(s), s[0], s[len(s)-1])
		}
		for _, b := range tones[i+1:] {
			if cmp.Equal(s, b.Samples()) || a.String() == b.String() {
				t.Errorf("%v and %v are the same", a, b)
			}
		}
	}
}

// While an answer is spoken the microphone is deaf; what is said after it is heard.
func TestHalfDuplex(t *testing.T) {
	soundtest.Pulse(t)
	mic, err := audio.OpenMicrophone(audio.MicrophoneConfig{})
	if err != nil {
		t.Fatal(err)
	}
	defer mic.Close()
	v, err := New(Config{Deafen: mic.Deafen})
	if err != nil && !errors.Is(err, ErrNoVoice) {
		t.Fatal(err)
	}
	defer v.Close()
	loudest := func() int { // of what was recorded so far
		ctx, cancel := context.WithTimeout(t.Context(), 200*time.Millisecond)
		defer cancel()
		buf, peak := make([]int16, audio.Rate/50), 0
		for {
			n, err := mic.Read(ctx, buf)
			if errors.Is(err, context.DeadlineExceeded) {
				return peak
			}
			if err != nil {
				t.Fatal(err)
			}
			for _, s := range buf[:n] {
				peak = max(peak, int(s))
			}
		}
	}
	if err := v.Play(t.Context(), ToneAttention); err != nil {
		t.Fatal(err)
	}
	if p := loudest(); p != 0 {
		t.Errorf("heard its own tone with a peak of %d", p)
	}
	v.cfg.Deafen = func() func() { return func() {} }
	if err := v.Play(t.Context(), ToneAttention); err != nil {
		t.Fatal(err)
	}
	if p := loudest(); p < 5000 {
		t.Errorf("peak of %d with the microphone open, want the tone", p)
	}
	v.SetVolume(0.05)
	if err := v.Play(t.Context(), ToneAttention); err != nil {
		t.Fatal(err)
	}
	if p := loudest(); p < 300 || p > 1500 {
		t.Errorf("peak of %d at a twentieth of the volume", p)
	}
}
