package main

import (
	"math"
	"math/rand/v2"
	"slices"

	"downlead/capture/sound"
)

// everyNoise are the noises of the confidence measurement; all are made here.
func everyNoise() []string {
	return []string{"wind", "pink", "babble", "hum", "rain", "air", "drill", "mower"}
}

// workNoise is n samples of a noise of the job, by what such a noise is made of;
// the figures are judgements.
func workNoise(r *rand.Rand, kind string, n int) []float64 {
	switch kind {
	case "hum": // of the mains, with its odd harmonics
		return tones(n, 60+0.1*r.NormFloat64(), 0, r, 1, 0.1, 0.6, 0.02, 0.2, 0, 0.1)
	case "air": // a fan's rush and its motor
		return added(lowPassed(white(r, n), 0.1), tones(n, 118+2*r.Float64(), 0.002, r, 0.3, 0.15, 0.08))
	case "rain": // drops on a roof, 900 a second, each a short ring
		out := scaled(white(r, n), 0.05)
		for range n * 900 / sound.Rate {
			at, hz, loud := r.IntN(n), 800+4000*r.Float64(), math.Exp(0.8*r.NormFloat64())
			for i := 0; i < 160 && at+i < n; i++ {
				out[at+i] += loud * math.Exp(-float64(i)/30) * math.Sin(2*math.Pi*hz*float64(i)/sound.Rate)
			}
		}
		return out
	case "drill": // blows through walls, 40 a second, for some seconds at a time
		blows := lowPassed(white(r, n), 0.35)
		whine := tones(n, 380+40*r.Float64(), 0.01, r, 0.3, 0.15, 0.1)
		phase := 6 * r.Float64()
		for i := range blows {
			t := float64(i)/sound.Rate + phase
			on := 0.05
			if math.Mod(t, 6) < 4 {
				on = 1
			}
			blows[i] = on * (blows[i]*math.Exp(-6*math.Mod(40*t, 1)) + 0.3*whine[i])
		}
		return blows
	case "mower": // a one-cylinder engine of 3000 turns a minute, and its blade
		engine := tones(n, 25+r.NormFloat64(), 0.01, r, 0.5, 1, 0.8, 0.9, 0.6, 0.6, 0.4, 0.5, 0.3, 0.3, 0.25, 0.25, 0.2, 0.2, 0.15, 0.15)
		return added(engine, lowPassed(white(r, n), 0.3))
	}
	return nil
}

// anyNoise is n samples of any of everyNoise.
func anyNoise(r *rand.Rand, kind string, n int, babble []int16) []float64 {
	if noise := workNoise(r, kind, n); noise != nil {
		return noise
	}
	return makeNoise(r, kind, n, babble)
}

func white(r *rand.Rand, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = r.NormFloat64()
	}
	return out
}

// lowPassed smooths with one pole.
func lowPassed(in []float64, share float64) []float64 {
	v := 0.0
	for i, x := range in {
		v += share * (x - v)
		in[i] = v
	}
	return in
}

func scaled(in []float64, by float64) []float64 {
	for i := range in {
		in[i] *= by
	}
	return in
}

func added(a, b []float64) []float64 {
	for i := range a {
		a[i] += b[i]
	}
	return a
}

// tones is a tone and its harmonics of given loudness, whose pitch wanders.
func tones(n int, hz, wander float64, r *rand.Rand, loud ...float64) []float64 {
	out := make([]float64, n)
	phase, drift := r.Float64(), 0.0
	for i := range out {
		drift = 0.9995*drift + wander*r.NormFloat64()/30
		phase += hz * (1 + drift) / sound.Rate
		for k, v := range loud {
			out[i] += v * math.Sin(2*math.Pi*phase*float64(k+1))
		}
	}
	return out
}

// otherwise are the ways to say or carry a phrase that have goals of their own.
func otherwise() []string {
	return []string{"telephone", "softer", "clipped", "faster", "slower", "higher"}
}

// changed is a recording carried otherwise; speeds are the voice's affair.
func changed(samples []int16, how string) []int16 {
	out := make([]float64, len(samples))
	for i, v := range samples {
		out[i] = float64(v)
	}
	switch how {
	case "telephone": // 300 to 3400 Hz, twice second order
		for range 2 {
			out = band(out, 300, 3400)
		}
	case "softer":
		out = scaled(out, math.Pow(10, -30.0/20))
	case "clipped": // the loudest sample 12 dB over full scale
		most := 1.0
		for _, v := range out {
			most = max(most, math.Abs(v))
		}
		out = scaled(out, 4*32767/most)
	case "higher": // three semitones, pitch and formants
		step := math.Pow(2, 3.0/12)
		n := int(float64(len(out)) / step)
		up := make([]float64, n)
		for i := range up {
			at := float64(i) * step
			k := int(at)
			up[i] = out[k] + (at-float64(k))*(out[min(k+1, len(out)-1)]-out[k])
		}
		out = up
	}
	sound := make([]int16, len(out))
	for i, v := range out {
		sound[i] = int16(max(-32767, min(32767, v)))
	}
	return sound
}

// band keeps what lies between two frequencies, first order up and down.
func band(in []float64, low, high float64) []float64 {
	out := slices.Clone(in)
	a, b := math.Exp(-2*math.Pi*low/sound.Rate), 1-math.Exp(-2*math.Pi*high/sound.Rate)
	x, y, z := 0.0, 0.0, 0.0
	for i, v := range in {
		y = a * (y + v - x)
		x = v
		z += b * (y - z)
		out[i] = z
	}
	return out
}
