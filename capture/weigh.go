package capture

import (
	"math"
	"strings"

	"downlead/capture/confidence"
	"downlead/capture/hear"
)

// weightOfFirst is how many nats of the second listener's a unit of the first
// one's acoustic score, 0.1024 nat, is worth where they heard different
// sentences.
const weightOfFirst = 0.004

// Weigh chooses the sentence that both listeners together find likeliest, and
// tells what speaks for it. meaning maps a sentence to a key of what it means;
// answering says that a question is open. Without a second listener there is
// nothing to weigh: ok is false.
func (u Utterance) Weigh(meaning func(text string) string, answering bool) (text string, e confidence.Evidence, ok bool) {
	w := u.Second
	if w == nil {
		return u.Text, e, false
	}
	own := hear.Candidate{Text: u.Text, LogP: w.Own}
	if len(w.Sentences) > 0 {
		if best := w.Sentences[0]; u.Text == "" || best.Score()-own.Score() > weightOfFirst*w.Fit {
			own = best
		}
	}
	text = own.Text
	if text == "" {
		return "", e, false
	}
	key := meaning(text)
	e = confidence.Evidence{
		Nothing: u.Text == "", Grammar: u.Scores.Grammar, Ratio: u.Scores.Ratio, WorstWord: u.Scores.WorstWord, Margin: u.Scores.NumberMargin,
		Covered: u.Scores.Covered, Words: len(strings.Fields(text)),
		LogP: own.LogP, Lead: math.Inf(1), Free: w.FreeLogP - own.LogP, Answering: answering,
	}
	e.Agree = u.Text != "" && len(w.Sentences) > 0 && meaning(u.Text) == meaning(w.Sentences[0].Text)
	if meaning(u.Text) != key {
		e.Margin = -w.Fit
	}
	for _, c := range w.Sentences {
		if meaning(c.Text) != key {
			e.Lead = own.Score() - c.Score()
			break
		}
	}
	return text, e, true
}
