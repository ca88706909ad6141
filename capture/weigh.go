package capture

import (
	"math"
	"strings"

	"downlead/capture/confidence"
	"downlead/capture/hear"
)

// Weigh chooses the sentence that both listeners together find likeliest, and
// tells what speaks for it. meaning maps a sentence to a key of what it means in
// the conversation, "" where it says nothing there, as "the" does: such a sentence is no
// rival of one that says something. answering says that a question is open.
// Without a second listener there is nothing to weigh: ok is false.
func (u Utterance) Weigh(meaning func(text string) string, answering bool) (text string, e confidence.Evidence, ok bool) {
	w := u.Second
	if w == nil {
		return u.Text, e, false
	}
	first := hear.Candidate{Text: u.Text, LogP: w.Own}
	chosen := first
	second, heard := w.best(u.Text, meaning)
	// Fit is against the very first of the sentences.
	if heard && (u.Text == "" || second == w.Sentences[0] && second.Score()-first.Score() > confidence.Nats*w.Fit) {
		chosen = second
	}
	text = chosen.Text
	if text == "" {
		return "", e, false
	}
	same := func(a, b string) bool {
		key := meaning(a)
		return a == b || key != "" && key == meaning(b)
	}
	e = confidence.Evidence{
		Nothing: u.Text == "", Grammar: u.Scores.Grammar, Ratio: u.Scores.Ratio, WorstWord: u.Scores.WorstWord, Margin: u.Scores.NumberMargin,
		Covered: u.Scores.Covered, Words: len(strings.Fields(text)), Empty: meaning(text) == "",
		Agree: u.Text != "" && heard && same(u.Text, second.Text), Says: same(w.Free, text),
		LogP: chosen.LogP, Lead: math.Inf(1), Free: w.FreeLogP - chosen.LogP, Far: lettersApart(w.Free, text), SNR: u.Scores.SNR, Clipped: u.Scores.Clipped, Answering: answering,
	}
	if !same(u.Text, text) {
		e.Margin = -w.Fit
	}
	for _, c := range w.Sentences {
		if !same(c.Text, text) && (e.Empty || meaning(c.Text) != "") {
			e.Lead = chosen.Score() - c.Score()
			break
		}
	}
	if math.IsInf(e.Margin, 1) && !math.IsInf(e.Lead, 1) {
		e.Margin = 0 // the first listener lost every rival on the way: that says nothing
	}
	return text, e, true
}

// best is the sentence that the second listener finds likeliest. Where the first
// one heard something that says something, so must it.
func (w *Witness) best(first string, meaning func(text string) string) (c hear.Candidate, ok bool) {
	if len(w.Sentences) == 0 {
		return c, false
	}
	if first != "" && meaning(first) != "" {
		for _, c := range w.Sentences {
			if meaning(c.Text) != "" {
				return c, true
			}
		}
	}
	return w.Sentences[0], true
}

// lettersApart is how many letters have to change, go or come to make one text of the
// other, as a share of the letters of the sentence: "dishpests" is 2 of 8 from "dish pass".
func lettersApart(free, sentence string) float64 {
	a, b := []rune(strings.ReplaceAll(free, " ", "")), []rune(strings.ReplaceAll(sentence, " ", ""))
	return float64(confidence.Distance(a, b)) / float64(max(len(b), 1))
}
