package capture

import "math"

// Voices behind the speaker rise far enough over the floor between them to be
// taken for speech. They are told by being softer than whoever speaks near the
// microphone: what is Depth under the loudest of a stretch ends it, and is cut
// off before its first word and after its last. What stands out from the noise
// by more than standsOut is kept: in quiet, soft words are the speaker's own.

// standsOut is in dB over the noise floor. A judgement: babble of six voices
// stays under it.
const standsOut = 20.0

// least is the level from which a frame of the open stretch is its speaker's, in dB.
func (s *Segmenter) least(floor float64) float64 {
	return max(floor+s.cfg.Off, min(s.loudest-s.cfg.Depth, floor+standsOut))
}

// recent is the mean level of the last n frames of the stretch, in dB; the
// least level there is while there are fewer.
func (s *Segmenter) recent(n int) float64 {
	if len(s.history) < n {
		return math.Inf(-1)
	}
	sum := 0.0
	for _, v := range s.history[len(s.history)-n:] {
		sum += v
	}
	return sum / float64(n)
}

// edge is left before the speaker's first word and after the last, in frames:
// weak consonants and the recogniser's own silence. A judgement; with a quarter
// of a second before and half a second after, two phrases in five gained words
// of the voices behind.
const edge = 6

// trim cuts off what was before the speaker and after, but for edge.
func (s *Segmenter) trim(seg *Segment) {
	least := s.least(seg.Noise)
	first, last, loud := -1, -1, 0
	for i, level := range s.history {
		if level < least {
			loud = 0
			continue
		}
		if loud++; loud < 2 {
			continue
		}
		if last = i; first < 0 {
			first = i - 1
		}
	}
	if first < 0 || s.lead < 0 {
		return
	}
	from := max(0, s.lead+first-edge)
	to := min(s.lead+last+1+edge, len(seg.Samples)/levelFrame)
	if to > from {
		seg.Samples = seg.Samples[from*levelFrame : to*levelFrame : to*levelFrame]
		seg.Start += int64(from) * levelFrame
	}
}
