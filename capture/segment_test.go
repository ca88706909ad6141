package capture

import (
	"context"
	"io"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"
	"time"
)

// hiss is noise of that level, dB of full scale.
func hiss(seed uint64, n int, db float64) []int16 {
	r := rand.New(rand.NewPCG(seed, 1))
	out := make([]int16, n)
	gain := math.Pow(10, db/20)
	for i := range out {
		out[i] = toInt16(float32(r.NormFloat64() * gain))
	}
	return out
}

// bursts makes sound with syllables of a tone, 200 ms on and 50 ms off, at the
// given places, in seconds, over hiss.
func bursts(seed uint64, seconds float64, noise, level float64, places ...[2]float64) []int16 {
	out := hiss(seed, int(seconds*Rate), noise)
	gain := math.Pow(10, level/20) * math.Sqrt2
	for _, p := range places {
		for i := int(p[0] * Rate); i < int(p[1]*Rate); i++ {
			if (i-int(p[0]*Rate))%(Rate/4) > Rate/5 {
				continue
			}
			out[i] = toInt16(float32(out[i])/(1<<15) + float32(gain*math.Sin(2*math.Pi*700*float64(i)/Rate)))
		}
	}
	return out
}

func segments(t testing.TB, cfg SegmenterConfig, samples []int16, portion int) []Segment {
	t.Helper()
	s := NewSegmenter(cfg)
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
	sound := bursts(1, 20, -55, -25, [2]float64{2, 3}, [2]float64{3.3, 4}, [2]float64{8, 8.5}, [2]float64{12, 19.99})
	got := segments(t, SegmenterConfig{}, sound, 320)
	// 0.12 s is left before the first word and after the last, which ends in a
	// pause of 50 ms.
	want := [][2]float64{{1.88, 4.1}, {7.88, 8.6}, {11.88, 20}}
	if len(got) != len(want) {
		t.Fatalf("%d stretches, want %d", len(got), len(want))
	}
	for i, seg := range got {
		from := float64(seg.Start) / Rate
		to := from + float64(len(seg.Samples))/Rate
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
		for i, s := range hiss(seed+v, n, db-10*math.Log10(6)) {
			if i%(Rate/5) == 0 {
				syllable = math.Pow(10, 6*r.NormFloat64()/20)
			}
			mix[i] += float32(s) / (1 << 15) * float32(syllable)
		}
	}
	out := make([]int16, n)
	for i, v := range mix {
		out[i] = toInt16(v)
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
			sound := voices(10*seed, 14*Rate, -38)
			for i, v := range bursts(seed, 8, -100, -25, [2]float64{5, 8}) {
				sound[i] += v
			}
			s := NewSegmenter(SegmenterConfig{Longest: c.longest})
			s.Feed(sound[:Rate*19/2], func(seg Segment) {
				from := float64(seg.Start) / Rate
				to := from + float64(len(seg.Samples))/Rate
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
func TestForemost(t *testing.T) {
	levels := make([]float64, 100)
	for i := range levels {
		levels[i] = -40
		if 30 <= i && i < 70 {
			levels[i] = -30
		}
	}
	if from, to := foremost(levels, -60); from != 30 || to != 70 {
		t.Errorf("%d to %d, want 30 to 70", from, to)
	}
	for i := 10; i < 15; i++ {
		levels[i] = -29
	}
	if from, to := foremost(levels, -60); from != 0 || to != 70 {
		t.Errorf("with a word before: %d to %d, want 0 to 70", from, to)
	}
	if from, to := foremost(levels[30:70], -60); from != 0 || to != 40 {
		t.Errorf("of one level: %d to %d, want all 40", from, to)
	}
}

// Every sample of a stretch is the sound's at its place, whatever the portions.
func TestSegmenterKeepsSamples(t *testing.T) {
	sound := bursts(2, 30, -50, -20, [2]float64{0, 1}, [2]float64{3, 26}, [2]float64{28, 30})
	whole := segments(t, SegmenterConfig{}, sound, len(sound))
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
			return a.same(b) && slices.Equal(a.Samples, b.Samples) && a.Noise == b.Noise && a.SNR == b.SNR && a.Cut == b.Cut
		}
		if !slices.EqualFunc(whole, segments(t, SegmenterConfig{}, sound, portion), same) {
			t.Errorf("portions of %d give other stretches", portion)
		}
	}
	cuts := 0
	for _, seg := range whole {
		if seg.Cut {
			cuts++
		}
		if len(seg.Samples) > 21*Rate {
			t.Errorf("a stretch of %d s", len(seg.Samples)/Rate)
		}
	}
	if cuts != 1 {
		t.Errorf("%d cuts in 23 s of speech, want 1", cuts)
	}
}

// A source that makes up sound at full speed.
type endless struct {
	left  int
	sound []int16
	at    int
}

func (e *endless) Read(_ context.Context, p []int16) (int, error) {
	if e.left <= 0 {
		return 0, io.EOF
	}
	n := copy(p[:min(len(p), e.left)], e.sound[e.at:])
	e.at = (e.at + n) % len(e.sound)
	e.left -= n
	return n, nil
}

func (*endless) Close() error { return nil }

func TestHourOfSilence(t *testing.T) {
	for name, sound := range map[string][]int16{"digital": make([]int16, Rate), "hiss": hiss(3, 7*Rate+13, -60)} {
		src := &endless{left: 3600 * Rate, sound: sound}
		for seg, err := range Segments(t.Context(), src, SegmenterConfig{}) {
			t.Errorf("%s: a stretch at %d, error %v", name, seg.Start, err)
		}
	}
}

// Eight hours of sound with a phrase each minute, at full speed: memory is flat.
func TestLongSoundMemory(t *testing.T) {
	takesLong(t)
	const hours = 8
	minute := bursts(4, 60, -55, -25, [2]float64{10, 12})
	src := &endless{left: hours * 3600 * Rate, sound: minute}
	var before, after runtime.MemStats
	n := 0
	for range Segments(t.Context(), src, SegmenterConfig{}) {
		if n++; n == 5 {
			runtime.GC()
			runtime.ReadMemStats(&before)
		}
	}
	runtime.GC()
	runtime.ReadMemStats(&after)
	if n != hours*60 {
		t.Errorf("%d stretches, want %d", n, hours*60)
	}
	if grown := int64(after.HeapAlloc) - int64(before.HeapAlloc); grown > 1<<20 {
		t.Errorf("memory grew by %d bytes", grown)
	}
}

func TestListenEndsWithContext(t *testing.T) {
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	src := &endless{left: math.MaxInt, sound: hiss(5, Rate, -60)}
	var last error
	for _, err := range Segments(ctx, ctxSource{src}, SegmenterConfig{}) {
		last = err
	}
	if last != context.DeadlineExceeded {
		t.Errorf("error %v, want that of the context", last)
	}
}

type ctxSource struct{ Source }

func (c ctxSource) Read(ctx context.Context, p []int16) (int, error) {
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	return c.Source.Read(ctx, p)
}

func TestCheckSound(t *testing.T) {
	loud := bursts(6, 4, -60, -3, [2]float64{1, 3})
	for i := range loud {
		loud[i] = int16(max(-32768, min(32767, 3*int(loud[i]))))
	}
	for _, c := range []struct {
		name  string
		sound []int16
		want  Fault
	}{
		{"good", bursts(6, 4, -60, -25, [2]float64{1, 3}), SoundGood},
		{"muted", make([]int16, 4*Rate), SoundDead},
		{"nobody speaks", hiss(6, 4*Rate, -60), SoundNoWord},
		{"full scale", loud, SoundClips},
		{"noise", bursts(6, 4, -33, -25, [2]float64{1, 3}), SoundNoisy},
		{"far", bursts(6, 4, -75, -52, [2]float64{1, 3}), SoundFar},
	} {
		got, err := CheckSound(t.Context(), FromSamples(c.sound), 10*time.Second)
		if err != nil {
			t.Fatal(err)
		}
		if got.Fault != c.want {
			t.Errorf("%s: %q, want %q: %+v", c.name, got.Fault, c.want, got)
		}
		if got.Fault.Advice() == "" {
			t.Errorf("%s: no advice", c.name)
		}
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
		sound := bursts(seed, 4, -50, level, [2]float64{from, from + r.Float64()*1.9})
		end := int64(0)
		for _, seg := range segments(t, SegmenterConfig{}, sound, portion) {
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
