package dialogue

import (
	"reflect"
	"slices"

	"downlead/capture"
	"downlead/capture/confidence"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// Calibration is what a technician's own phrases say of the thresholds.
type Calibration struct {
	Right   int // phrases that stood: not scratched, not changed
	Wrong   int // phrases that were scratched or changed
	Suggest capture.Thresholds
}

// Tune holds the figure of confidence against what became of the phrases that
// two listeners heard, and fits the two parameters of it. Too few such phrases
// are confidence.ErrFew.
func Tune(records []record.Record) (t confidence.Tuning, phrases int, err error) {
	said := map[int64]entry.Entry{}
	for _, r := range records {
		said[r.Seq] = r.Entry
	}
	var figures []float64
	var right []bool
	for _, v := range record.View(records) {
		if v.Heard == nil || v.Heard.Confidence == 0 || v.Entry.Kind() == entry.KindCorrection {
			continue
		}
		stood := v.SupersededBy == 0 && reflect.DeepEqual(said[v.Seq], v.Entry)
		if stood && v.Unconfirmed {
			continue // nobody said whether it was right
		}
		figures = append(figures, float64(v.Heard.Confidence)/1e4)
		right = append(right, stood)
	}
	t, err = confidence.Tune(figures, right)
	return t, len(figures), err
}

// leastPhrases is how many phrases must have stood before thresholds are
// suggested from them: the lowest hundredth of fewer is one phrase.
const leastPhrases = 100

// Calibrate holds the recogniser's figures of a technician's phrases against
// what became of them. The score limits are set just under the lowest
// hundredth of the phrases that stood, and never looser than what asking
// needs; the margin above most of the wrong ones, and never under the limit in
// use. ok is false with too few phrases to tell.
func Calibrate(records []record.Record, now capture.Thresholds) (c Calibration, ok bool) {
	var scores, ratios, worst []float64
	var wrongMargins []float64
	c.Suggest = now
	said := map[int64]entry.Entry{}
	for _, r := range records {
		said[r.Seq] = r.Entry
	}
	for _, v := range record.View(records) {
		if v.Heard == nil || v.Origin != record.Voice || v.Entry.Kind() == entry.KindCorrection {
			continue
		}
		if v.SupersededBy != 0 || !reflect.DeepEqual(said[v.Seq], v.Entry) {
			c.Wrong++
			wrongMargins = append(wrongMargins, float64(v.Heard.Margin)/100)
			continue
		}
		if v.Unconfirmed {
			continue
		}
		c.Right++
		scores = append(scores, float64(v.Heard.Grammar)/100)
		ratios = append(ratios, float64(v.Heard.Ratio)/100)
		worst = append(worst, float64(v.Heard.WorstWord)/100)
	}
	if c.Right < leastPhrases {
		return c, false
	}
	c.Suggest.Grammar = max(now.AskGrammar, lowest(scores)-1)
	c.Suggest.Ratio = max(now.AskRatio, lowest(ratios)-1)
	c.Suggest.WorstWord = max(now.AskWorstWord, lowest(worst)-1)
	if len(wrongMargins) > 0 {
		slices.Sort(wrongMargins)
		c.Suggest.Margin = max(now.Margin, wrongMargins[len(wrongMargins)*9/10])
	}
	return c, true
}

// lowest is the lowest hundredth of figures.
func lowest(figures []float64) float64 {
	slices.Sort(figures)
	return figures[len(figures)/100]
}
