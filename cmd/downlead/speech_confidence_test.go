package main

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"downlead/capture"
	"downlead/capture/hear"
	audio "downlead/capture/sound"
	"downlead/grammar"
)

// The two halves of the confidence measurement share no speaker, no noise and
// no sentence.
func halfVoices(half string) []string {
	if half == "fit" {
		return []string{"flite slt", "flite kal16", "festival kal_diphone", "festival cmu_us_slt_arctic_hts"}
	}
	voices := []string{"flite rms", "flite awb"}
	if os.Getenv("DOWNLEAD_VOICE") != "" {
		voices = append(voices, "neural")
	}
	return voices
}

// halfTexts are the sentences of a half, n of them.
func halfTexts(half string, n int, seed uint64) []string {
	var out []string
	known := map[string]bool{}
	for _, text := range fieldPhrases(4*n, seed) {
		s := said{text: text}
		if s.chosen() == (half == "fit") && !known[text] && len(out) < n {
			known[text] = true
			out = append(out, text)
		}
	}
	return out
}

// confidenceMaterial is the recordings of both halves, so many phrases a cell,
// in an order that mixes everything: whoever stops early has some of all.
func confidenceMaterial(t *testing.T, cell int) []said {
	t.Helper()
	var out []said
	for seed, half := range []string{"fit", "report"} {
		voices := halfVoices(half)
		r := rand.New(rand.NewPCG(uint64(seed), 77))
		babble := babbleOf(t, half)
		say := func(text, noise, how string, db float64, answer bool) {
			voice := voices[r.IntN(len(voices))]
			if how == "faster" || how == "slower" || how == "higher" || answer { // the neural voice speaks at one speed
				voice = voices[r.IntN(min(len(voices), 2))]
			}
			stretch := []float64{1, 0.9, 1.15}[r.IntN(3)]
			switch how {
			case "faster":
				stretch = 0.8
			case "slower":
				stretch = 1.25
			case "higher":
				stretch = math.Pow(2, 3.0/12)
			}
			row := noise
			if db > 0 {
				row = fmt.Sprintf("%s %.0f dB", noise, db)
			}
			salt := r.Uint64()
			out = append(out, said{
				id: half, text: text, voice: voice, noise: row, answer: answer,
				sound: func(t testing.TB) []int16 {
					clean := changed(voiced(t, voice, text, stretch), how)
					if db == 0 {
						return padded(clean)
					}
					rr := rand.New(rand.NewPCG(salt, uint64(seed)))
					n := noiseBefore + len(clean) + noiseAfter
					sound := workNoise(rr, noise, n)
					if sound == nil {
						sound = makeNoise(rr, noise, n, babble)
					}
					return mix(clean, sound, db)
				},
			})
		}
		texts := halfTexts(half, cell*30, uint64(2030+seed))
		next := func() string {
			text := texts[0]
			texts = append(texts[1:], text)
			return text
		}
		for range 6 * cell {
			say(next(), "quiet", "", 0, false)
		}
		for _, noise := range everyNoise() {
			for _, db := range []float64{20, 15, 10} {
				for range cell {
					say(next(), noise, "", db, false)
				}
			}
		}
		for _, how := range otherwise() {
			for range cell {
				say(next(), how, how, 0, false)
			}
		}
		answers := answerPhrases()
		for i := range 2 * cell {
			say(answers[(2*i+seed)%len(answers)], "quiet", "", 0, true)
		}
		out = append(out, halfSpeech(t, half, cell)...)
	}
	r := rand.New(rand.NewPCG(9, 9))
	r.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}

// halfSpeech is speech that is no phrase: prompts by a person, chat and near
// misses by the half's voices.
func halfSpeech(t *testing.T, half string, cell int) []said {
	var out []said
	keep := func(list []said, n int) {
		for _, s := range list {
			if s.chosen() == (half == "fit") && n > 0 {
				n--
				s.id, s.noise = half, "speech"
				out = append(out, s)
			}
		}
	}
	keep(humanPrompts(400), 8*cell)
	keep(humanDescriptions(), 8*cell)
	voices := halfVoices(half)
	for _, file := range []string{"chat", "near"} {
		var own []said
		for i, s := range unphrases(t, file, 1) {
			text := strings.TrimPrefix(s.id, voiceOf(s.id))
			voice := voices[i%min(len(voices), 2)]
			own = append(own, said{id: text, voice: file, sound: func(t testing.TB) []int16 { return padded(voiced(t, voice, text, 1)) }})
		}
		keep(own, 4*cell)
	}
	return out
}

// voiceOf is the voice that an id of unphrases begins with.
func voiceOf(id string) string {
	for _, voice := range voiceNames() {
		if strings.HasPrefix(id, voice) {
			return voice
		}
	}
	return ""
}

// babbleOf is the voices of a half behind the speaker: people's prompts, other
// ones in either half.
func babbleOf(t *testing.T, half string) []int16 {
	var out []int16
	for i, s := range humanPrompts(48) {
		if (i%2 == 0) == (half == "fit") {
			sound := s.sound(t)
			out = append(out, sound[audio.Rate:len(sound)-audio.Rate]...)
		}
	}
	return out
}

// testified is one utterance in the log of the measurement.
type testified struct {
	Half, Text, Voice, Noise string
	Answer                   bool
	Part, Parts              int // which stretch of the recording it is, of how many
	Heard                    string
	Seconds                  float64
	Scores                   capture.Scores
	Margin                   float64 // 1e6 for no rival
	Right                    bool    // what the first listener heard
	Second                   *capture.Witness
	Rights                   []bool   // which of Second.Sentences are right
	Meanings                 []string // of Heard, then of Second.Sentences
	Keeps                    []bool   // whether a journal would keep it: likewise
}

// TestSpeechWitness writes what both listeners make of the material to the
// file that DOWNLEAD_WITNESS names, an object a line; DOWNLEAD_CELL is how many
// phrases a cell. Confidence is fitted to it.
func TestSpeechWitness(t *testing.T) {
	path := os.Getenv("DOWNLEAD_WITNESS")
	if path == "" {
		t.Skip("DOWNLEAD_WITNESS names no file")
	}
	cell := 2
	_, _ = fmt.Sscan(os.Getenv("DOWNLEAD_CELL"), &cell)
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	second := capture.OpenSecond(hear.Folder())
	defer second.Close()
	if err := second.Wait(); err != nil {
		t.Skip(err)
	}
	work := make(chan said)
	var mu sync.Mutex
	var group sync.WaitGroup
	for range 2 {
		e := newEarBeside(t, second)
		group.Go(func() {
			for s := range work {
				var lines []byte
				for _, line := range e.testify(t, s) {
					b, err := json.Marshal(line)
					if err != nil {
						t.Error(err)
					}
					lines = append(append(lines, b...), '\n')
				}
				mu.Lock()
				if _, err := f.Write(lines); err != nil {
					t.Error(err)
				}
				mu.Unlock()
			}
		})
	}
	for _, s := range confidenceMaterial(t, cell) {
		work <- s
	}
	close(work)
	group.Wait()
}

// testify hears a recording with both listeners.
func (e *ear) testify(t *testing.T, s said) []testified {
	r := e.phrase
	if s.answer {
		r = e.answer
	}
	var out []testified
	for u, err := range capture.Listen(t.Context(), audio.FromSamples(s.sound(t)), r, capture.ListenConfig{}) {
		if err != nil {
			t.Error(err)
			return out
		}
		line := testified{
			Half: s.id, Text: s.text, Voice: s.voice, Noise: s.noise, Answer: s.answer, Part: len(out), Heard: u.Text,
			Seconds: (u.End - u.Start).Seconds(), Scores: u.Scores, Margin: min(u.Scores.NumberMargin, 1e6), Second: u.Second,
		}
		texts := []string{u.Text}
		if u.Second != nil {
			u.Second.Own = max(u.Second.Own, -1e3)
			for _, c := range u.Second.Sentences {
				texts = append(texts, c.Text)
				line.Rights = append(line.Rights, s.text != "" && e.same(s, c.Text))
			}
		}
		for _, text := range texts {
			line.Meanings = append(line.Meanings, e.parser.Meaning(text))
			line.Keeps = append(line.Keeps, e.keeps(text))
		}
		line.Right = s.text != "" && u.Text != "" && e.same(s, u.Text)
		out = append(out, line)
	}
	if len(out) == 0 {
		out = []testified{{Half: s.id, Text: s.text, Voice: s.voice, Noise: s.noise, Answer: s.answer}}
	}
	for i := range out {
		out[i].Parts = len(out)
	}
	return out
}

// newEarBeside is an ear with a second listener.
func newEarBeside(t *testing.T, second *capture.Second) *ear {
	t.Helper()
	p, err := grammar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	e := &ear{parser: p, limits: capture.DefaultThresholds()}
	open := func(f grammar.Focus) *capture.Recogniser {
		r, err := capture.NewRecogniser(capture.Config{
			JSGF: e.parser.JSGF(f), Pronunciations: e.parser.Pronunciations(nil), Meaning: e.parser.Meaning, Rivals: e.parser.Rivals, Second: second,
		})
		if err != nil {
			t.Skip(err)
		}
		t.Cleanup(func() { r.Close() })
		return r
	}
	e.phrase, e.answer = open(grammar.Focus{}), open(grammar.Focus{Answers: true})
	return e
}

// neuralVoice is a text by the voice whose sounds lie in the folder that
// DOWNLEAD_VOICE names, a WAV file a text; its name is the text.
func neuralVoice(t testing.TB, text string) []int16 {
	t.Helper()
	return readSound(t, filepath.Join(os.Getenv("DOWNLEAD_VOICE"), strings.ReplaceAll(text, " ", "_")+".wav"))
}

// TestSpeechHalves holds the halves apart.
func TestSpeechHalves(t *testing.T) {
	for _, text := range halfTexts("fit", 200, 2030) {
		if slices.Contains(halfTexts("report", 200, 2031), text) {
			t.Errorf("%q is in both halves", text)
		}
	}
	for _, voice := range halfVoices("fit") {
		if slices.Contains(halfVoices("report"), voice) {
			t.Errorf("%q speaks in both halves", voice)
		}
	}
}
