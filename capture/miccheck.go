package capture

import (
	"context"
	"errors"
	"io"
	"math"
	"time"

	"downlead/capture/segment"
	"downlead/capture/sound"
)

// SoundCheck is what a test of the microphone measured.
type SoundCheck struct {
	Peak    float64 `json:"peak_dbfs"`   // loudest sample, dB of full scale; -100 for digital silence
	Noise   float64 `json:"noise_dbfs"`  // noise floor, 300-3400 Hz
	Speech  float64 `json:"speech_dbfs"` // speech, 300-3400 Hz; 0 when there was none
	SNR     float64 `json:"snr_db"`      // speech over noise
	Clipped float64 `json:"clipped"`     // fraction of the samples in speech at full scale
	Spoken  int     `json:"spoken"`      // stretches of speech
	Fault   Fault   `json:"fault"`
}

// Fault is what is wrong with the sound; the worst one when there are several.
type Fault string

// The faults. SoundGood is none.
const (
	SoundGood   Fault = ""
	SoundDead   Fault = "no sound"  // digital silence: muted, or the wrong input
	SoundNoWord Fault = "no speech" // nothing was said, or not heard
	SoundClips  Fault = "clipping"
	SoundNoisy  Fault = "too noisy"
	SoundFar    Fault = "too far"
)

// Limits of the check. Below 15 dB recognition was measured to lose a quarter
// of the phrases in babble; the level and the clipping limit are of our own
// choosing: recognition itself does not depend on the level until the noise
// of the microphone does (common practice, no source).
const (
	goodSNR     = 15.0  // dB
	goodLevel   = -45.0 // dB of full scale
	mostClipped = 0.001
	silent      = -100.0 // dB, stands for nothing but zeros
)

// Advice says what to do about a fault.
func (f Fault) Advice() string {
	switch f {
	case SoundDead:
		return "the microphone gives no sound at all: unmute it, or choose another input"
	case SoundNoWord:
		return "no speech was heard: speak, or choose another input"
	case SoundClips:
		return "the sound is too loud for the microphone: lower its level, or hold it further away"
	case SoundNoisy:
		return "there is too much noise: hold the microphone closer, or shield it from wind"
	case SoundFar:
		return "the voice is too faint: hold the microphone closer, or raise its level"
	}
	return "the sound is good"
}

// CheckSound listens for that long, while something is said, and judges the
// sound. A source that ends before is judged by what it gave.
func CheckSound(ctx context.Context, src sound.Source, length time.Duration) (SoundCheck, error) {
	s := segment.New(segment.Config{})
	var c SoundCheck
	energy, samples, clipped := 0.0, 0, 0
	found := func(seg segment.Segment) {
		c.Spoken++
		energy += math.Pow(10, (seg.Noise+seg.SNR)/10) * float64(len(seg.Samples))
		samples += len(seg.Samples)
		clipped += countClipped(seg.Samples)
	}
	buf := make([]int16, Chunk)
	peak := 0
	for left := int(length.Seconds() * sound.Rate); left > 0; {
		n, err := src.Read(ctx, buf[:min(len(buf), left)])
		for _, v := range buf[:n] {
			peak = max(peak, int(v), -int(v))
		}
		s.Feed(buf[:n], found)
		left -= n
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return c, err
		}
	}
	s.Flush(found)
	c.Noise = s.Noise()
	c.Peak = max(silent, 20*math.Log10(float64(peak)/(1<<15)))
	if samples > 0 {
		c.Speech = 10 * math.Log10(energy/float64(samples))
		c.SNR = c.Speech - c.Noise
		c.Clipped = float64(clipped) / float64(samples)
	}
	c.Fault = c.judge()
	return c, nil
}

func (c SoundCheck) judge() Fault {
	switch {
	case c.Peak == silent:
		return SoundDead
	case c.Spoken == 0:
		return SoundNoWord
	case c.Clipped > mostClipped:
		return SoundClips
	case c.Speech < goodLevel:
		return SoundFar
	case c.SNR < goodSNR:
		return SoundNoisy
	}
	return SoundGood
}
