package main

import (
	"encoding/json"
	"maps"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"downlead/capture"
	audio "downlead/capture/sound"
	"downlead/cmd/downlead/dialogue"
	"downlead/grammar"
	"downlead/grammar/entry"
	"downlead/grammar/speech"
)

// heardAs is what became of one recording.
type heardAs int

const (
	exact      heardAs = iota // taken, and right
	askedRight                // asked about, and right: "yes" settles it
	saidAgain                 // asked about, and wrong: "no", said again, and right then
	askedWrong                // asked about, and wrong, and not right the second time either
	ignoredIt                 // taken for no phrase
	wrong                     // taken, wrong, and not asked about: the figure that matters
)

func (h heardAs) String() string {
	return []string{"exact", "asked, right", "right when said again", "asked, wrong", "ignored", "WRONG"}[h]
}

// ear hears recordings as listen does.
type ear struct {
	parser *grammar.Parser
	limits capture.Thresholds
	figure dialogue.Figure // where a second listener hears too
	phrase *capture.Recogniser
	answer *capture.Recogniser
	log    func(said, capture.Utterance, capture.Evidence) // nil: not wanted
}

func newEar(t testing.TB) *ear {
	t.Helper()
	p, err := grammar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	open := func(f speech.Focus) *capture.Recogniser {
		r, err := capture.NewRecogniser(capture.Config{JSGF: p.JSGF(f), Pronunciations: p.Pronunciations(nil), Meaning: p.Meaning, Rivals: p.Rivals, Completeness: func(words string) (bool, bool) { return p.Completeness(words, false) }})
		if err != nil {
			t.Skip(err)
		}
		t.Cleanup(func() { r.Close() })
		return r
	}
	return &ear{parser: p, limits: capture.DefaultThresholds(), phrase: open(speech.Focus{}), answer: open(speech.Focus{Answers: true})}
}

// result is what became of one recording.
type result struct {
	outcome heardAs
	heard   string
	stored  bool          // taken, and a statement that a journal would keep
	length  time.Duration // of the sound, without the silence around it
}

// hear has a recording heard, and said once more where the answer is no.
func (e *ear) hear(t testing.TB, s said) result {
	t.Helper()
	r := e.once(t, s, s.sound(t))
	if r.outcome != askedWrong || s.text == "" {
		return r
	}
	second := e.once(t, s, s.again(t))
	r.heard += " / again: " + second.heard
	switch second.outcome {
	case exact, askedRight:
		r.outcome = saidAgain
	case wrong:
		r.outcome = wrong
	}
	return r
}

// once runs one recording through speech and silence, recognition, decision
// and confirmation.
func (e *ear) once(t testing.TB, s said, sound []int16) result {
	t.Helper()
	r := e.phrase
	if s.answer {
		r = e.answer
	}
	var taken, asked []string
	out := result{outcome: ignoredIt, length: time.Duration(len(sound)-2*audio.Rate) * time.Second / audio.Rate}
	for u, err := range capture.Listen(t.Context(), audio.FromSamples(sound), r, capture.ListenConfig{}) {
		if err != nil {
			t.Error(err)
			return out
		}
		if e.log != nil && u.Text != "" {
			evidence, err := r.Confirm(t.Context(), u)
			if err != nil {
				t.Error(err)
			}
			e.log(s, u, evidence)
		}
		decision, _, err := dialogue.Judge(t.Context(), r, dialogue.Limits(e.limits, e.parser, u.Text, s.answer), u)
		if err != nil {
			t.Error(err)
		}
		switch {
		case decision == capture.Ignore:
		case decision == capture.Ask:
			asked = append(asked, u.Text)
		default:
			taken = append(taken, u.Text)
			out.stored = out.stored || e.keeps(u.Text)
		}
	}
	out.heard = strings.Join(append(slices.Clone(taken), asked...), " / ")
	right := func(texts []string) bool { return s.text != "" && len(texts) == 1 && e.same(s, texts[0]) }
	switch {
	case len(asked) == 0 && right(taken):
		out.outcome = exact
	case len(taken) > 0 && !right(taken):
		out.outcome = wrong
	case right(taken), right(asked): // and perhaps a question about noise
		out.outcome = askedRight
	case len(asked) > 0:
		out.outcome = askedWrong
	}
	return out
}

// same reports that a text means what was said.
func (e *ear) same(s said, text string) bool {
	if !s.answer {
		return e.parser.Meaning(text) == e.parser.Meaning(s.text)
	}
	a, errA := e.parser.ParseAnswer(text)
	b, errB := e.parser.ParseAnswer(s.text)
	if errA != nil || errB != nil {
		return text == s.text
	}
	x, _ := json.Marshal(a)
	y, _ := json.Marshal(b)
	return string(x) == string(y)
}

// keeps reports that a text is a statement that a journal keeps and counts: no
// question to the tool, no control of it, no opening of a note, no reading of a
// point that has to be asked for.
func (e *ear) keeps(text string) bool {
	entries, err := e.parser.Parse(text)
	return err == nil && slices.ContainsFunc(entries, func(x entry.Entry) bool {
		switch x := x.(type) {
		case entry.Control, entry.Question:
			return false
		case entry.Note:
			return x.Text != ""
		case entry.Reading:
			_, missing := entry.Complete(x, nil)
			return missing == ""
		}
		return true
	})
}

// measure hears all material on two cores and counts by group.
func measure(t *testing.T, material []said) *speechCounts {
	t.Helper()
	counts := newSpeechCounts()
	var mu sync.Mutex
	var wg sync.WaitGroup
	log := scoreLog(t)
	work := make(chan said)
	for range 2 {
		e := newEar(t)
		e.log = log
		wg.Go(func() {
			for s := range work {
				r := e.hear(t, s)
				mu.Lock()
				counts.add(s, r)
				if r.outcome == wrong || s.text != "" && r.outcome > askedRight || r.stored && s.text == "" {
					t.Logf("%s, %s: %q heard as %q (%s)", s.voice, s.noise, s.text+s.id, r.heard, r.outcome)
				}
				mu.Unlock()
			}
		})
	}
	for _, s := range material {
		work <- s
	}
	close(work)
	wg.Wait()
	return counts
}

// scoreLog writes the scores of every utterance to the file that
// DOWNLEAD_SCORES names, one JSON object a line, to choose thresholds by.
func scoreLog(t *testing.T) func(said, capture.Utterance, capture.Evidence) {
	t.Helper()
	path := os.Getenv("DOWNLEAD_SCORES")
	if path == "" {
		return nil
	}
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	var mu sync.Mutex
	p, err := grammar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	e := &ear{parser: p}
	return func(s said, u capture.Utterance, evidence capture.Evidence) {
		mu.Lock()
		defer mu.Unlock()
		line, err := json.Marshal(map[string]any{
			"id": s.id, "text": s.text, "voice": s.voice, "noise": s.noise, "chosen": s.chosen(), "answer": s.answer, "heard": u.Text,
			"right": s.text != "" && e.same(s, u.Text), "keeps": e.keeps(u.Text), "words": len(u.Words),
			"scores": u.Scores, "others": evidence.Others, "rival": u.Rival,
		})
		if err == nil {
			_, err = f.Write(append(line, '\n'))
		}
		if err != nil {
			t.Error(err)
		}
	}
}

// speechMaterial is the material: a small part of every kind, or all.
func speechMaterial(t *testing.T, long bool) []said {
	t.Helper()
	needs(t, "flite", "flite")
	needs(t, "text2wave", "festival")
	needs(t, "ffmpeg", "ffmpeg")
	if _, err := os.Stat(humanSounds); err != nil {
		t.Skip("apt-get install asterisk-core-sounds-en-g722")
	}
	if !long {
		quiet := spoken(fieldPhrases(18, 2026), false)
		material := slices.Concat(quiet, humanNumbers(9), humanPrompts(12), unphrases(t, "chat", 1)[:6], unphrases(t, "near", 1)[:6])
		babble := babbleSound(t, 12)
		for i, kind := range noiseKinds() {
			for _, s := range quiet[3*i : 3*i+3] {
				material = append(material, noisy(s, kind, 20, babble))
			}
		}
		return material
	}
	quiet := spoken(fieldPhrases(306, 2026), false)
	fresh := slices.DeleteFunc(spoken(fieldPhrases(2400, 2027), false), said.chosen)
	material := slices.Concat(quiet, fresh, spoken(slices.Repeat(answerPhrases(), 4), true), humanNumbers(1),
		humanPrompts(500), humanDescriptions(), humanStory(t), unphrases(t, "chat", 3), unphrases(t, "near", 3))
	babble := babbleSound(t, 60)
	for i, db := range []float64{20, 15, 10, 5} {
		for j, kind := range noiseKinds() {
			cell := i*3 + j // other phrases in every one
			from := cell * 28 % 258
			phrases := quiet[from : from+48]
			if db == 20 || db == 10 { // for which there are goals
				phrases = slices.Concat(phrases, fresh[cell*90:cell*90+90])
			}
			for _, s := range phrases {
				material = append(material, noisy(s, kind, db, babble))
			}
		}
	}
	return material
}

// TestSpeech measures what is heard right, asked about, ignored, and stored
// wrongly. DOWNLEAD_LONG=1 takes the whole material; DOWNLEAD_SPEECH names the
// rows of the table that are wanted ("chosen,babble": the half by which
// thresholds may be chosen, in babble).
func TestSpeech(t *testing.T) {
	long := os.Getenv("DOWNLEAD_LONG") == "1"
	material := speechMaterial(t, long)
	if rows := os.Getenv("DOWNLEAD_SPEECH"); rows != "" {
		material = slices.DeleteFunc(material, func(s said) bool {
			return slices.ContainsFunc(strings.Split(rows, ","), func(part string) bool { return !strings.Contains(s.row(), part) })
		})
	}
	counts := measure(t, material)
	counts.report(t)
	if long {
		reportLatency(t, spoken(fieldPhrases(60, 2026), false))
	}
	counts.floors(t)
}

// TestSpeechPhrases shows that everything that is spoken as a phrase is one.
func TestSpeechPhrases(t *testing.T) {
	p, err := grammar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, text := range fieldPhrases(306, 2026) {
		if _, err := p.Parse(text); err != nil {
			t.Errorf("%q: %v", text, err)
		}
	}
	for _, text := range answerPhrases() {
		if _, err := p.ParseAnswer(text); err != nil {
			t.Errorf("%q: %v", text, err)
		}
	}
	voices := map[string]int{}
	for _, s := range spoken(fieldPhrases(306, 2026), false) {
		if s.chosen() {
			voices[s.voice]++
		}
	}
	for _, voice := range slices.Sorted(maps.Keys(voices)) {
		if n := voices[voice]; n < 15 || n > 36 {
			t.Errorf("%s: %d of 51 phrases in the half for choosing", voice, n)
		}
	}
}
