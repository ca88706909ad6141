package confidence

import "math"

// Evidence is what is known of an utterance, given the sentence that would be
// stored. Log-probabilities are natural; acoustic scores are in 0.1024 nat.
type Evidence struct {
	// Of the first listener. Grammar, Ratio and WorstWord are those of its own
	// sentence; Nothing: it heard none. Margin is how much better the sentence
	// fits than the best one of another meaning, +Inf where there is none.
	Nothing                                    bool
	Grammar, Ratio, WorstWord, Margin, Covered float64
	Words                                      int // of the sentence

	// Of the second listener. Agree: both heard the same meaning. LogP is of the
	// sentence, Lead how far it is ahead of the likeliest sentence of another
	// meaning, +Inf where there is none, and Free how much likelier its free text is.
	Agree            bool
	LogP, Lead, Free float64

	Answering bool // a question is open
}

// featureNames are the names of the features, in their order. They are few: each
// must earn its place from some hundred utterances. The first listener's scores
// by themselves, noise and loudness tell voices apart more than right from
// wrong, and did harm with voices that the table was not fitted to.
func featureNames() []string {
	return []string{"one", "agree", "lead", "agree_lead", "margin", "free_word", "ratio", "logp_word", "covered", "few_words", "answering"}
}

// features are the evidence in numbers of about -3 to 3.
func (e Evidence) features() []float64 {
	flag := func(b bool) float64 {
		if b {
			return 1
		}
		return 0
	}
	lead, margin, words := e.Lead, e.Margin, float64(e.Words)
	if math.IsInf(e.LogP, -1) { // hopeless for the second listener: nobody looked for a rival
		lead = math.Inf(-1)
		if math.IsInf(margin, 1) {
			margin = 0
		}
	}
	if e.Nothing {
		margin = -500
	}
	lead = clip(lead, -12, 12) / 4
	return []float64{
		1, flag(e.Agree), lead, flag(e.Agree) * lead, math.Asinh(clip(margin, -3000, 6000) / 300),
		clip(e.Free/(words+1), -1, 3), (clip(e.Ratio, -60, 0) + 25) / 10,
		clip(e.LogP/(words+1), -6, 0), 2*clip(e.Covered, 0.3, 1) - 2, 1 / max(words, 1), flag(e.Answering),
	}
}

// clip holds a figure between two others; one that is none is the lower.
func clip(v, low, high float64) float64 {
	if math.IsNaN(v) {
		return low
	}
	return math.Max(low, math.Min(high, v))
}
