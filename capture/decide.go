package capture

import "math"

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
// them. The defaults were chosen on some 1300 field phrases of six synthetic
// voices and 33 human numbers in quiet, 300 phrases in wind, pink noise and babble
// and 457 in wind, 276 clips of human prompts, chat and near misses, and 3145 clips
// of a spoken story and descriptions, two hours (of these, eight of up to three
// words would be let through without ShortGrammar and ShortRatio). In quiet a
// rival may fit better than what was heard, as "minus twenty eight" does where the
// end of "minus twenty" rings on: of 18 such that both further decodes bore out,
// none was wrong; in wind two were. Noise takes or adds a word with good scores:
// in it everything is asked about. Scores are in 0.1024 nat a frame.
type Thresholds struct {
	Grammar     float64 `toml:"grammar" json:"grammar"`           // at least this to be accepted
	Ratio       float64 `toml:"ratio" json:"ratio"`               // at least this to be accepted
	WorstWord   float64 `toml:"worst_word" json:"worst_word"`     // at least this to be accepted
	Margin      float64 `toml:"margin" json:"margin"`             // NumberMargin at least this to be accepted, 0.1024 nat
	QuietSNR    float64 `toml:"quiet_snr" json:"quiet_snr"`       // dB, from here on QuietMargin will do
	QuietMargin float64 `toml:"quiet_margin" json:"quiet_margin"` // 0.1024 nat
	SNR         float64 `toml:"snr" json:"snr"`                   // dB, at least this to be accepted
	// Up to three words are little evidence of a phrase: these go for them, and
	// Ratio must be two more for two words, and four for one.
	ShortGrammar float64 `toml:"short_grammar" json:"short_grammar"`
	ShortRatio   float64 `toml:"short_ratio" json:"short_ratio"`
	ShortCovered float64 `toml:"short_covered" json:"short_covered"`
	Covered      float64 `toml:"covered" json:"covered"` // at least this fraction, or it is no phrase
	Clipped      float64 `toml:"clipped" json:"clipped"` // at most this fraction to be accepted

	AskGrammar   float64 `toml:"ask_grammar" json:"ask_grammar"`       // at least this to be asked about
	AskRatio     float64 `toml:"ask_ratio" json:"ask_ratio"`           // at least this to be asked about
	AskWorstWord float64 `toml:"ask_worst_word" json:"ask_worst_word"` // at least this to be asked about

	DoubtMargin  float64 `toml:"doubt_margin" json:"doubt_margin"`   // below this an accepted phrase is worth a Confirm, 0.1024 nat
	DoubtSNR     float64 `toml:"doubt_snr" json:"doubt_snr"`         // dB, likewise
	DoubtGrammar float64 `toml:"doubt_grammar" json:"doubt_grammar"` // likewise
	DoubtRatio   float64 `toml:"doubt_ratio" json:"doubt_ratio"`     // likewise
}

// DefaultThresholds are the measured ones.
func DefaultThresholds() Thresholds {
	return Thresholds{
		Grammar: -48, Ratio: -36, WorstWord: -80, Margin: 250, SNR: 26, Clipped: 0.01,
		QuietSNR: 40, QuietMargin: -400, ShortGrammar: -44, ShortRatio: -30, Covered: 0.6, ShortCovered: 0.75,
		AskGrammar: -55, AskRatio: -43, AskWorstWord: -100,
		DoubtMargin: 600, DoubtSNR: 40, DoubtGrammar: -40, DoubtRatio: -30,
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
	case s.Covered > 0 && s.Covered < t.covered(s):
		return Ignore
	case t.Clear(s) && s.NumberMargin >= t.margin(s) && s.SNR >= t.SNR && s.Clipped <= t.Clipped:
		return Accept
	}
	return Ask
}

// covered is the least Covered of a phrase.
func (t Thresholds) covered(s Scores) float64 {
	if s.Short() {
		return t.ShortCovered
	}
	return t.Covered
}

// margin is the least NumberMargin that is accepted.
func (t Thresholds) margin(s Scores) float64 {
	if s.SNR >= t.QuietSNR {
		return t.QuietMargin
	}
	return t.Margin
}

// Borne reports that further decodes leave an accepted phrase standing: both of
// them; or one, in quiet, of more than a few words that fit well, and by a margin.
func (t Thresholds) Borne(s Scores, e Evidence) bool {
	few := s.Short() && !math.IsInf(t.ShortRatio, -1)
	one := s.SNR >= t.QuietSNR && s.NumberMargin >= t.Margin && t.fits(s) && !few
	return e.Agrees() || one && len(e.Others) < e.Decodes
}

// fits reports that the words fit as well as those of nine phrases in ten do.
func (t Thresholds) fits(s Scores) bool {
	return s.Grammar >= t.DoubtGrammar && s.Ratio >= t.DoubtRatio
}

// Clear reports that the words stand out from other speech.
func (t Thresholds) Clear(s Scores) bool {
	grammar, ratio := t.Grammar, t.Ratio
	if s.Short() {
		fewer := 2 * float64(short-s.Words)
		grammar, ratio = max(grammar, t.ShortGrammar), max(ratio, t.ShortRatio+fewer)
	}
	return s.Grammar >= grammar && s.Ratio >= ratio && s.WorstWord >= t.WorstWord
}

// EvenShort are the thresholds where few words are no less believed than many.
func (t Thresholds) EvenShort() Thresholds {
	t.ShortGrammar, t.ShortRatio = math.Inf(-1), math.Inf(-1)
	return t
}

// short is how many words are few: other speech sounds like so many of any
// grammar soonest.
const short = 3

// Short reports few words.
func (s Scores) Short() bool { return 0 < s.Words && s.Words <= short }

// Doubt reports that Recogniser.Confirm is worth its time before an accepted
// phrase is believed: its margin is thin, there is noise, or the words fit less well.
func (t Thresholds) Doubt(s Scores) bool {
	return !(s.NumberMargin >= t.DoubtMargin && s.SNR >= t.DoubtSNR && t.fits(s))
}
