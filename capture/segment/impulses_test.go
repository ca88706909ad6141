package segment

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"downlead/capture/sound"
	"downlead/capture/soundtest"
)

// blows is noise of so many blows a second, each a rush that dies away in some
// milliseconds, of a root mean square.
func blows(n, second int, rms float64) []int16 {
	r := rand.New(rand.NewPCG(5, 5))
	out, power := make([]float64, n), 0.0
	for range n * second / sound.Rate {
		at, loud := r.IntN(n), 0.5+r.Float64()
		for i := 0; i < 400 && at+i < n; i++ {
			out[at+i] += loud * math.Exp(-float64(i)/60) * r.NormFloat64()
		}
	}
	for _, v := range out {
		power += v * v / float64(n)
	}
	noise := make([]int16, n)
	for i, v := range out {
		noise[i] = int16(math.Round(rms * v / math.Sqrt(power)))
	}
	return noise
}

func mixed(pure, noise []int16) []int16 {
	out := make([]int16, len(pure))
	for i := range out {
		out[i] = sound.ToInt16((float32(pure[i]) + float32(noise[i])) / (1 << 15))
	}
	return out
}

func rms(s []int16) float64 {
	sum := 0.0
	for _, v := range s {
		sum += float64(v) * float64(v)
	}
	return math.Sqrt(sum / float64(len(s)))
}

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
		"40 blows a second": {blows(2*sound.Rate, 40, 300), true}, "soft blows": {blows(2*sound.Rate, 40, 20), true},
		"1000 a second, which are a rush": {blows(2*sound.Rate, 1000, 300), false},
		"blows under a hiss as loud":      {mixed(blows(2*sound.Rate, 40, 300), whiteNoise(2*sound.Rate, 300)), false},
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
	in = mixed(in, blows(len(in), 300, rms(pure)/10))
	var got []Segment
	s := New(Config{})
	s.Feed(in, func(seg Segment) { got = append(got, seg) })
	s.Flush(func(seg Segment) { got = append(got, seg) })
	i := slices.IndexFunc(got, func(seg Segment) bool { return seg.Start > sound.Rate })
	if i < 0 || !got[i].Impulsive || got[i].Background == nil {
		t.Fatalf("%d stretches, none of which knows the noise before it", len(got))
	}
	if raw := got[i].Samples; slices.Equal(raw, got[i].Undisturbed()) || rms(got[i].Undisturbed()) > rms(raw) {
		t.Error("the blows are as loud as before")
	}
	got[i].Impulsive = false
	if !slices.Equal(got[i].Samples, got[i].Undisturbed()) {
		t.Error("changed without any blows")
	}
}

func BenchmarkWithoutImpulses(b *testing.B) {
	in := blows(3*sound.Rate, 40, 500)
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
