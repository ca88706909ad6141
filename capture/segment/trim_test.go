package segment

import (
	"slices"
	"testing"
)

// In noise a stretch ends where what comes last is no louder than what was there
// before the first word; as much as ends a stretch must have been heard of that
// to compare it with.
func TestGoneNeedsSomethingToCompareWith(t *testing.T) {
	for before, want := range map[int]bool{30: true, 10: false} {
		s := New(Config{})
		s.speech, s.learned, s.floor = true, true, -50
		s.seg = Segment{Noise: -50}
		s.loudest = quietest
		for _, level := range slices.Concat(slices.Repeat([]float64{-44}, before), slices.Repeat([]float64{-34}, 60), slices.Repeat([]float64{-44}, 30)) {
			s.goOn(level)
		}
		if got := s.gone(); got != want {
			t.Errorf("with %d frames of noise before the first word: %v, want %v", before, got, want)
		}
	}
}
