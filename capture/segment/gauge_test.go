package segment

import (
	"slices"
	"testing"
)

// Where a drill stops, what is said next stands out from the quiet within a tenth of a second; without blows, a short
// pause between two words is not the noise.
func TestFloorInAPause(t *testing.T) {
	cfg := DefaultConfig()
	for kind, want := range map[kind]float64{plain: -20, sustained: -50} {
		g := newGauge(kind)
		for _, level := range slices.Concat(slices.Repeat([]float64{-20}, 200), slices.Repeat([]float64{-50}, 6)) {
			g.learn(level, false, cfg)
		}
		if g.floor != want {
			t.Errorf("kind %d: the floor is %g dB, want %g", kind, g.floor, want)
		}
	}
}
