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
	second, heard := w.best(u.Text, meaning)
	chosen := u.likeliest(second, heard)
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
		e.Margin = -u.behind(text)
	}
	e.Spoken = w.Spoken != "" && same(w.Spoken, text)
	e.PhonemeFit, e.PhonemeLead = w.outOf(text, same, func(text string) bool { return e.Empty || meaning(text) != "" })
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

// likeliest is the sentence that both listeners and the phonemes together find
// likeliest, of the three that each by itself does.
func (u Utterance) likeliest(second hear.Candidate, heard bool) hear.Candidate {
	w := u.Second
	options := []hear.Candidate{{Text: u.Text, LogP: w.Own}, {Text: w.Spoken, LogP: w.logP(w.Spoken)}}
	if heard {
		options = append(options, second)
	}
	// A sentence that the second listener lost on its way is that far behind.
	const lost, phonemeWeight = 15, 0.4
	least := -math.MaxFloat64
	if len(w.Sentences) > 0 {
		least = w.Sentences[0].Score() - lost
	}
	var chosen hear.Candidate
	best := math.Inf(-1)
	for _, c := range options {
		score := max(c.Score(), least) + phonemeWeight*w.phonemeLogP(c.Text) - confidence.Nats*u.behind(c.Text)
		if c.Text != "" && score > best {
			chosen, best = c, score
		}
	}
	return chosen
}

// behind is how much worse a sentence fits than the utterance's text for the first listener, 0.1024
// nat in all, as far as it was compared.
func (u Utterance) behind(text string) float64 {
	const far, unknown = 6000, 600
	w := u.Second
	switch {
	case u.Text == "" || text == u.Text:
		return 0
	case len(w.Sentences) > 0 && text == w.Sentences[0].Text:
		return max(-far, min(far, w.Fit))
	case text == u.Rival:
		return max(-far, min(far, u.Scores.NumberMargin))
	}
	return max(0, min(unknown, u.Scores.NumberMargin))
}

// phonemeLogP is how well a sentence's phonemes fit, against the likeliest ones, nats.
func (w *Witness) phonemeLogP(text string) float64 { return max(logPOf(w.Phonemes, text), unspoken) }

// unspoken is for a sentence whose phonemes do not fit at all, nats.
const unspoken = -60

// outOf is how well a sentence's phonemes fit, and how far they are ahead of the nearest
// sentence's that means something else and counts.
func (w *Witness) outOf(text string, same func(a, b string) bool, counts func(string) bool) (fit, lead float64) {
	if len(w.Phonemes) == 0 {
		return 0, 0
	}
	fit, rival := unspoken, math.Inf(-1)
	for _, c := range w.Phonemes {
		switch {
		case same(c.Text, text):
			fit = max(fit, c.LogP)
		case math.IsInf(rival, -1) && counts(c.Text):
			rival = c.LogP
		}
		if fit > unspoken && !math.IsInf(rival, -1) {
			break
		}
	}
	return fit, fit - rival
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
