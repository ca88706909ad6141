package segment

import (
	"math"
	"slices"
	"testing"

	"downlead/capture/sound"
	"downlead/capture/soundtest"
)

// meanLevels are a sound's in both kinds, dB.
func meanLevels(samples []int16) (mean [kinds]float64) {
	m := newMeter()
	var sum [kinds]float64
	n := 0.0
	for frame := range slices.Chunk(samples, levelFrame) {
		level, _ := m.level(frame)
		if n++; n <= 5 { // the band's filter and the frames around have to fill
			continue
		}
		for k := range sum {
			sum[k] += math.Pow(10, level[k]/10)
		}
	}
	for k := range mean {
		mean[k] = 10 * math.Log10(sum[k]/(n-5))
	}
	return mean
}

// A tone's mean square is half the square of its amplitude: 0.1 of full scale is -23 dB. It lasts, a
// person's vowels mostly, and blows do not.
func TestLevels(t *testing.T) {
	soundtest.NeedPublished(t)
	tone := make([]int16, 2*sound.Rate)
	for i := range tone {
		tone[i] = int16(math.Round(0.1 * (1 << 15) * math.Sin(2*math.Pi*1000*float64(i)/sound.Rate)))
	}
	if got := meanLevels(tone); math.Abs(got[plain]+23) > 0.2 || math.Abs(got[sustained]+23) > 0.5 {
		t.Errorf("a tone of -23 dB: %.1f", got)
	}
	for name, c := range map[string]struct {
		samples     []int16
		least, most float64 // by how much it is softer without the blows
	}{
		"a person":          {soundtest.ReadRaw(t, soundtest.Published+"/goforward.raw"), 0, 3},
		"hiss":              {whiteNoise(2*sound.Rate, 300), 0, 4},
		"40 blows a second": {soundtest.Blows(5, 2*sound.Rate, 40, 300), 12, 100},
	} {
		got := meanLevels(c.samples)
		if less := got[plain] - got[sustained]; less < c.least || less > c.most {
			t.Errorf("%s: softer by %.1f dB without its blows, want %g to %g", name, less, c.least, c.most)
		}
	}
}

// In blows as loud as the last words, a sentence that grows 12 dB softer is found from its first word to its last. By
// levels with the blows two of these were.
func TestSegmenterKeepsSoftEndInBlows(t *testing.T) {
	found := 0
	for seed := range uint64(8) {
		in := soundtest.Bursts(seed, 10, -48, -25, [2]float64{5, 6})
		in = soundtest.Mixed(in, soundtest.Bursts(seed+1, 10, -90, -37, [2]float64{6.05, 7}))
		in = soundtest.Mixed(in, soundtest.Blows(seed+2, len(in), 40, math.Pow(10, -37.0/20)*(1<<15)))
		for _, seg := range segments(t, Config{}, in, 320) {
			from := float64(seg.Start) / sound.Rate
			to := from + float64(len(seg.Samples))/sound.Rate
			if math.Abs(from-5) < 0.3 && math.Abs(to-7) < 0.3 {
				found++
			}
		}
	}
	if found < 7 {
		t.Errorf("%d of 8 found", found)
	}
}

func BenchmarkLevel(b *testing.B) {
	in := whiteNoise(sound.Rate, 300)
	m := newMeter()
	b.ReportAllocs()
	for b.Loop() {
		for frame := range slices.Chunk(in, levelFrame) {
			m.level(frame)
		}
	}
	b.ReportMetric(1, "s-sound")
}
