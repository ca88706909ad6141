package main

import (
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"testing"

	audio "downlead/capture/sound"
)

// noiseKinds are the noises of the measurement.
func noiseKinds() []string { return []string{"wind", "pink", "babble"} }

// makeNoise is n samples of noise. Babble is six stretches at once of speech
// that is no phrase.
func makeNoise(r *rand.Rand, kind string, n int, babble []int16) []float64 {
	out := make([]float64, n)
	switch kind {
	case "wind": // brown noise, gusting
		v := 0.0
		for i := range out {
			v = 0.999*v + r.NormFloat64()
			out[i] = v * (1 + 0.8*math.Sin(2*math.Pi*float64(i)/audio.Rate/1.7))
		}
	case "pink": // P. Kellet's filter of white noise, as widely published
		var b0, b1, b2 float64
		for i := range out {
			w := r.NormFloat64()
			b0, b1, b2 = 0.99765*b0+w*0.0990460, 0.96300*b1+w*0.2965164, 0.57000*b2+w*1.0526913
			out[i] = b0 + b1 + b2 + w*0.1848
		}
	case "babble":
		for range 6 {
			at := r.IntN(len(babble))
			for i := range out {
				out[i] += float64(babble[(at+i)%len(babble)])
			}
		}
	}
	return out
}

// babbleSound is people's prompts end to end, at one level.
func babbleSound(t testing.TB, most int) []int16 {
	t.Helper()
	var out []int16
	for _, s := range humanPrompts(most) {
		sound := s.sound(t)
		out = append(out, sound[audio.Rate:len(sound)-audio.Rate]...)
	}
	return out
}

// Noise is there before the phrase and after it, as outside: the detector of
// speech knows it by then, and has to find the end of the phrase in it.
const (
	noiseBefore = 3 * audio.Rate
	noiseAfter  = 3 * audio.Rate
)

// noisy puts noise into a recording at a signal-to-noise ratio in dB, over the
// time of the phrase.
func noisy(s said, kind string, db float64, babble []int16) said {
	mixed := func(sound func(t testing.TB) []int16, salt string) func(t testing.TB) []int16 {
		return func(t testing.TB) []int16 {
			h := fnv.New64a()
			fmt.Fprint(h, s.id, s.text, kind, db, salt)
			signal := sound(t)
			signal = signal[audio.Rate : len(signal)-audio.Rate]
			r := rand.New(rand.NewPCG(h.Sum64(), 2026))
			noise := makeNoise(r, kind, noiseBefore+len(signal)+noiseAfter, babble)
			return mix(signal, noise, db)
		}
	}
	first := s
	s.noise = fmt.Sprintf("%s %.0f dB", kind, db)
	s.sound, s.again = mixed(first.sound, "first"), mixed(first.again, "again")
	return s
}

// mix adds a signal, noiseBefore into it, to noise scaled to a ratio in dB.
func mix(signal []int16, noise []float64, db float64) []int16 {
	var loud, noisy float64
	for i, v := range signal {
		loud += float64(v) * float64(v)
		noisy += noise[noiseBefore+i] * noise[noiseBefore+i]
	}
	scale := math.Sqrt(loud / noisy / math.Pow(10, db/10))
	out := make([]int16, len(noise))
	for i := range out {
		v := noise[i] * scale
		if k := i - noiseBefore; k >= 0 && k < len(signal) {
			v += float64(signal[k])
		}
		out[i] = int16(max(-32767, min(32767, v)))
	}
	return out
}
