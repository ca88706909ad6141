package segment

import "math"

// meter takes the level of every frame in both kinds.
type meter struct {
	band    bandPass
	lasting *lasting
	last    []float64 // samples of the moments that are not complete yet
}

func newMeter() *meter {
	return &meter{band: newBandPass(), lasting: &lasting{analyser: newAnalyser(moment)}, last: make([]float64, moment-momentHop, moment+levelFrame)}
}

// level is that of a frame in the band, in dB of full scale, and whether the samples are digital silence.
func (m *meter) level(samples []int16) (level [kinds]float64, digital bool) {
	power, digital := m.band.power(samples)
	m.last = append(m.last, floats(samples)...)
	first := len(m.lasting.powers)
	at := 0
	for ; at+moment <= len(m.last); at += momentHop {
		m.lasting.add(m.last[at:])
	}
	m.last = append(m.last[:0], m.last[at:]...)
	lasts := m.lasting.power(first)
	m.lasting.forget(momentAround)
	return [kinds]float64{decibels(power), decibels(min(power, lasts))}, digital
}

func decibels(power float64) float64 { return 10 * math.Log10(power+1e-12) }
