package voice

import (
	"math"

	"downlead/capture/sound"
)

// Tone is a short sound with a meaning.
type Tone int

// The tones. They differ in direction and number, so that they can be told
// apart in noise and without an ear for pitch.
const (
	ToneTaken     Tone = iota // understood and stored: two notes up
	ToneAgain                 // not understood, say it again: two notes down
	ToneAttention             // look, or listen: one note three times
)

// String names the tone.
func (t Tone) String() string {
	switch t {
	case ToneTaken:
		return "taken"
	case ToneAgain:
		return "say again"
	}
	return "attention"
}

// Samples is the tone's sound.
func (t Tone) Samples() []int16 {
	notes := []float64{880, 0, 880, 0, 880} // Hz; 0 is a pause
	switch t {
	case ToneTaken:
		notes = []float64{660, 990}
	case ToneAgain:
		notes = []float64{660, 440}
	}
	var out []int16
	for _, hz := range notes {
		out = append(out, note(hz)...)
	}
	return out
}

// tick is a sound of 30 ms at an eighth of full scale: less than the frames in a
// row that begin speech.
func tick() []int16 { return faded(1320, sound.Rate*30/1000, 0.125) }

// note is 90 ms of a sine at half scale.
func note(hz float64) []int16 { return faded(hz, sound.Rate*90/1000, 0.5) }

// faded is n samples of a sine, faded over 8 ms at both ends.
func faded(hz float64, n int, scale float64) []int16 {
	const fade = sound.Rate * 8 / 1000
	out := make([]int16, n)
	for i := range out {
		edge := min(1, float64(min(i, n-1-i))/fade)
		gain := scale * (1 - math.Cos(math.Pi*edge)) / 2
		out[i] = int16(gain * math.MaxInt16 * math.Sin(2*math.Pi*hz*float64(i)/sound.Rate))
	}
	return out
}
