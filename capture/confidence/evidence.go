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
	Words                                      int  // of the sentence
	Empty                                      bool // it says nothing in the conversation, as "the" does

	// Of the second listener. Agree: both heard the same meaning. LogP is of the
	// sentence, Lead how far it is ahead of the likeliest sentence of another
	// meaning, +Inf where there is none, Free how much likelier its free text is,
	// and Far how far the letters of that are from the sentence's, as a share.
	// Says: the free text says the same by itself.
	Agree, Says           bool
	LogP, Lead, Free, Far float64

	// Of the phonemes that the second listener's encoder hears, whatever they say.
	// PhonemeFit is how likely the sentence's are against the likeliest, 0 at best, PhonemeLead how
	// far they are ahead of those of the nearest sentence of another meaning, +Inf where there is none, and Spoken
	// that of all sentences of the grammar theirs fit best.
	PhonemeFit, PhonemeLead float64
	Spoken                  bool

	SNR       float64 // dB, speech against the noise before it
	Clipped   float64 // share of samples at full scale
	Answering bool    // a question is open
}

// featureNames are the names of the features, in their order. They are few: each
// must earn its place from some hundred utterances.
func featureNames() []string {
	return []string{"one", "agree", "agree_lead", "joint", "logp_word", "free", "far", "ratio", "covered", "empty", "few_words", "quiet", "answering", "phoneme_lead", "phoneme_fit", "spoken", "all"}
}

// features are the evidence in numbers of about -3 to 4.
func (e Evidence) features() []float64 {
	flag := func(b bool) float64 {
		if b {
			return 1
		}
		return 0
	}
	words, lead := float64(e.Words), 0.0
	if e.Agree && e.LogP > hopeless {
		lead = clip(e.Lead, -12, 12) / 4
	}
	quiet := clip((e.SNR-10)/20, -0.25, 2)
	if e.Clipped > 0.002 { // then there is noise in the words themselves
		quiet = min(quiet, 0)
	}
	return []float64{
		1, flag(e.Agree), lead, e.joint() / 8, clip(e.LogP/(words+1), -6, 0), clip(e.Free, 0, 20) / math.Sqrt(words+1) / 2, clip(e.Far, 0, 1),
		(clip(e.Ratio, -60, 0) + 25) / 10, 2*clip(e.Covered, 0.3, 1) - 2, flag(e.Empty), 1 / max(words, 1),
		quiet, flag(e.Answering),
		clip(e.PhonemeLead, -12, 30) / 8, clip(e.PhonemeFit, -40, 0) / 12, flag(e.Spoken), flag(e.Spoken && e.Agree),
	}
}

// Named are the features by their names.
func (e Evidence) Named() map[string]float64 {
	out := map[string]float64{}
	for i, v := range e.features() {
		out[featureNames()[i]] = v
	}
	return out
}

// joint is how far the sentence is ahead of the nearest of another meaning for both
// listeners together, nats: the longer a sentence that nobody else can fill, the
// farther. What the second listener finds hopeless is far behind, whatever room
// the first one's grammar gave it.
func (e Evidence) joint() float64 {
	const far, most, behind, ahead = 12, 6000, -16, 30
	margin := e.Margin
	if e.Nothing {
		margin = -500
	}
	if !(e.LogP > hopeless) {
		return behind
	}
	return clip(clip(e.Lead, -far, far)+Nats*clip(margin, -most, most), behind, ahead)
}

// hopeless is a log-probability that the second listener gives no sentence that
// it followed to its end.
const hopeless = -900

// Nats is how many nats of the second listener's a unit of the first one's
// acoustic score, 0.1024 nat, is worth where they heard different sentences.
const Nats = 0.004

// clip holds a figure between two others; one that is none is the lower.
func clip(v, low, high float64) float64 {
	if math.IsNaN(v) {
		return low
	}
	return math.Max(low, math.Min(high, v))
}
