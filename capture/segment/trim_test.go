package segment

import (
	"slices"
	"testing"
)

// In noise a stretch ends where what comes last is no louder than what was there
// before the first word; as much as ends a stretch must have been heard of that
// to compare it with.
func TestSpeakerDoneNeedsSomethingToCompareWith(t *testing.T) {
	for before, want := range map[int]bool{30: true, 10: false} {
		s := New(Config{})
		g := s.gauge()
		s.speech, g.learned, g.floor, g.noise = true, true, -50, -50
		for _, level := range slices.Concat(slices.Repeat([]float64{-44}, before), slices.Repeat([]float64{-34}, 60), slices.Repeat([]float64{-44}, 30)) {
			g.goOn(level, s.cfg)
		}
		if got := s.speakerDone(); got != want {
			t.Errorf("with %d frames of noise before the first word: %v, want %v", before, got, want)
		}
	}
}

// The soft last word of a sentence is kept where it is louder than all noise before
// speech, and left where it is not, or nothing is known of that.
func TestWithWords(t *testing.T) {
	levels := slices.Concat(slices.Repeat([]float64{-30}, 50), slices.Repeat([]float64{-40}, 12), slices.Repeat([]float64{-50}, 28))
	for _, c := range []struct {
		noise, n float64
		want     int
	}{{-50, 40, 65}, {-40, 40, 50}, {-50, 10, 50}} {
		g := newGauge(plain)
		g.history = levels
		for range int(c.n) {
			g.spread.learn(c.noise)
		}
		if from, to := g.withWords(0, 50); from != 0 || to != c.want {
			t.Errorf("after %g frames of %g dB: %d to %d, want 0 to %d", c.n, c.noise, from, to, c.want)
		}
	}
}
