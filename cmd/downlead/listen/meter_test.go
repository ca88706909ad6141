package listen

import (
	"fmt"
	"strings"
	"testing"

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
	m := &Meter{Source: sound.FromSamples(samples), Out: &shown}
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
