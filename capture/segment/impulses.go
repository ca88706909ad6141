package segment

import (
	"math"
	"slices"
)

// Impulsive noise, blows and drops, hides speech for some milliseconds at a time,
// and between two of them leaves it alone. It is turned down by how long things last: what is
// louder in a frequency than a fifth of the moments around it was there for a moment only. Vowels and
// hissing sounds last longer and are kept; the bursts of "p" and "t" lose some.
// Of 40 phrases in a hammer drill's noise at 20 to 10 dB one listener or the other heard 27 right before and 36
// with it, of 30 in rain 16 and 25. In steady noise every moment is by chance louder than
// others, and it does harm (of 30 in pink noise 26 and 24): so it is for noise of
// which a trial says that it is impulsive.
const (
	moment       = 128 // samples of a frame, 8 ms
	momentHop    = 32  // from frame to frame, 2 ms
	momentAround = 6   // frames to either side
	momentShare  = 0.2 // of the frames around are softer than what is taken to last
	momentLeast  = 0.05
	// From impulsive on, dB by which noise is louder than what lasts of it in the mean, it
	// is impulsive. White noise has 2.4 (pink, wind and a fan too, a mower 2.5), voices 2.8, hum 2.9,
	// rain 5.8 and a drill 11.3 of noises made for the purpose.
	impulsive = 4.0
)

// lasting takes sound apart into short frames, and tells of each frequency in them
// its power and the power of what lasts there.
type lasting struct {
	*analyser
	parts   [][]complex128
	powers  [][]float64 // the mean of a frequency and its neighbours
	softest []float64   // scratch
}

func newLasting(samples []float64) *lasting {
	l := &lasting{analyser: newAnalyser(moment)}
	for at := 0; at+moment <= len(samples); at += momentHop {
		l.add(samples[at:])
	}
	return l
}

// add takes the frame that comes next.
func (l *lasting) add(samples []float64) {
	parts := slices.Clone(l.apart(samples))
	powers := make([]float64, len(parts))
	for k := range powers {
		near := parts[max(0, k-1):min(len(parts), k+2)]
		for _, c := range near {
			powers[k] += power(c) / float64(len(near))
		}
	}
	l.parts, l.powers = append(l.parts, parts), append(l.powers, powers)
}

// forget leaves the last n frames.
func (l *lasting) forget(n int) {
	extra := max(0, len(l.powers)-n)
	l.parts, l.powers = slices.Delete(l.parts, 0, extra), slices.Delete(l.powers, 0, extra)
}

// power is the mean square, full scale 1, of what lasts in the telephone band in the frames from one on.
func (l *lasting) power(first int) float64 {
	const from, to = 3, 28 // frequencies of 375 to 3375 Hz
	sum := 0.0
	for frame := first; frame < len(l.parts); frame++ {
		for k := from; k < to; k++ {
			sum += power(l.parts[frame][k]) / max(1, l.over(frame, k))
		}
	}
	// Parseval's theorem; the squared taper is half in the mean, and each frequency stands for its mirror's too.
	const each = 2.0 / (moment * moment / 2)
	return sum * each / float64(max(1, len(l.parts)-first)) / (1 << 30)
}

// over is how many times as powerful a frequency of a frame is as what lasts there.
func (l *lasting) over(frame, k int) float64 {
	around := l.powers[max(0, frame-momentAround):min(len(l.powers), frame+momentAround+1)]
	most := 1 + int(momentShare*float64(len(around)-1))
	l.softest = l.softest[:0] // so many of them, in order
	for _, p := range around {
		i := len(l.softest)
		for i > 0 && l.softest[i-1] > p[k] {
			i--
		}
		if i < most {
			l.softest = slices.Insert(l.softest, i, p[k])
			l.softest = l.softest[:min(len(l.softest), most)]
		}
	}
	return (l.powers[frame][k] + 1) / (l.softest[most-1] + 1)
}

// isImpulsive reports that noise is of short blows.
func isImpulsive(noise []int16) bool {
	const from, to, every = 3, 50, 4 // frequencies of 370 to 6250 Hz; one frame in so many tells enough
	l := newLasting(floats(noise))
	sum, n := 0.0, 0
	for frame := momentAround; frame < len(l.powers)-momentAround; frame += every {
		for k := from; k < to; k++ {
			sum += 10 * math.Log10(l.over(frame, k))
			n++
		}
	}
	return n > 0 && sum/float64(n) >= impulsive
}

// withoutImpulses is the sound with what is there for a moment only turned down.
func withoutImpulses(samples []int16) []int16 {
	in := make([]float64, moment+len(samples)+2*moment)
	copy(in[moment:], floats(samples))
	out := make([]float64, len(in))
	l := newLasting(in)
	for frame, parts := range l.parts {
		for k := range parts {
			if over := l.over(frame, k); over > 1 {
				parts[k] *= complex(max(1/math.Sqrt(over), momentLeast), 0)
			}
		}
		l.together(out[frame*momentHop:], parts, momentHop)
	}
	return rounded(out[moment : moment+len(samples)])
}

func floats(samples []int16) []float64 {
	out := make([]float64, len(samples))
	for i, v := range samples {
		out[i] = float64(v)
	}
	return out
}

func rounded(samples []float64) []int16 {
	out := make([]int16, len(samples))
	for i, v := range samples {
		out[i] = int16(max(math.MinInt16, min(math.MaxInt16, math.Round(v))))
	}
	return out
}

// Undisturbed is what was said in the segment, with the blows of impulsive noise
// turned down; its own samples where the noise is none.
func (s Segment) Undisturbed() []int16 {
	if !s.Impulsive {
		return s.Samples
	}
	return withoutImpulses(s.Samples)
}
