package confidence

import "math"

// Evidence is what is known of an utterance, given the sentence that would be
// stored. Log-probabilities are natural; acoustic scores are in 0.1024 nat.
type Evidence struct {
	// Of the first listener. Grammar, Ratio, WorstWord and Margin are those of
	// its own sentence; Nothing: it heard none.
	Nothing                           bool
	Grammar, Ratio, WorstWord, Margin float64
	SNR, Clipped, Covered             float64
	Words                             int // of the sentence

	// Of the second listener. Agree: both heard the same meaning. LogP is of the
	// sentence, Lead how far it is ahead of the likeliest sentence of another
	// meaning for both listeners together, +Inf where there is none, Free how much likelier the second's free text is, Apart the share
	// of words by which that text differs, and Fit how much better the
	// first listener's sentence fits than this one, where they differ.
	Agree                        bool
	LogP, Lead, Free, Apart, Fit float64

	Answering bool // a question is open
}

// featureNames are the names of the features, in their order. They are few: each
// must earn its place from some hundred utterances.
func featureNames() []string {
	return []string{"one", "agree", "agree_lead", "free", "apart", "ratio", "grammar", "margin", "logp_word", "covered", "few_words", "answering"}
}

// features are the evidence in numbers of about -3 to 3.
func (e Evidence) features() []float64 {
	flag := func(b bool) float64 {
		if b {
			return 1
		}
		return 0
	}
	margin := clip(e.Margin, -500, 1500)
	if e.Nothing {
		margin = -500
	}
	return []float64{
		1, flag(e.Agree), flag(e.Agree) * clip(e.Lead, -12, 12) / 4, clip(e.Free, -2, 20) / 5, clip(e.Apart, 0, 1.5),
		(clip(e.Ratio, -60, 0) + 25) / 10, (clip(e.Grammar, -70, -20) + 40) / 10, margin / 500,
		clip(e.LogP/float64(e.Words+1), -6, 0), 2*clip(e.Covered, 0.3, 1) - 2, 1 / float64(max(e.Words, 1)), flag(e.Answering),
	}
}

// clip holds a figure between two others; one that is none is the lower.
func clip(v, low, high float64) float64 {
	if math.IsNaN(v) {
		return low
	}
	return math.Max(low, math.Min(high, v))
}
