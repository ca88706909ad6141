package segment

import (
	"math"

	"downlead/capture/sound"
)

// biquad is a second-order filter, direct form 2 transposed.
type biquad struct{ b0, b1, b2, a1, a2, z1, z2 float64 }

func (q *biquad) step(x float64) float64 {
	y := q.b0*x + q.z1
	q.z1 = q.b1*x - q.a1*y + q.z2
	q.z2 = q.b2*x - q.a2*y
	return y
}

// bandPass keeps 300-3400 Hz, where speech is and wind and hum are not.
type bandPass struct{ high, low biquad }

func newBandPass() bandPass { return bandPass{high: highPass(300), low: lowPass(3400)} }

// butterworth gives the terms of a second-order section with the Q of a
// Butterworth filter (R. Bristow-Johnson, "Cookbook formulae for audio EQ
// biquad filter coefficients", W3C note 2021).
func butterworth(hz float64) (cos, alpha float64) {
	w := 2 * math.Pi * hz / sound.Rate
	return math.Cos(w), math.Sin(w) / (2 * math.Sqrt2 / 2)
}

func lowPass(hz float64) biquad {
	c, alpha := butterworth(hz)
	a0 := 1 + alpha
	return biquad{b0: (1 - c) / 2 / a0, b1: (1 - c) / a0, b2: (1 - c) / 2 / a0, a1: -2 * c / a0, a2: (1 - alpha) / a0}
}

func highPass(hz float64) biquad {
	c, alpha := butterworth(hz)
	a0 := 1 + alpha
	return biquad{b0: (1 + c) / 2 / a0, b1: -(1 + c) / a0, b2: (1 + c) / 2 / a0, a1: -2 * c / a0, a2: (1 - alpha) / a0}
}

// power is the mean square of the samples in the band, full scale 1, and
// whether the samples are digital silence.
func (b *bandPass) power(samples []int16) (power float64, digital bool) {
	digital = true
	for _, s := range samples {
		if s != 0 {
			digital = false
		}
		y := b.low.step(b.high.step(float64(s) / (1 << 15)))
		power += y * y
	}
	return power / float64(len(samples)), digital
}

// humHz is under what frequency the second listener hears nothing: the mains
// are at 50 or 60 Hz, and the first listener's own filters begin at 130.
const humHz = 100

// WithoutHum is sound without what lies under humHz: fourth order.
func WithoutHum(samples []int16) []int16 {
	a, b := highPass(humHz), highPass(humHz)
	out := make([]int16, len(samples))
	for i, v := range samples {
		out[i] = int16(max(math.MinInt16, min(math.MaxInt16, math.Round(b.step(a.step(float64(v)))))))
	}
	return out
}
