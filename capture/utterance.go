package capture

import (
	"encoding/json"
	"math"
	"time"

	"downlead/capture/segment"
	"downlead/capture/sound"
)

// Utterance is one stretch of speech and what was heard in it.
type Utterance struct {
	Text       string        // the words, "" when nothing was recognised
	Start, End time.Duration // place in the source
	Words      []Word
	Rival      string // the sentence of another meaning that fits best, of Config.Rivals
	Scores     Scores
	Parts      []Scores  // of the words in each stretch, where several make the utterance; without margin
	Amends     bool      // it is the one before, which has gone on, and stands in its place
	Cut        bool      // the stretch was ended by its length, not by silence
	Broken     bool      // listening ended while somebody spoke: more may have been said
	Samples    []int16   // the sound, Rate mono
	Evidence   *Evidence // of further decodes; nil when there were none yet

	Second *Witness // what the second listener makes of it; nil when it did not hear it

	clean    []int16         // the samples as they were decoded
	acoustic int             // score of the whole, 0.1024 nat
	phones   decoded         // of the same stretch
	pace     float64         // at which they were, 0 for as they came: less is slower
	from     segment.Segment // the stretch
}

// From is the utterance's sound from a place in it, as a stretch of its own.
func (u Utterance) From(at time.Duration) segment.Segment {
	n := min(len(u.Samples), int(at*sound.Rate/time.Second))
	end := int64(u.End * sound.Rate / time.Second)
	return segment.Segment{
		Start: end - int64(len(u.Samples)-n), Samples: u.Samples[n:], SNR: u.Scores.SNR, Cut: u.Cut,
		Background: u.from.Background, Impulsive: u.from.Impulsive,
	}
}

// Word is one recognised word with its place in the source and its score.
type Word struct {
	Text       string
	Start, End time.Duration
	Score      float64 // mean acoustic score a frame, 0.1024 nat
	Ratio      float64 // Score less that of a phone decode of the same frames
}

// Scores say how far an Utterance can be trusted. Scores are in units of
// 0.1024 nat a frame, over word frames.
type Scores struct {
	Grammar      float64 // acoustic score of the grammar decode with all senones
	Ratio        float64 // Grammar less that of a phone decode of the same frames
	WorstWord    float64
	NumberMargin float64 // best hypothesis against the best one of another meaning, 0.1024 nat in all; +Inf without rival
	SNR          float64 // dB, speech against the noise before it
	Clipped      float64 // fraction of samples at full scale
	Words        int     // how many there are; 0 where nobody counted
	Confidence   float64 // calibrated probability that the words are what was said; 0 where one listener heard alone
	Covered      float64 // fraction of the stretch that is words, but for its edges; 0 where nobody measured
}

// MarshalJSON writes the scores with short names, and leaves out those that
// are not finite: no rival, nothing recognised.
func (s Scores) MarshalJSON() ([]byte, error) {
	all := map[string]float64{
		"grammar": s.Grammar, "ratio": s.Ratio, "worst_word": s.WorstWord,
		"margin": s.NumberMargin, "snr_db": s.SNR, "clipped": s.Clipped, "covered": s.Covered,
	}
	if s.Confidence > 0 {
		all["confidence"] = s.Confidence
	}
	for name, v := range all {
		if math.IsInf(v, 0) || math.IsNaN(v) {
			delete(all, name)
			continue
		}
		all[name] = math.Round(v*1000) / 1000
	}
	return json.Marshal(all)
}
