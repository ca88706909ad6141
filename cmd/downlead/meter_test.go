package main

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"downlead/capture/sound"
)

// A level in dB of full scale is 20 lg of the part of full scale (AES17, dB FS, from memory;
// that a peak is taken, not a mean, is ours).
func TestMeterShowsTheLevel(t *testing.T) {
	for _, c := range []struct {
		peak, marks int
		db          string
	}{{1 << 15, 30, "0"}, {1 << 14, 27, "-6"}, {328, 10, "-40"}, {33, 0, "-60"}, {0, 0, "-60"}} {
		bar := levelBar(c.peak)
		if strings.Count(bar, "#") != c.marks || !strings.HasSuffix(bar, fmt.Sprintf("%5s dBFS", c.db)) {
			t.Errorf("%d: %q, want %d marks and %s dBFS", c.peak, bar, c.marks, c.db)
		}
	}
	// The loudest of a tenth of a second, on either side of zero.
	var shown strings.Builder
	samples := make([]int16, sound.Rate/5)
	samples[100], samples[sound.Rate/10+100] = 328, -(1 << 14)
	m := &meter{Source: sound.FromSamples(samples), out: &shown}
	buf := make([]int16, sound.Rate/10)
	for range 2 {
		if _, err := m.Read(t.Context(), buf); err != nil {
			t.Fatal(err)
		}
	}
	if got, want := shown.String(), "\r"+levelBar(328)+"\r"+levelBar(1<<14); got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// Set-up shows the level while it listens, and says what it heard.
func TestSetupTriesTheMicrophone(t *testing.T) {
	if testing.Short() {
		t.Skip("listens for ten seconds")
	}
	soundServer(t)
	e, _, _ := testEnv(t, "")
	var out, errs lockedBuffer
	e.out, e.err, e.errTTY, e.now = &out, &errs, true, time.Now
	ended := make(chan int, 1)
	go func() { ended <- run(t.Context(), e, []string{"setup", "--yes", "--mic", "test"}) }()
	wait(t, &errs, "listening", 20*time.Second)
	time.Sleep(4 * time.Second)
	speak(t, "ground block dish side, pass, minus forty one")
	if got := <-ended; got != exitDone {
		t.Errorf("exit code %d: %s", got, errs.String())
	}
	if !strings.Contains(errs.String(), "\r[#####") {
		t.Errorf("the level stays down: %q", errs.String())
	}
	if !strings.Contains(out.String(), "speech -") {
		t.Errorf("nothing is said of the speech: %s", out.String())
	}
}
