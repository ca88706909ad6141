package sound

import (
	"io"
	"math"
)

// mixer mixes decoded sound to one channel and resamples it to Rate.
type mixer struct {
	chans   int
	frames  []float32 // interleaved, as read
	mono    []float32
	res     *resampler // nil at Rate
	out     []float32
	pending []float32 // part of out not taken yet
}

const mixFrames = 4096

func newMixer(p pcm) mixer {
	m := mixer{chans: p.channels(), frames: make([]float32, mixFrames*p.channels())}
	if p.rate() != Rate {
		m.res = newResampler(p.rate(), Rate)
	}
	return m
}

// take moves finished samples into p.
func (m *mixer) take(p []int16) int {
	n := min(len(p), len(m.pending))
	for i, v := range m.pending[:n] {
		p[i] = ToInt16(v)
	}
	m.pending = m.pending[n:]
	return n
}

// ToInt16 rounds and saturates; what is not a number becomes silence.
func ToInt16(v float32) int16 {
	f := math.RoundToEven(float64(v) * (1 << 15))
	switch {
	case f >= math.MaxInt16:
		return math.MaxInt16
	case f <= math.MinInt16:
		return math.MinInt16
	case f != f:
		return 0
	}
	return int16(f)
}

// fill reads more sound; the error is that of the sound, and at its end the
// resampler's last samples are still to be taken.
func (m *mixer) fill(p pcm) error {
	n, err := p.read(m.frames)
	m.mono = m.mono[:0]
	for i := range n {
		sum := float32(0)
		for _, v := range m.frames[i*m.chans : (i+1)*m.chans] {
			sum += v
		}
		m.mono = append(m.mono, sum/float32(m.chans))
	}
	if m.res == nil {
		m.pending = m.mono
		return err
	}
	m.out = m.res.process(m.out[:0], m.mono)
	if err != nil {
		m.out = m.res.finish(m.out)
	}
	m.pending = m.out
	return err
}

var (
	_ pcm       = (*wav)(nil)
	_ io.Closer = (*File)(nil)
)

// resampler changes the sample rate by a windowed sinc, one filter for each
// place that an output sample can have between two input samples (a polyphase
// filter). Cut-off 0.45 of the lower rate, Kaiser window with beta 8: ripple
// and aliases below -80 dB (Kaiser and Schafer, IEEE Trans. ASSP 28, 1980, eq. 4).
type resampler struct {
	num, den int64 // out/in rate in lowest terms
	phases   int64
	taps     int
	filters  [][]float32
	hist     []float32 // input not yet used up, from sample index base
	base     int64
	next     int64 // index of the next output sample
	in       int64 // input samples so far
}

const (
	kaiserBeta    = 8.0
	zeroCrossings = 24 // of the sinc on each side
	cutOff        = 0.45
	maxPhases     = 2048 // for rates that share no divisor; places between are rounded
)

func newResampler(from, to int) *resampler {
	g := gcd(int64(from), int64(to))
	r := &resampler{num: int64(to) / g, den: int64(from) / g}
	r.phases = min(r.num, maxPhases)
	cut := cutOff * float64(min(from, to)) / float64(from) // cycles an input sample
	half := int(math.Ceil(zeroCrossings / (2 * cut)))
	r.taps = 2 * half
	r.filters = make([][]float32, r.phases+1)
	for p := range r.filters {
		f := make([]float32, r.taps)
		shift := float64(p) / float64(r.phases)
		sum := 0.0
		for k := range f {
			x := float64(k-half+1) - shift
			v := 2 * cut * sinc(2*cut*x) * kaiser(x/float64(half))
			f[k] = float32(v)
			sum += v
		}
		for k := range f { // the same loudness at every place
			f[k] /= float32(sum)
		}
		r.filters[p] = f
	}
	r.hist = make([]float32, half-1) // silence before the sound
	r.base = -int64(half - 1)
	return r
}

// process appends the output that the input so far allows.
func (r *resampler) process(out, in []float32) []float32 {
	r.hist = append(r.hist, in...)
	r.in += int64(len(in))
	half := int64(r.taps / 2)
	for {
		at := r.next * r.den
		whole, part := at/r.num, at%r.num
		first := whole - half + 1
		if first+int64(r.taps) > r.base+int64(len(r.hist)) {
			break
		}
		f := r.filters[(part*r.phases+r.num/2)/r.num]
		h := r.hist[first-r.base:][:r.taps]
		sum := float32(0)
		for k, c := range f {
			sum += c * h[k]
		}
		out = append(out, sum)
		r.next++
	}
	if drop := r.next*r.den/r.num - half + 1 - r.base; drop > 1<<14 {
		drop = min(drop, int64(len(r.hist)))
		r.hist = append(r.hist[:0], r.hist[drop:]...)
		r.base += drop
	}
	return out
}

// finish appends the output up to the end of the sound.
func (r *resampler) finish(out []float32) []float32 {
	total := (r.in*r.num + r.den - 1) / r.den
	out = r.process(out, make([]float32, r.taps))
	if extra := r.next - total; extra > 0 {
		out = out[:max(0, len(out)-int(extra))]
	}
	return out
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

func sinc(x float64) float64 {
	if x == 0 {
		return 1
	}
	return math.Sin(math.Pi*x) / (math.Pi * x)
}

// kaiser is the window over -1..1.
func kaiser(x float64) float64 {
	if x <= -1 || x >= 1 {
		return 0
	}
	return bessel0(kaiserBeta*math.Sqrt(1-x*x)) / bessel0(kaiserBeta)
}

// bessel0 is the modified Bessel function of order 0 by its power series
// (Abramowitz and Stegun 9.6.12).
func bessel0(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; term > sum*1e-12; k++ {
		term *= (x / 2 / k) * (x / 2 / k)
		sum += term
	}
	return sum
}

// AtSpeed plays the samples at another speed, pitch and all.
func AtSpeed(samples []int16, speed float64) []int16 {
	res := newResampler(int(Rate*speed), Rate)
	in := make([]float32, len(samples))
	for i, s := range samples {
		in[i] = float32(s) / (1 << 15)
	}
	out := res.finish(res.process(nil, in))
	played := make([]int16, len(out))
	for i, v := range out {
		played[i] = ToInt16(v)
	}
	return played
}
