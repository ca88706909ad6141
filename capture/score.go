package capture

import (
	"math"
	"strings"
	"time"

	"downlead/capture/segment"
	"downlead/capture/sound"
)

// isWord tells words from silence, noise and the grammar's own marks.
func isWord(text string) bool {
	return text != "" && !strings.ContainsAny(text[:1], "<[(+")
}

// spelling cuts the number of a second pronunciation: "the(2)" is "the".
func spelling(text string) string {
	word, _, _ := strings.Cut(text, "(")
	return word
}

// utterance makes the result of a decode; all but Scores.Ratio and what only
// the segmenter knows.
func (r *Recogniser) utterance(d decoded, samples []int16) Utterance {
	u := Utterance{
		Text: d.text, Samples: samples,
		End:    time.Duration(len(samples)) * time.Second / sound.Rate,
		Scores: Scores{Grammar: math.Inf(-1), WorstWord: math.Inf(-1), NumberMargin: math.Inf(1), Clipped: clipped(samples)},
	}
	total, frames, worst := 0, 0, math.Inf(1)
	for _, w := range d.words {
		if !isWord(w.text) {
			continue
		}
		n := w.last - w.first + 1
		score := float64(w.acoustic) / float64(max(n, 1))
		u.Words = append(u.Words, Word{
			Text: spelling(w.text), Score: score,
			Start: time.Duration(w.first) * frame, End: time.Duration(w.last+1) * frame,
		})
		total += w.acoustic
		frames += n
		worst = min(worst, score)
	}
	if frames == 0 {
		u.Text = ""
		return u
	}
	u.Scores.Grammar = float64(total) / float64(frames)
	u.Scores.WorstWord = worst
	u.Scores.Words = len(u.Words)
	return u
}

// phoneScore is the mean score a frame of the phone decode over the frames
// that words has as words; a phone that reaches over their edge counts in
// proportion.
func phoneScore(phones, words decoded) float64 {
	total, frames := 0.0, 0
	for _, w := range words.words {
		if !isWord(w.text) {
			continue
		}
		frames += w.last - w.first + 1
		for _, p := range phones.words {
			overlap := min(w.last, p.last) - max(w.first, p.first) + 1
			if overlap > 0 {
				total += float64(p.acoustic) * float64(overlap) / float64(p.last-p.first+1)
			}
		}
	}
	if frames == 0 {
		return 0
	}
	return total / float64(frames)
}

// ratios holds each word against the phone decode of the same frames.
func (u *Utterance) ratios(phones, words decoded) {
	i := 0
	for _, w := range words.words {
		if isWord(w.text) {
			u.Words[i].Ratio = u.Words[i].Score - phoneScore(phones, decoded{words: []decodedWord{w}})
			i++
		}
	}
}

// scoresOf are the scores of some words.
func scoresOf(words []Word) Scores {
	s := Scores{Grammar: math.Inf(-1), Ratio: math.Inf(-1), WorstWord: math.Inf(-1), NumberMargin: math.Inf(1), Words: len(words)}
	frames, grammar, ratio, worst := 0.0, 0.0, 0.0, math.Inf(1)
	for _, w := range words {
		n := float64((w.End - w.Start) / frame)
		frames, grammar, ratio, worst = frames+n, grammar+n*w.Score, ratio+n*w.Ratio, min(worst, w.Score)
	}
	if frames > 0 {
		s.Grammar, s.Ratio, s.WorstWord = grammar/frames, ratio/frames, worst
	}
	return s
}

// covered is the fraction of a stretch that is words. What the segmenter leaves
// around it does not count. 277 phrases heard right in quiet and noise had 0.91 or
// more, the least of some 1300 in quiet that was looked at had 0.82; gusts of wind
// in which two words were heard had up to 0.73.
func covered(s segment.Segment, words []Word) float64 {
	around := 2 * segment.Edge * segment.FrameTime * time.Duration(len(stretches(s)))
	spoken := time.Duration(0)
	for _, w := range words {
		spoken += w.End - w.Start
	}
	length := samplesTime(int64(len(s.Samples))) - around
	return min(1, float64(spoken)/float64(max(length, frame)))
}

// clipped is the fraction of samples at full scale.
func clipped(samples []int16) float64 {
	return float64(countClipped(samples)) / float64(max(len(samples), 1))
}

func countClipped(samples []int16) int {
	n := 0
	for _, s := range samples {
		if s == math.MaxInt16 || s <= -math.MaxInt16 {
			n++
		}
	}
	return n
}
