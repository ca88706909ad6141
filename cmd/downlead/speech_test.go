package main

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"

	"downlead/capture"
	"downlead/cmd/downlead/dialogue"
	"downlead/export"
	"downlead/grammar"
)

// heardAs is what became of one recording.
type heardAs int

const (
	exact      heardAs = iota // taken, and right
	askedRight                // asked about, and right: "yes" settles it
	askedWrong                // asked about, and wrong: "no", and it is said again
	ignoredIt                 // taken for no phrase
	wrong                     // taken, wrong, and not asked about: the figure that matters
)

// ear hears recordings as listen does.
type ear struct {
	parser *grammar.Parser
	limits capture.Thresholds
	phrase *capture.Recogniser
	answer *capture.Recogniser
}

func newEar(t testing.TB) *ear {
	t.Helper()
	p, err := grammar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	open := func(f grammar.Focus) *capture.Recogniser {
		r, err := capture.NewRecogniser(capture.Config{JSGF: p.JSGF(f), Pronunciations: p.Pronunciations(nil), Meaning: p.Meaning, Rivals: p.Rivals})
		if err != nil {
			t.Skip(err)
		}
		t.Cleanup(func() { r.Close() })
		return r
	}
	return &ear{p, capture.DefaultThresholds(), open(grammar.Focus{}), open(grammar.Focus{Answers: true})}
}

// hear runs one recording through speech and silence, recognition, decision
// and confirmation.
func (e *ear) hear(t testing.TB, s said) (heardAs, string) {
	t.Helper()
	r := e.phrase
	if s.answer {
		r = e.answer
	}
	sound := slices.Concat(make([]int16, capture.Rate), s.samples, make([]int16, capture.Rate))
	var taken, asked []string
	for u, err := range capture.Listen(t.Context(), capture.FromSamples(sound), r, capture.ListenConfig{}) {
		if err != nil {
			t.Error(err)
			return ignoredIt, ""
		}
		decision, _, err := dialogue.Judge(t.Context(), r, e.limits, u)
		if err != nil {
			t.Error(err)
		}
		switch {
		case decision == capture.Ignore:
		case decision == capture.Ask:
			asked = append(asked, u.Text)
		default:
			taken = append(taken, u.Text)
		}
	}
	heard := strings.Join(append(slices.Clone(taken), asked...), " / ")
	right := func(texts []string) bool {
		return s.text != "" && len(texts) == 1 && e.parser.Meaning(texts[0]) == e.parser.Meaning(s.text)
	}
	switch {
	case len(taken) > 0 && len(asked) == 0 && right(taken):
		return exact, heard
	case len(taken) > 0:
		return wrong, heard
	case right(asked):
		return askedRight, heard
	case len(asked) > 0:
		return askedWrong, heard
	}
	return ignoredIt, heard
}

// tally counts outcomes.
type tally [wrong + 1]int

func (c tally) n() int {
	sum := 0
	for _, v := range c {
		sum += v
	}
	return sum
}

// measure hears all material on two cores and counts by group.
func measure(t *testing.T, material []said) map[string]tally {
	t.Helper()
	counts := map[string]tally{}
	var mu sync.Mutex
	var wg sync.WaitGroup
	work := make(chan said)
	for range 2 {
		e := newEar(t)
		wg.Go(func() {
			for s := range work {
				got, heard := e.hear(t, s)
				half := "unseen"
				if s.chosen() {
					half = "chosen"
				}
				mu.Lock()
				for _, group := range []string{half + " | " + s.noise + " | " + s.voice, half + " | " + s.noise + " | all", half + " | all | all"} {
					if s.text == "" && !strings.HasSuffix(group, s.voice) {
						continue
					}
					c := counts[group]
					c[got]++
					counts[group] = c
				}
				if got == wrong || got == ignoredIt && s.text != "" {
					t.Logf("%s, %s: %q heard as %q (%s)", s.voice, s.noise, s.text, heard, []string{"exact", "asked, right", "asked, wrong", "ignored", "WRONG"}[got])
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

// reportSpeech prints a table of counts with 95 % Wilson intervals.
func reportSpeech(t *testing.T, counts map[string]tally) {
	t.Helper()
	share := func(k, n int) string {
		low, high := export.Wilson(k, n)
		return fmt.Sprintf("%3d %.3f (%.3f-%.3f)", k, float64(k)/float64(n), low, high)
	}
	for _, group := range slices.Sorted(maps.Keys(counts)) {
		c := counts[group]
		n := c.n()
		t.Logf("%-42s n %4d  exact %s  right after one question %s  asked %d  ignored %d  wrong unasked %s",
			group, n, share(c[exact], n), share(c[exact]+c[askedRight], n), c[askedRight]+c[askedWrong], c[ignoredIt], share(c[wrong], n))
	}
}

// TestSpeech measures what is heard right, asked about, ignored, and stored
// wrongly. DOWNLEAD_LONG=1 takes the whole material.
func TestSpeech(t *testing.T) {
	phrases, other, step, levels := 16, 12, 10, []float64{20}
	long := os.Getenv("DOWNLEAD_LONG") == "1"
	if long {
		phrases, other, step, levels = 240, 400, 1, []float64{20, 15, 10}
	}
	quiet := spokenPhrases(t, phrases, 2026)
	material := slices.Concat(quiet, humanNumbers(t, step), otherSpeech(t, other))
	var babble []int16
	for _, s := range spokenPhrases(t, 12, 7) {
		babble = append(babble, s.samples...)
	}
	makers := noises(rand.New(rand.NewPCG(20, 26)), babble)
	for _, db := range levels {
		for _, kind := range slices.Sorted(maps.Keys(makers)) {
			take := quiet[:3]
			if long {
				take = quiet[:60]
			}
			for _, s := range take {
				material = append(material, noisy(s, kind, db, makers[kind]))
			}
		}
	}
	counts := measure(t, material)
	reportSpeech(t, counts)
	var quietAll, speech tally
	for group, c := range counts {
		switch {
		case strings.HasSuffix(group, "| quiet | all"):
			for k := range c {
				quietAll[k] += c[k]
			}
		case strings.HasSuffix(group, "human prompts"), strings.HasSuffix(group, "| chat"):
			for k := range c {
				speech[k] += c[k]
			}
		}
	}
	if n := quietAll.n(); quietAll[exact]+quietAll[askedRight] < n*9/10 || quietAll[wrong]*50 > n {
		t.Errorf("in quiet, of %d: %d exact, %d after a question, %d wrong unasked", n, quietAll[exact], quietAll[askedRight], quietAll[wrong])
	}
	if speech[wrong] > 0 {
		t.Errorf("of %d stretches of other speech %d were stored", speech.n(), speech[wrong])
	}
}
