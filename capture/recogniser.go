package capture

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"math"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"time"

	"golang.org/x/sync/errgroup"

	"downlead/capture/hear/phoneme"
)

// DefaultModelDir is where Debian's pocketsphinx-en-us puts the speech model.
const DefaultModelDir = "/usr/share/pocketsphinx/model/en-us"

// ErrNoRecogniser is returned by a build without the recogniser library.
var ErrNoRecogniser = errors.New("this build has no speech recogniser: type instead, or on Linux apt-get install libpocketsphinx-dev pocketsphinx-en-us, then build without -tags novoice")

// ErrNoModel is wrapped by the error for a speech model that is missing or incomplete.
var ErrNoModel = errors.New("no speech model: apt-get install pocketsphinx-en-us, or set the model folder")

// Config is what a Recogniser is made from.
type Config struct {
	ModelDir       string // "": DefaultModelDir
	JSGF           string // the speech grammar, one public rule; every word in the dictionary or in Pronunciations
	Pronunciations string // extra dictionary lines, "word PH PH PH", one a line; "word(2)" adds a second way to say it

	// Meaning maps a text to a key of what it means, by which Confirm compares
	// decodes. nil takes the text itself.
	Meaning func(text string) string

	// Rivals lists the sentences that a text might have been instead, each of
	// another meaning; Scores.NumberMargin is the distance to the best of them,
	// found by a decode against these alone, and +Inf where there are none.
	// (The recogniser's own list of other hypotheses takes half a minute on a
	// grammar of thousands of states.)
	Rivals func(text string) []string
	// Completeness says whether words are a statement, and whether one may go on
	// after them: the beginnings of statements are heard too, so that nothing is
	// supplied to them. nil: only whole ones are.
	Completeness func(words string) (complete, mayGoOn bool)
	// Second hears every stretch beside the Recogniser; nil: nobody does.
	Second *Second
	// Options overrides options of the grammar decode, PhoneOptions those of
	// the phone decode, for measurements: "-beam": "1e-60".
	Options, PhoneOptions map[string]string
}

// Recogniser decodes stretches of speech. Its methods are safe for concurrent
// use and run one at a time; use one Recogniser a core to go faster.
type Recogniser struct {
	cfg         Config
	phoneStates int // how many of the model's states are of plain phones

	mu      sync.Mutex
	scores  *scoreLog // of the stretch decoded last, or being decoded
	sounds  *engine   // writes the scores
	words   *engine   // grammar, by the scores
	phones  *engine   // plain phones, by the scores
	judge   *engine   // given sentences alone, by the scores
	again   *engine   // sound once more: grammar for Confirm, free speech, wake phrase
	loaded  map[string]bool
	closed  bool
	current string // name of the grammar search in use
	names   []string
	seconds map[string]grammars     // those that are kept, by name
	said    map[string]phoneme.Word // how words are said, as far as it was asked
}

// decoded is what the engine hears in one stretch.
type decoded struct {
	text   string
	score  int
	frames int // of 10 ms
	words  []decodedWord
}

type decodedWord struct {
	text        string
	first, last int // frames, both included
	acoustic    int // 0.1024 nat
}

// Names of the searches that a decoder holds.
const (
	phoneSearch = "phones"
	freeSearch  = "free"
	soundSearch = "sounds"
)

// frame is the recogniser's step.
const frame = 10 * time.Millisecond

// wordOptions are the settings of the grammar decode, each measured on noisy
// phrases: scores against all senones (else scores of different utterances
// cannot be compared), wide beams (babble), noise removal, cepstral mean over
// the whole stretch. Silence is not cut out, so that frames are times. What a
// word costs is the network's affair: -wip would cost silences too. A stretch of
// noise costs 30 nats, less than a word, silence 4.5.
func wordOptions() map[string]string {
	return map[string]string{
		"-compallsen": "yes", "-remove_noise": "yes", "-remove_silence": "no", "-cmn": "batch",
		"-beam": "1e-80", "-wbeam": "1e-60", "-pbeam": "1e-80",
		"-silprob": "0.5", "-fillprob": "0.01", "-wip": "1",
	}
}

// againOptions are those of Confirm, whose scores nobody reads.
func againOptions() map[string]string {
	options := wordOptions()
	options["-compallsen"] = "no"
	return options
}

// settings are those of the grammar decode that usualSettings change.
func (r *Recogniser) settings() map[string]float64 {
	all := wordOptions()
	maps.Copy(all, r.cfg.Options)
	settings := map[string]float64{}
	for option := range usualSettings() {
		settings[option], _ = strconv.ParseFloat(all[option], 64) // the library has taken it already
	}
	return settings
}

// phoneOptions are the settings of the decode against plain phones. Its
// scores are against the phones alone, not against all senones: that is what
// the thresholds of Scores.Ratio were measured with.
func phoneOptions() map[string]string {
	return map[string]string{
		"-remove_noise": "yes", "-remove_silence": "no", "-cmn": "batch",
		"-allphone_ci": "yes", "-lw": "2.0", "-beam": "1e-20", "-pbeam": "1e-20",
	}
}

// NewRecogniser loads the speech model and the grammar; it takes about half a
// second. Errors: ErrNoRecogniser, ErrNoModel, a damaged model, a word that
// has no pronunciation, a grammar that does not compile. Close it after use.
func NewRecogniser(cfg Config) (*Recogniser, error) {
	if cfg.ModelDir == "" {
		cfg.ModelDir = DefaultModelDir
	}
	if cfg.Meaning == nil {
		cfg.Meaning = func(text string) string { return text }
	}
	phoneStates, err := checkModel(cfg.ModelDir)
	if err != nil {
		return nil, err
	}
	r := &Recogniser{cfg: cfg, phoneStates: phoneStates, loaded: map[string]bool{}, seconds: map[string]grammars{}, said: map[string]phoneme.Word{}}
	noise, laid, err := noiseOptions(cfg.ModelDir)
	if err != nil {
		return nil, err
	}
	defer laid()
	maps.Copy(noise, cfg.Options)
	dict := []string{"-dict", filepath.Join(cfg.ModelDir, "cmudict-en-us.dict")}
	if r.scores, err = newScoreLog(); err != nil {
		return nil, err
	}
	var load errgroup.Group
	open := func(to **engine, options ...string) {
		load.Go(func() (err error) {
			*to, err = openEngine(options)
			return err
		})
	}
	open(&r.words, append(r.options(wordOptions(), noise), dict...)...)
	open(&r.again, append(r.options(againOptions(), noise), dict...)...)
	open(&r.judge, r.options(wordOptions(), noise)...)
	written := maps.Clone(noise)
	maps.Copy(written, r.scores.options())
	open(&r.sounds, r.options(wordOptions(), written)...)
	load.Go(func() (err error) {
		r.phones, err = openEngine(r.options(phoneOptions(), cfg.PhoneOptions))
		if err == nil {
			err = r.phones.setPhones(phoneSearch, filepath.Join(cfg.ModelDir, "en-us-phone.lm.bin"))
		}
		return err
	})
	err = load.Wait()
	if err != nil {
		r.Close()
		return nil, fmt.Errorf("load speech model %s: %w", cfg.ModelDir, err)
	}
	if err = r.addWords(cfg.Pronunciations); err == nil {
		err = r.sounds.hearAnything(r.words)
	}
	if err == nil && cfg.JSGF != "" {
		err = r.SetGrammar(cfg.JSGF)
	}
	if err != nil {
		r.Close()
		return nil, err
	}
	return r, nil
}

// options lists options for the library, with the caller's over ours.
func (r *Recogniser) options(options, over map[string]string) []string {
	maps.Copy(options, over)
	list := []string{"-hmm", filepath.Join(r.cfg.ModelDir, "en-us")}
	for k, v := range options {
		list = append(list, k, v)
	}
	return list
}

func (r *Recogniser) addWords(lines string) error {
	for line := range strings.Lines(lines) {
		fields := strings.Fields(line)
		switch {
		case len(fields) == 0:
			continue
		case len(fields) == 1:
			return fmt.Errorf("pronunciation of %q has no sounds: write the word and then its sounds, as in \"dish D IH SH\"", fields[0])
		}
		if r.words.hasWord(fields[0]) {
			continue
		}
		for _, e := range []*engine{r.words, r.again} {
			if err := e.addWord(fields[0], strings.Join(fields[1:], " ")); err != nil {
				return fmt.Errorf("pronunciation of %q: %w", fields[0], err)
			}
		}
	}
	return nil
}

// Recognise decodes one stretch of speech against the grammar and, beside it, by the
// same scores of its sounds, against plain phones. Times in the result count from the first
// sample. A stretch in which nothing fits gives an Utterance with no Text.
// The samples are kept in the result, not copied.
func (r *Recogniser) Recognise(ctx context.Context, samples []int16) (Utterance, error) {
	return r.recognise(ctx, samples, r.cfg.Rivals)
}

// recognise is Recognise with other rivals; nil: none.
func (r *Recogniser) recognise(ctx context.Context, samples []int16, rivals func(text string) []string) (Utterance, error) {
	if err := ctx.Err(); err != nil {
		return Utterance{}, err
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	switch {
	case r.closed:
		return Utterance{}, errClosed
	case r.current == "":
		return Utterance{}, errors.New("recognise: no grammar is set")
	}
	words, phones, err := r.decode(ctx, samples)
	if err != nil {
		return Utterance{}, err
	}
	u := r.beside(words, phones, samples)
	if rivals == nil || u.Text == "" {
		return u, nil
	}
	if err := ctx.Err(); err != nil {
		return u, err
	}
	return u, r.compare(ctx, &u, rivals(u.Text))
}

// beside is the utterance of a decode with the phones of the same stretch.
func (r *Recogniser) beside(words, phones decoded, samples []int16) Utterance {
	u := r.utterance(words, samples)
	u.clean, u.acoustic, u.phones = samples, words.acoustic(), phones
	u.Scores.Ratio = u.Scores.Grammar - phoneScore(phones, words)
	u.ratios(phones, words)
	if u.Text == "" {
		u.Scores.Ratio = math.Inf(-1)
	}
	return u
}

// acoustic is the score of the whole path, silences with it.
func (d decoded) acoustic() int {
	sum := 0
	for _, w := range d.words {
		sum += w.acoustic
	}
	return sum
}

var errClosed = errors.New("the recogniser is closed")

// Close frees the model. A closed Recogniser gives errors.
func (r *Recogniser) Close() error {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.closed = true
	for _, e := range []*engine{r.sounds, r.words, r.phones, r.judge, r.again} {
		if e != nil {
			e.close()
		}
	}
	if r.scores != nil {
		r.scores.close()
		r.scores = nil
	}
	return nil
}
