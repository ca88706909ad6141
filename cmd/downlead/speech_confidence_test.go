package main

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"

	"downlead/capture"
	"downlead/capture/hear"
	audio "downlead/capture/sound"
	"downlead/cmd/downlead/dialogue"
	"downlead/grammar"
)

// The two halves of the confidence measurement share no speaker, no noise and
// no sentence.
func halfVoices(half string) []string {
	if half == "fit" {
		return []string{"flite slt", "flite kal16", "festival ked_diphone", "festival cmu_us_slt_arctic_hts"}
	}
	return []string{"flite rms", "flite awb", "piper joe"}
}

// halfTexts are the sentences of a half, n of them: two in three of
// fieldPhrases, the others of the rest of a call.
func halfTexts(half string, n int, seed uint64) []string {
	var out []string
	known := map[string]bool{}
	r := rand.New(rand.NewPCG(seed, 2))
	for _, text := range fieldPhrases(8*n, seed) {
		if r.IntN(3) == 0 {
			text = callPhrase(r)
		}
		s := said{text: text}
		if s.chosen() == (half == "fit") && !known[text] && len(out) < n {
			known[text] = true
			out = append(out, text)
		}
	}
	return out
}

// callPhrase invents what is said on a call besides readings of one figure.
func callPhrase(r *rand.Rand) string {
	pick := func(list ...string) string { return list[r.IntN(len(list))] }
	number := func(from, to int) string { return numberWords(from + r.IntN(to-from+1)) }
	digits := func() string {
		return strings.Join([]string{numberWords(1 + r.IntN(9)), number(1, 9), number(1, 9), number(1, 9)}, " ")
	}
	point := pick("behind receiver one", "behind receiver two", "wall plate receiver side", "ground block receiver side", "splitter output one", "tap dish side", "bedroom wall plate")
	part := pick("ground block", "splitter", "jumper", "wall plate", "barrel", "diplexer", "receiver two", "fitting at the wall plate", "tap")
	switch r.IntN(9) {
	case 0:
		return pick("dish", "mount", "cabling", "components", "grounding", "outlet", "input test", "education") + " " + pick("pass", "fail", "done", "good", "not applicable")
	case 1:
		return pick("replaced", "removed", "tightened", "re terminated", "added") + " " + part
	case 2:
		return "used " + pick("one", "two", "three", "four") + " " + pick("fittings", "barrels", "jumpers", "splitters")
	case 3:
		return pick("drove "+number(2, 60)+" miles", "start job "+digits(), "work code "+number(1, 40), "threshold "+number(50, 90), "input test "+pick("pass", "fail")+" receiver "+pick("one", "two", "three"))
	case 4:
		return pick("arrived", "leaving", "on the road", "lunch", "what next", "where is the fault", "what is missing", "read back", "scratch that", "close job", "resume", "pause")
	case 5:
		return fmt.Sprintf("%s %s minus %s strength %s", point, pick("pass", "fail"), number(20, 70), number(5, 99))
	case 6:
		return fmt.Sprintf("path dish %s feet ground block %s feet %s wall plate receiver one", numberWords(10*(1+r.IntN(9))), numberWords(10*(1+r.IntN(9))), pick("two way splitter", "barrel", "tap", "diplexer"))
	case 7:
		return pick("correct that minus "+number(20, 70), "make that "+pick("pass", "fail"), "receiver two on splitter output "+pick("two", "three")+" "+pick("bedroom", "kitchen", "office")+" "+numberWords(10*(1+r.IntN(9)))+" feet")
	}
	return pick("complaint no picture in the "+pick("bedroom", "kitchen", "living room", "office"), point, point+" "+pick("good", "bad", "no signal", "weak"))
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
				key: fmt.Sprintf("%s|%s|%.2f|%s|%x", half, voice, stretch, row, salt), id: half, text: text, voice: voice, noise: row, answer: answer,
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
				s.key, s.id, s.noise = half+"|"+s.id, half, "speech"
				out = append(out, s)
			}
		}
	}
	if half == "fit" {
		keep(humanPrompts(400), 16*cell)
	} else {
		keep(humanDescriptions(), 16*cell)
	}
	voices := halfVoices(half)[:2]
	for _, file := range []string{"chat", "near"} {
		var own []said
		for i, s := range unphrases(t, file, 1) {
			text := strings.TrimPrefix(s.id, voiceOf(s.id))
			voice := voices[i%2]
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

// babbleOf is the voices of a half behind the speaker: one person's prompts, or
// several people's descriptions.
func babbleOf(t *testing.T, half string) []int16 {
	list := humanPrompts(24)
	if half != "fit" {
		list = humanDescriptions()
		list = list[:min(len(list), 24)]
	}
	var out []int16
	for _, s := range list {
		sound := s.sound(t)
		out = append(out, sound[audio.Rate:len(sound)-audio.Rate]...)
	}
	return out
}

// testified is one utterance in the log of the measurement.
type testified struct {
	Key                      string // of the recording
	Half, Text, Voice, Noise string
	Answer                   bool
	Part, Parts              int // which stretch of the recording it is, of how many
	Heard, Rival             string
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
	done := witnessed(path)
	f, err := os.OpenFile(path, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o644)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	second := secondOf(t)
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
		if !done[s.key] {
			work <- s
		}
	}
	close(work)
	group.Wait()
}

// witnessed are the recordings that a log holds.
func witnessed(path string) map[string]bool {
	done := map[string]bool{}
	b, _ := os.ReadFile(path)
	for line := range strings.Lines(string(b)) {
		var one struct{ Key string }
		if json.Unmarshal([]byte(line), &one) == nil {
			done[one.Key] = true
		}
	}
	return done
}

// testify hears a recording with both listeners.
func (e *ear) testify(t *testing.T, s said) []testified {
	r := e.phrase
	if s.answer {
		r = e.answer
	}
	var out []testified
	for u, err := range capture.Listen(t.Context(), audio.FromSamples(s.sound(t)), r, capture.ListenConfig{Endpoints: e.endpoints()}) {
		if err != nil {
			t.Error(err)
			return out
		}
		if u.Amends && len(out) > 0 {
			out = out[:len(out)-1]
		}
		line := testified{
			Key: s.key, Half: s.id, Text: s.text, Voice: s.voice, Noise: s.noise, Answer: s.answer, Part: len(out), Heard: u.Text, Rival: u.Rival,
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
		out = []testified{{Key: s.key, Half: s.id, Text: s.text, Voice: s.voice, Noise: s.noise, Answer: s.answer}}
	}
	for i := range out {
		out[i].Parts = len(out)
	}
	return out
}

// secondOf is the second listener; without it the test is skipped.
func secondOf(t *testing.T) *capture.Second {
	t.Helper()
	second := capture.OpenSecond(hear.Folder())
	t.Cleanup(second.Close)
	if err := second.Wait(); err != nil {
		t.Skip(err)
	}
	return second
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
			Completeness: func(words string) (bool, bool) { return e.parser.Completeness(words, false) },
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

// endpoints are those of a conversation in which nothing was asked.
func (e *ear) endpoints() capture.Endpoints {
	l := &dialogue.Listener{Session: &dialogue.Session{Parser: e.parser}, Thresholds: e.limits}
	return l.Endpoints(0, nil)
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
