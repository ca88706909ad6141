package main

import (
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"sync"
	"testing"

	"downlead/capture"
	"downlead/capture/hear"
	audio "downlead/capture/sound"
	"downlead/cmd/downlead/dialogue"
	"downlead/grammar"
	"downlead/grammar/speech"
)

// testified is one utterance in the log of the measurement.
type testified struct {
	Key                      string // of the recording
	Half, Text, Voice, Noise string
	Answer                   bool
	Part, Parts              int // which stretch of the recording it is, of how many
	Heard, Rival             string
	At, Seconds, Length      float64 // where it begins in the recording, how long it is, how long the recording is
	Words                    []capture.Word
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
// phrases a cell, DOWNLEAD_HALF the half that is wanted ("fit" or "report").
// Confidence is fitted to it.
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
		if half := os.Getenv("DOWNLEAD_HALF"); !done[s.key] && (half == "" || half == s.id) {
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
	samples := s.sound(t)
	for u, err := range capture.Listen(t.Context(), audio.FromSamples(samples), r, capture.ListenConfig{Endpoints: e.endpoints()}) {
		if err != nil {
			t.Error(err)
			return out
		}
		if u.Amends && len(out) > 0 {
			out = out[:len(out)-1]
		}
		line := testified{
			Key: s.key, Half: s.id, Text: s.text, Voice: s.voice, Noise: s.noise, Answer: s.answer, Part: len(out), Heard: u.Text, Rival: u.Rival,
			At: u.Start.Seconds(), Seconds: (u.End - u.Start).Seconds(), Length: float64(len(samples)) / audio.Rate, Words: u.Words, Scores: u.Scores, Margin: min(u.Scores.NumberMargin, 1e6), Second: u.Second,
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
	open := func(f speech.Focus) *capture.Recogniser {
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
	e.phrase, e.answer = open(speech.Focus{}), open(speech.Focus{Answers: true})
	return e
}

// endpoints are those of a conversation in which nothing was asked.
func (e *ear) endpoints() capture.Endpoints {
	l := &dialogue.Listener{Session: &dialogue.Session{Parser: e.parser}, Thresholds: e.limits}
	return l.Endpoints(0, nil)
}
