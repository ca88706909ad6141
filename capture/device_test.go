package capture

import (
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"downlead/capture/segment"
	"downlead/capture/sound"
	"downlead/capture/soundtest"
	"downlead/capture/voice"
)

// An answer is spoken through the sound server while the microphone hears the
// server's own output: the phrase goes the whole way through both devices.
func TestSpokenAnswerHeardBack(t *testing.T) {
	r := pointsRecogniser(t)
	soundtest.Pulse(t)
	soundtest.Needs(t, "flite", "flite")
	mic, err := sound.OpenMicrophone(sound.MicrophoneConfig{})
	if err != nil {
		t.Fatal(err)
	}
	defer mic.Close()
	v, err := voice.New(voice.Config{})
	if err != nil {
		t.Fatal(err)
	}
	defer v.Close()
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	const said = "ground block dish side pass minus forty one"
	// A machine that is busy with other work tears holes into paced sound;
	// the phrase may be said again, as by a person.
	for try := 1; ; try++ {
		spoken := make(chan error, 1)
		go func() { spoken <- v.Say(ctx, said) }()
		u := firstHeard(t, ctx, mic, r)
		if err := <-spoken; err != nil {
			t.Fatal(err)
		}
		outcome := DefaultThresholds().Decide(u.Scores)
		if u.Text == said && outcome == Accept {
			return
		}
		t.Logf("try %d: %v %q %+v", try, outcome, u.Text, u.Scores)
		if outcome == Accept || try == 4 {
			t.Fatalf("heard %q, want %q", u.Text, said)
		}
	}
}

func firstHeard(t *testing.T, ctx context.Context, src sound.Source, r *Recogniser) Utterance {
	t.Helper()
	for u, err := range Listen(ctx, src, r, ListenConfig{}) {
		if err != nil {
			t.Fatal(err)
		}
		return u
	}
	t.Fatal("nothing was heard")
	return Utterance{}
}

// The sound server is killed in the middle of a phrase and started again: the
// phrase so far is given, the loss is told once, and listening goes on in time.
func TestDeviceLostInPhrase(t *testing.T) {
	soundtest.Needs(t, "paplay", "pulseaudio-utils")
	kill := soundtest.Pulse(t)
	dir := os.Getenv("XDG_RUNTIME_DIR")
	long := filepath.Join(dir, "long.wav")
	if err := os.WriteFile(long, sound.WAV(soundtest.Bursts(9, 30, -55, -20, [2]float64{1, 30})), 0o600); err != nil {
		t.Fatal(err)
	}
	mic, err := sound.OpenMicrophone(sound.MicrophoneConfig{Stall: 2 * time.Second})
	if err != nil {
		t.Fatal(err)
	}
	defer mic.Close()
	play := func() {
		cmd := exec.Command("paplay", "--latency-msec=40", "--device=lab", long)
		if err := cmd.Start(); err != nil {
			t.Error(err)
			return
		}
		go func() { _ = cmd.Wait() }()
		t.Cleanup(func() { _ = cmd.Process.Kill() })
	}
	// The server's recording begins late; from then on it keeps pace.
	if _, err := mic.Read(t.Context(), make([]int16, 1)); err != nil {
		t.Fatal(err)
	}
	began := time.Now()
	play()
	time.AfterFunc(3*time.Second, kill)
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	var before, after segment.Segment
	lost := 0
	for seg, err := range Segments(ctx, mic, segment.Config{Longest: 4 * time.Second}) {
		t.Logf("%v: %d samples from %v, %v", time.Since(began).Round(time.Millisecond), len(seg.Samples), time.Duration(seg.Start)*time.Second/sound.Rate, err)
		switch {
		case errors.Is(err, sound.ErrDeviceLost):
			lost++
			soundtest.StartPulse(t, dir)
			play()
		case err != nil:
			t.Fatal(err)
		case lost == 0:
			before = seg
		default:
			after = seg
		}
		if after.Samples != nil {
			break
		}
	}
	if lost != 1 {
		t.Errorf("the loss was told %d times, want once", lost)
	}
	if got := len(before.Samples); got < sound.Rate/2 {
		t.Errorf("%d samples of the phrase before the loss", got)
	}
	place := time.Duration(after.Start) * time.Second / sound.Rate
	if wall := time.Since(began); place > wall || wall-place > 6*time.Second {
		t.Errorf("speech after the loss is placed at %v, it is %v now", place, wall)
	}
}
