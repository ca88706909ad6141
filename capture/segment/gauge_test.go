package segment

import (
	"slices"
	"testing"

	"downlead/capture/soundtest"
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

// A voice in which listening begins is no noise of blows, though some are as impulsive as rain: the levels of
// speech lie far apart.
func TestASentenceIsNoNoise(t *testing.T) {
	soundtest.NeedPublished(t)
	in := soundtest.ReadRaw(t, soundtest.Published+"/goforward.raw")
	blows := soundtest.Blows(5, len(in), 300, 600)
	for name, c := range map[string]struct {
		samples []int16
		known   bool
	}{"a person": {in, false}, "blows": {blows, true}} {
		s := New(Config{})
		seen := false
		for frame := range slices.Chunk(c.samples, levelFrame) {
			s.Feed(frame, func(Segment) {})
			seen = seen || s.Speaking() && len(s.gauge().history) > 40 && s.before.frames < believed && len(s.noise()) > 0
		}
		if seen != c.known {
			t.Errorf("%s: taken for noise %v, want %v", name, seen, c.known)
		}
	}
}
