package segment

import (
	"math"
	"slices"
	"testing"

	"downlead/capture/sound"
	"downlead/capture/soundtest"
)

// Blows are told from noise that is steady, from hum and from speech.
func TestIsImpulsive(t *testing.T) {
	soundtest.NeedPublished(t)
	hum := make([]int16, 2*sound.Rate)
	for i := range hum {
		hum[i] = int16(1000 * math.Sin(2*math.Pi*60*float64(i)/sound.Rate))
	}
	for name, c := range map[string]struct {
		noise []int16
		want  bool
	}{
		"white": {whiteNoise(2*sound.Rate, 300), false}, "soft": {whiteNoise(2*sound.Rate, 3), false}, "hum": {hum, false},
		"40 blows a second": {soundtest.Blows(5, 2*sound.Rate, 40, 300), true}, "soft blows": {soundtest.Blows(5, 2*sound.Rate, 40, 20), true},
		"1000 a second, which are a rush": {soundtest.Blows(5, 2*sound.Rate, 1000, 300), false},
		"blows under a hiss as loud":      {soundtest.Mixed(soundtest.Blows(5, 2*sound.Rate, 40, 300), whiteNoise(2*sound.Rate, 300)), false},
		"a person":                        {soundtest.ReadRaw(t, soundtest.Published+"/goforward.raw"), false},
		"nothing":                         {nil, false}, "a moment": {whiteNoise(300, 300), false},
	} {
		if got := isImpulsive(c.noise); got != c.want {
			t.Errorf("%s: impulsive %v", name, got)
		}
	}
}

// Where listening begins in noise, that is told from the stretch itself.
func TestNoiseAtTheBeginning(t *testing.T) {
	soundtest.NeedPublished(t)
	pure := soundtest.ReadRaw(t, soundtest.Published+"/goforward.raw")
	in := slices.Concat(make([]int16, 2*sound.Rate), pure, make([]int16, sound.Rate))
	in = soundtest.Mixed(in, soundtest.Blows(5, len(in), 300, soundtest.RMS(pure)/10))
	var got []Segment
	s := New(Config{})
	s.Feed(in, func(seg Segment) { got = append(got, seg) })
	s.Flush(func(seg Segment) { got = append(got, seg) })
	i := slices.IndexFunc(got, func(seg Segment) bool { return seg.Start > sound.Rate })
	if i < 0 || !got[i].Impulsive || got[i].Background == nil {
		t.Fatalf("%d stretches, none of which knows the noise before it", len(got))
	}
	if raw := got[i].Samples; slices.Equal(raw, got[i].Undisturbed()) || soundtest.RMS(got[i].Undisturbed()) > soundtest.RMS(raw) {
		t.Error("the blows are as loud as before")
	}
	got[i].Impulsive = false
	if !slices.Equal(got[i].Samples, got[i].Undisturbed()) {
		t.Error("changed without any blows")
	}
}

func BenchmarkWithoutImpulses(b *testing.B) {
	in := soundtest.Blows(5, 3*sound.Rate, 40, 500)
	b.ReportAllocs()
	for b.Loop() {
		withoutImpulses(in)
	}
	b.ReportMetric(3, "s-sound")
}

func BenchmarkIsImpulsive(b *testing.B) {
	in := whiteNoise(2*sound.Rate, 300)
	b.ReportAllocs()
	for b.Loop() {
		isImpulsive(in)
	}
}
