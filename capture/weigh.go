package capture

import (
	"math"
	"slices"
	"strings"

	"downlead/capture/confidence"
)

// weightOfFirst is how many nats of the second listener's a unit of the first
// one's acoustic score, 0.1024 nat, is worth where they heard different
// sentences.
const weightOfFirst = 0.004

// mostMargin is how much of the first listener's margin counts, 0.1024 nat.
const mostMargin = 3000

// Weigh chooses the sentence that both listeners together find likeliest, and
// tells what speaks for it. meaning maps a sentence to a key of what it means;
// answering says that a question is open. Without a second listener there is
// nothing to weigh: ok is false.
func (u Utterance) Weigh(meaning func(text string) string, answering bool) (text string, e confidence.Evidence, ok bool) {
	w := u.Second
	if w == nil {
		return u.Text, e, false
	}
	text = u.Text
	logP := w.Own
	if len(w.Sentences) > 0 {
		if best := w.Sentences[0]; u.Text == "" || best.LogP-w.Own > weightOfFirst*w.Fit {
			text, logP = best.Text, best.LogP
		}
	}
	if text == "" {
		return "", e, false
	}
	key := meaning(text)
	e = confidence.Evidence{
		Nothing: u.Text == "", Grammar: u.Scores.Grammar, Ratio: u.Scores.Ratio, WorstWord: u.Scores.WorstWord, Margin: u.Scores.NumberMargin,
		SNR: u.Scores.SNR, Clipped: u.Scores.Clipped, Covered: u.Scores.Covered, Words: len(strings.Fields(text)),
		LogP: logP, Lead: math.Inf(1), Free: w.FreeLogP - logP, Apart: apart(text, w.Free), Answering: answering,
	}
	e.Agree = u.Text != "" && len(w.Sentences) > 0 && meaning(u.Text) == meaning(w.Sentences[0].Text)
	if text != u.Text && !e.Agree {
		e.Fit = w.Fit
	}
	for _, c := range w.Sentences {
		if meaning(c.Text) != key {
			e.Lead = logP - c.LogP
			if text == u.Text && !math.IsInf(u.Scores.NumberMargin, 0) {
				e.Lead += weightOfFirst * max(-mostMargin, min(mostMargin, u.Scores.NumberMargin))
			}
			break
		}
	}
	return text, e, true
}

// apart is how many words two texts differ by, as a share of the first's.
func apart(text, other string) float64 {
	a, b := strings.Fields(text), strings.Fields(other)
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i, x := range a {
		diagonal := row[0]
		row[0] = i + 1
		for j, y := range b {
			change := diagonal
			if x != y {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = slices.Min([]int{change, row[j] + 1, row[j+1] + 1})
		}
	}
	return float64(row[len(b)]) / float64(max(len(a), 1))
}
