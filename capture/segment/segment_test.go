package segment

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	audio "downlead/capture/sound"
	"downlead/capture/soundtest"
)

func segments(t testing.TB, cfg Config, samples []int16, portion int) []Segment {
	t.Helper()
	s := New(cfg)
	var out []Segment
	keep := func(seg Segment) { out = append(out, seg) }
	for len(samples) > 0 {
		n := min(portion, len(samples))
		s.Feed(samples[:n], keep)
		samples = samples[n:]
	}
	s.Flush(keep)
	return out
}

func TestSegmenterFindsSpeech(t *testing.T) {
	sound := soundtest.Bursts(1, 20, -55, -25, [2]float64{2, 3}, [2]float64{3.3, 4}, [2]float64{8, 8.5}, [2]float64{12, 19.99})
	got := segments(t, Config{}, sound, 320)
	// 0.12 s is left before the first word and after the last, which ends in a
	// pause of 50 ms.
	want := [][2]float64{{1.88, 4.1}, {7.88, 8.6}, {11.88, 20}}
	if len(got) != len(want) {
		t.Fatalf("%d stretches, want %d", len(got), len(want))
	}
	for i, seg := range got {
		from := float64(seg.Start) / audio.Rate
		to := from + float64(len(seg.Samples))/audio.Rate
		if math.Abs(from-want[i][0]) > 0.05 || math.Abs(to-want[i][1]) > 0.05 {
			t.Errorf("stretch %d: %.2f to %.2f s, want %.2f to %.2f", i, from, to, want[i][0], want[i][1])
		}
		// -25 dB of tone over the part of -55 dB of hiss in 300-3400 Hz:
		// 10 log10(3100/8000) = -4.1 dB, so 34 dB; the pauses in a stretch
		// are not speech.
		if math.Abs(seg.SNR-34) > 1.5 {
			t.Errorf("stretch %d: signal to noise %.1f dB, want 34", i, seg.SNR)
		}
	}
}

// voices is the sound of six at once that pause and go on, each syllable as
// loud as it happens to be.
func voices(seed uint64, n int, db float64) []int16 {
	r := rand.New(rand.NewPCG(seed, 2))
	mix := make([]float32, n)
	for v := range uint64(6) {
		syllable := 0.0
		for i, s := range soundtest.Hiss(seed+v, n, db-10*math.Log10(6)) {
			if i%(audio.Rate/5) == 0 {
				syllable = math.Pow(10, 6*r.NormFloat64()/20)
			}
			mix[i] += float32(s) / (1 << 15) * float32(syllable)
		}
	}
	out := make([]int16, n)
	for i, v := range mix {
		out[i] = audio.ToInt16(v)
	}
	return out
}

// Who speaks near the microphone is cut out of voices behind that are as loud as
// a tenth of the speaker's power, and without waiting for those to end: mostly;
// without the mean over time 4 of 20 were found. Neither does it matter that the
// voices were cut off for going on too long.
func TestSegmenterFindsSpeakerAmongVoices(t *testing.T) {
	for name, c := range map[string]struct {
		longest time.Duration
		want    int
	}{
		"one stretch": {0, 12},
		"after a cut": {4 * time.Second, 10},
	} {
		found := 0
		for seed := range uint64(20) {
			sound := voices(10*seed, 14*audio.Rate, -38)
			for i, v := range soundtest.Bursts(seed, 8, -100, -25, [2]float64{5, 8}) {
				sound[i] += v
			}
			s := New(Config{Longest: c.longest})
			s.Feed(sound[:audio.Rate*19/2], func(seg Segment) {
				from := float64(seg.Start) / audio.Rate
				to := from + float64(len(seg.Samples))/audio.Rate
				if math.Abs(from-5) < 0.3 && math.Abs(to-8) < 0.3 {
					found++
				}
			})
		}
		if found < c.want {
			t.Errorf("%s: %d of 20 found a second and a half after the last word, want %d", name, found, c.want)
		}
	}
}

// Worked by hand: the mean of the middle stands out by 10 dB; a lead in which a
// tenth of a second is as loud as that is kept.
func TestProminent(t *testing.T) {
	levels := make([]float64, 100)
	for i := range levels {
		levels[i] = -40
		if 30 <= i && i < 70 {
			levels[i] = -30
		}
	}
	if from, to := prominent(levels, -60); from != 30 || to != 70 {
		t.Errorf("%d to %d, want 30 to 70", from, to)
	}
	for i := 10; i < 15; i++ {
		levels[i] = -29
	}
	if from, to := prominent(levels, -60); from != 0 || to != 70 {
		t.Errorf("with a word before: %d to %d, want 0 to 70", from, to)
	}
	if from, to := prominent(levels[30:70], -60); from != 0 || to != 40 {
		t.Errorf("of one level: %d to %d, want all 40", from, to)
	}
}

// In noise that is always as loud, the soft last word of a sentence is its speaker's.
func TestSegmenterKeepsSoftEndInSteadyNoise(t *testing.T) {
	for _, db := range []struct{ loud, soft float64 }{{-22, -41}, {-34, -44}} {
		sound := soundtest.Bursts(1, 8, -50, db.loud, [2]float64{5, 6})
		soft := soundtest.Bursts(2, 8, -90, db.soft, [2]float64{6.04, 6.4})
		for i := range sound {
			sound[i] += soft[i]
		}
		got := segments(t, Config{}, sound, 320)
		if len(got) != 1 {
			t.Fatalf("%g and %g dB: %d stretches, want 1", db.loud, db.soft, len(got))
		}
		if to := float64(got[0].Start+int64(len(got[0].Samples))) / audio.Rate; to < 6.4 || to > 6.6 {
			t.Errorf("%g and %g dB: the stretch ends at %.2f s, want after 6.4", db.loud, db.soft, to)
		}
	}
}

// Every sample of a stretch is the sound's at its place, whatever the portions.
func TestSegmenterKeepsSamples(t *testing.T) {
	sound := soundtest.Bursts(2, 30, -50, -20, [2]float64{0, 1}, [2]float64{3, 26}, [2]float64{28, 30})
	whole := segments(t, Config{}, sound, len(sound))
	end := int64(0)
	for _, seg := range whole {
		if !slices.Equal(sound[seg.Start:seg.Start+int64(len(seg.Samples))], seg.Samples) {
			t.Error("samples differ from the sound")
		}
		if seg.Start < end {
			t.Errorf("a stretch begins at %d, before the end %d of the last", seg.Start, end)
		}
		end = seg.Start + int64(len(seg.Samples))
	}
	for _, portion := range []int{1, 319, 321, 5000} {
		same := func(a, b Segment) bool {
			return a.Same(b) && slices.Equal(a.Samples, b.Samples) && a.Noise == b.Noise && a.SNR == b.SNR && a.Cut == b.Cut
		}
		if !slices.EqualFunc(whole, segments(t, Config{}, sound, portion), same) {
			t.Errorf("portions of %d give other stretches", portion)
		}
	}
	cuts := 0
	for _, seg := range whole {
		if seg.Cut {
			cuts++
		}
		if len(seg.Samples) > 21*audio.Rate {
			t.Errorf("a stretch of %d s", len(seg.Samples)/audio.Rate)
		}
	}
	if cuts != 1 {
		t.Errorf("%d cuts in 23 s of speech, want 1", cuts)
	}
}

func FuzzSegmenter(f *testing.F) {
	f.Add(uint64(1), 3000, -20.0)
	f.Add(uint64(2), 100, -3.0)
	f.Fuzz(func(t *testing.T, seed uint64, portion int, level float64) {
		if portion < 1 || portion > 1<<20 || !(level > -100 && level < 10) {
			t.Skip()
		}
		r := rand.New(rand.NewPCG(seed, 2))
		from := r.Float64() * 2
		sound := soundtest.Bursts(seed, 4, -50, level, [2]float64{from, from + r.Float64()*1.9})
		end := int64(0)
		for _, seg := range segments(t, Config{}, sound, portion) {
			if seg.Start < end || seg.Start+int64(len(seg.Samples)) > int64(len(sound)) {
				t.Fatalf("a stretch from %d, %d samples, after %d", seg.Start, len(seg.Samples), end)
			}
			if !slices.Equal(sound[seg.Start:seg.Start+int64(len(seg.Samples))], seg.Samples) {
				t.Fatal("samples differ from the sound")
			}
			end = seg.Start + int64(len(seg.Samples))
		}
	})
}

// Five seconds of speech without a pause are one stretch: the noise floor may not
// rise to them. A gust that stays is noise after a while, and does not keep a
// stretch open until it is cut for its length.
func TestThePatienceOfTheFloor(t *testing.T) {
	raised := func(seconds int) []Segment {
		quiet := soundtest.Hiss(1, 8*audio.Rate, -55)
		return segments(t, Config{}, slices.Concat(quiet, soundtest.Hiss(2, seconds*audio.Rate, -30), quiet), 320)
	}
	long := func(s Segment) float64 { return float64(len(s.Samples)) / audio.Rate }
	if got := raised(5); len(got) != 1 || math.Abs(long(got[0])-5.3) > 0.4 {
		t.Errorf("five seconds without a pause: %d stretches, the first of %.1f s", len(got), long(got[0]))
	}
	if got := raised(19); len(got) != 1 || got[0].Cut || long(got[0]) < 6 || long(got[0]) > 8 {
		t.Errorf("a gust of 19 s: %d stretches, the first of %.1f s, cut %v; want one of 6 to 8 s", len(got), long(got[0]), got[0].Cut)
	}
}

// Whoever begins anew where all before was given finds the same stretch, and
// knows the noise before it.
func TestSettledIsWhereToBeginAnew(t *testing.T) {
	sound := soundtest.Bursts(1, 20, -55, -25, [2]float64{5, 7}, [2]float64{9, 10}, [2]float64{12, 13})
	whole := segments(t, Config{}, sound, 320)
	if len(whole) != 3 {
		t.Fatalf("%d stretches, want 3", len(whole))
	}
	for i, at := range []float64{6.5, 9.5, 12.5} {
		s := New(Config{})
		given := 0
		s.Feed(sound[:int(at*audio.Rate)], func(Segment) { given++ })
		if !s.Speaking() || given != i {
			t.Fatalf("at %.1f s: speaking %v, %d given", at, s.Speaking(), given)
		}
		from := s.Settled()
		anew := segments(t, Config{}, sound[from:], 320)[0]
		if got, want := anew.Start+from, whole[i].Start; got != want || len(anew.Samples) != len(whole[i].Samples) {
			t.Errorf("at %.1f s: from %d, %d samples, want %d, %d", at, got, len(anew.Samples), want, len(whole[i].Samples))
		}
		if math.Abs(anew.SNR-whole[i].SNR) > 0.5 || anew.Background == nil {
			t.Errorf("at %.1f s: signal to noise %.1f dB, want %.1f; the noise is known: %v", at, anew.SNR, whole[i].SNR, anew.Background != nil)
		}
	}
}
