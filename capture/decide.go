package capture

// Outcome is what is to be done with an Utterance.
type Outcome int

// The outcomes.
const (
	Ignore Outcome = iota // not a phrase: other speech, noise
	Ask                   // perhaps a phrase: say it back and wait for yes or no
	Accept                // a phrase, as far as its sound goes
)

// String is the outcome's name in machine forms.
func (o Outcome) String() string {
	switch o {
	case Ask:
		return "ask"
	case Accept:
		return "accept"
	}
	return "ignore"
}

// Thresholds tell phrases from other sound; a configuration file may hold
// them. The defaults were chosen on 255 phrases of synthetic voices and 138 of
// human recordings (all but 2 and 0 kept) against 410 human clips of other
// speech, 90 chat sentences and 60 near misses (0, 0 and 1 let through); those
// for asking let through 4, 0 and 1. In babble and pink noise at 20 dB a phrase
// in fifteen gained words that nobody said, with good scores: under an SNR of
// 22 everything is asked about.
// Scores are in 0.1024 nat a frame.
type Thresholds struct {
	Grammar     float64 `toml:"grammar" json:"grammar"`           // at least this to be accepted
	Ratio       float64 `toml:"ratio" json:"ratio"`               // at least this to be accepted
	WorstWord   float64 `toml:"worst_word" json:"worst_word"`     // at least this to be accepted
	Margin      float64 `toml:"margin" json:"margin"`             // NumberMargin at least this to be accepted, 0.1024 nat
	QuietSNR    float64 `toml:"quiet_snr" json:"quiet_snr"`       // dB, from here on QuietMargin will do
	QuietMargin float64 `toml:"quiet_margin" json:"quiet_margin"` // 0.1024 nat
	SNR         float64 `toml:"snr" json:"snr"`                   // dB, at least this to be accepted
	Clipped     float64 `toml:"clipped" json:"clipped"`           // at most this fraction to be accepted

	AskGrammar   float64 `toml:"ask_grammar" json:"ask_grammar"`       // at least this to be asked about
	AskRatio     float64 `toml:"ask_ratio" json:"ask_ratio"`           // at least this to be asked about
	AskWorstWord float64 `toml:"ask_worst_word" json:"ask_worst_word"` // at least this to be asked about

	DoubtMargin float64 `toml:"doubt_margin" json:"doubt_margin"` // below this an accepted phrase is worth a Confirm, 0.1024 nat
	DoubtSNR    float64 `toml:"doubt_snr" json:"doubt_snr"`       // dB, likewise
}

// DefaultThresholds are the measured ones.
func DefaultThresholds() Thresholds {
	return Thresholds{
		Grammar: -48, Ratio: -36, WorstWord: -80, Margin: 150, SNR: 22, Clipped: 0.01,
		QuietSNR: 30, QuietMargin: 0,
		AskGrammar: -55, AskRatio: -43, AskWorstWord: -100,
		DoubtMargin: 600, DoubtSNR: 25,
	}
}

// Decide says what is to be done with an utterance of these scores: Accept
// when every score is good, Ignore when it is not speech of the grammar at
// all, Ask between. What the words mean, and whether they are plausible, is
// for the caller to ask about beyond this.
func (t Thresholds) Decide(s Scores) Outcome {
	switch {
	case !(s.Grammar >= t.AskGrammar && s.Ratio >= t.AskRatio && s.WorstWord >= t.AskWorstWord):
		return Ignore
	case t.Clear(s) && s.NumberMargin >= t.margin(s) && s.SNR >= t.SNR && s.Clipped <= t.Clipped:
		return Accept
	}
	return Ask
}

// margin is the least NumberMargin that is accepted.
func (t Thresholds) margin(s Scores) float64 {
	if s.SNR >= t.QuietSNR {
		return t.QuietMargin
	}
	return t.Margin
}

// Borne reports that further decodes leave an accepted phrase standing: both
// of them, or in quiet one, beside a margin.
func (t Thresholds) Borne(s Scores, e Evidence) bool {
	return e.Agrees() || s.SNR >= t.QuietSNR && s.NumberMargin >= t.Margin && len(e.Others) < e.Decodes
}

// Clear reports that the words stand out from other speech.
func (t Thresholds) Clear(s Scores) bool {
	return s.Grammar >= t.Grammar && s.Ratio >= t.Ratio && s.WorstWord >= t.WorstWord
}

// Doubt reports that Recogniser.Confirm is worth its time before an accepted
// phrase is believed: its margin is thin, or there is noise.
func (t Thresholds) Doubt(s Scores) bool {
	return !(s.NumberMargin >= t.DoubtMargin && s.SNR >= t.DoubtSNR)
}
