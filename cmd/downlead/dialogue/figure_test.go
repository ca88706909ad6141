package dialogue

import (
	"errors"
	"strings"
	"testing"
	"time"

	"downlead/capture"
	"downlead/capture/confidence"
	"downlead/capture/hear"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// figure takes what leads by more than some nats, ignores what no listener
// finds likely, and asks between.
func figure() Figure {
	return Figure{
		Table: confidence.Table{
			Utterances: 1,
			Misheard:   map[string]float64{"one": 4, "joint": -12},
			Other:      map[string]float64{"one": -8, "free": 4},
		},
		Costs: confidence.DefaultCosts(),
	}
}

func heardByTwo(first, free string, second ...hear.Candidate) capture.Utterance {
	return capture.Utterance{
		Text: first, Scores: capture.Scores{Grammar: -30, Ratio: -20, WorstWord: -40, NumberMargin: 500, SNR: 40, Covered: 1},
		Second: &capture.Witness{Free: free, Sentences: second, Own: second[0].LogP - 8, Fit: 100},
	}
}

func TestFigureDecides(t *testing.T) {
	said := "wall plate pass minus fifty"
	spoken := heardByTwo(said, said, hear.Candidate{Text: said, LogP: -2}, hear.Candidate{Text: said + " eight", LogP: -3})
	spoken.Second.Spoken = said + " four"
	for name, c := range map[string]struct {
		u        capture.Utterance
		decision capture.Outcome
		text     string
		rival    string
	}{
		"both hear it, nothing else is near": {
			heardByTwo(said, said, hear.Candidate{Text: said, LogP: -2}, hear.Candidate{Text: said + " eight", LogP: -11}),
			capture.Accept, said, said + " eight",
		},
		"another number is near": {
			heardByTwo(said, said, hear.Candidate{Text: said, LogP: -2}, hear.Candidate{Text: said + " eight", LogP: -3}),
			capture.Ask, said, said + " eight",
		},
		"the first heard another number": {
			heardByTwo(said+" eight", said, hear.Candidate{Text: said, LogP: -2}, hear.Candidate{Text: said + " two", LogP: -3}),
			capture.Ask, said, said + " eight",
		},
		"the phonemes are those of a third": {spoken, capture.Ask, said, said + " four"},
		"other speech": {
			heardByTwo(said, "they were all too late for it and went home", hear.Candidate{Text: said, LogP: -40}, hear.Candidate{Text: "note", LogP: -60}),
			capture.Ignore, said, "note",
		},
	} {
		j, ok := figure().judge(c.u, func(text string) string { return text }, false)
		if !ok || j.decision != c.decision || j.u.Text != c.text || j.rival != c.rival || (j.doubt != "") != (c.decision == capture.Ask) {
			t.Errorf("%s: %v, %q or %q, doubt %q; want %v, %q or %q", name, j.decision, j.u.Text, j.rival, j.doubt, c.decision, c.text, c.rival)
		}
		if j.u.Scores.Confidence <= 0 || j.u.Scores.Confidence > 1 {
			t.Errorf("%s: confidence %g", name, j.u.Scores.Confidence)
		}
	}
	// Where one listener heard alone, or there is no table, thresholds decide.
	if _, ok := figure().judge(capture.Utterance{Text: said}, strings.ToLower, false); ok {
		t.Error("one listener is enough")
	}
	if _, ok := (Figure{}).judge(heardByTwo(said, said, hear.Candidate{Text: said}), strings.ToLower, false); ok {
		t.Error("no table is enough")
	}
}

// Phrases that the figure was too sure of bring it down; 39 of them are too few.
func TestTuneByWhatStood(t *testing.T) {
	var records []record.Record
	for i := range 60 {
		records = append(records, record.Record{Seq: int64(i + 1), Draft: record.Draft{
			Job: "7", Origin: record.Voice, Entry: entry.Time{Mark: "arrived"}, Heard: &record.Heard{Confidence: 9900},
		}})
	}
	few, _, err := Tune(records[:39])
	if !errors.Is(err, confidence.ErrFew) {
		t.Errorf("39 phrases: %+v, error %v", few, err)
	}
	sure, n, err := Tune(records)
	if err != nil || n != 60 {
		t.Fatalf("%d phrases, error %v", n, err)
	}
	for i := range 20 { // a third is taken back
		records = append(records, record.Record{Seq: int64(61 + i), Draft: record.Draft{
			Job: "7", Origin: record.Voice, Entry: entry.Correction{Verb: "scratch", Entry: int64(1 + i)},
		}})
	}
	unsure, _, err := Tune(records)
	if err != nil {
		t.Fatal(err)
	}
	p := confidence.Posterior{Right: 0.99, Misheard: 0.01}
	if a, b := p.Tuned(sure).Right, p.Tuned(unsure).Right; a < 0.98 || b > 0.9 {
		t.Errorf("99 %% becomes %.3f where all stood, %.3f where a third did not", a, b)
	}
}

// A form that the speech grammar lacks is asked about when the parser takes all
// of what the second listener wrote; other talk, and what the grammar heard
// likelier, stay as they were.
func TestWrittenForms(t *testing.T) {
	l := &Listener{Session: newCall(t).Session, Figure: figure()}
	for name, k := range map[string]struct {
		free     string
		own      float64
		before   capture.Outcome
		decision capture.Outcome
		text     string
	}{
		"a form that only typing had":  {"wall plate fail minus fifty two", -30, capture.Ignore, capture.Ask, "wall plate fail minus fifty two"},
		"other talk":                   {"they went home too late", -30, capture.Ignore, capture.Ignore, "what next"},
		"a word":                       {"leaving", -30, capture.Ignore, capture.Ignore, "what next"},
		"two words":                    {"rolling out", -30, capture.Ignore, capture.Ask, "rolling out"},
		"less likely than the grammar": {"wall plate fail minus fifty two", -2, capture.Ask, capture.Ask, "what next"},
		"taken already":                {"wall plate fail minus fifty two", -30, capture.Accept, capture.Accept, "what next"},
	} {
		u := capture.Utterance{Text: "what next", Second: &capture.Witness{Free: k.free, FreeLogP: -3, Own: k.own}}
		if name == "two words" { // and not where they are a guess
			unsure := u
			unsure.Second = &capture.Witness{Free: k.free, FreeLogP: -5, Own: k.own}
			if got, err := l.written(t.Context(), judged{u: unsure}); err != nil || got.decision != capture.Ignore {
				t.Errorf("two words that are a guess: %v, %v", got.decision, err)
			}
			u.Second.FreeLogP = -1
		}
		if got, err := l.written(t.Context(), judged{u: u, decision: k.before}); err != nil || got.decision != k.decision || got.u.Text != k.text {
			t.Errorf("%s: %v, %q; want %v, %q", name, got.decision, got.u.Text, k.decision, k.text)
		}
	}
}

// What was written down is taken where both listeners choose it far ahead of its
// rivals; what only sounds like it, and words that are kept as they stand, are asked about.
func TestWrittenFormsAreJudged(t *testing.T) {
	p := usualParser(t)
	const said, other = "rerouted the cable between the ground block and the wall plate", "removed the cable between the ground block and the wall plate"
	const time, remark = "we got here at eleven", "cabling fail chewed cable behind the shed"
	for name, c := range map[string]struct {
		first, sentence, free string
		behind                float64 // of the nearest rival
		decision              capture.Outcome
		sure                  bool // it has a figure
	}{
		"both hear it":                  {said, said, said, 9, capture.Accept, true},
		"another is near":               {said, said, said, 0.5, capture.Ask, true},
		"the first heard another":       {other, said, said, 3, capture.Ask, true},
		"the words are another's":       {said, said, "we rooted the cable between the ground block and the wall plate", 9, capture.Ask, true},
		"two words":                     {"wet splitter", "wet splitter", "wet splitter", 9, capture.Ask, true},
		"those of a remark":             {remark, remark, remark, 9, capture.Ask, false},
		"what counts as time":           {time, time, time, 9, capture.Ask, true},
		"neither hears what was mended": {other, said, "we rooted the cable", 3, capture.Ignore, true},
	} {
		v := heardByTwo(c.first, c.free, hear.Candidate{Text: c.sentence, LogP: -2}, hear.Candidate{Text: other, LogP: -2 - c.behind})
		if c.first == c.sentence {
			v.Second.Own, v.Second.Fit = -2, 0
		}
		j := figure().judgeWritten(v, c.sentence, p)
		if j.decision != c.decision || (j.doubt != "") != (c.decision == capture.Ask) || (j.u.Scores.Confidence > 0) != c.sure {
			t.Errorf("%s: %v of %q, doubt %q, %g; want %v", name, j.decision, j.u.Text, j.doubt, j.u.Scores.Confidence, c.decision)
		}
	}
}

// A number by itself says nothing while nothing is asked: it is no rival of a
// statement, and an answer where a question is open.
func TestSaysNothing(t *testing.T) {
	said, p := "mount pass", usualParser(t)
	u := heardByTwo(said, "now pest", hear.Candidate{Text: "no", LogP: -5}, hear.Candidate{Text: said, LogP: -9})
	u.Second.Own, u.Second.Fit = -9, 3000
	for answering, rival := range map[bool]string{false: "", true: "no"} {
		j, ok := figure().judge(u, func(text string) string { return p.Says(text, answering) }, answering)
		if !ok || j.u.Text != said || j.rival != rival {
			t.Errorf("a question open %v: %q or %q", answering, j.u.Text, j.rival)
		}
	}
}

// What people say to each other all day is for the tool only where it belongs to
// something: "good" to a place, "no" to a question. "Pass" is said to the tool.
func TestSmallTalkIsIgnored(t *testing.T) {
	for name, c := range map[string]struct {
		before, text string
		after        time.Duration
		want         capture.Outcome
	}{
		"good":              {"", "good", 0, capture.Ignore},
		"no":                {"", "no", 0, capture.Ignore},
		"good of a place":   {"wall plate", "good", 20 * time.Second, capture.Accept},
		"good long after":   {"wall plate", "good", 3 * time.Minute, capture.Ignore},
		"good of a reading": {"wall plate minus forty", "good", 5 * time.Second, capture.Accept},
		"pass":              {"", "pass", 0, capture.Accept},
		"no to a question":  {"pass", "no", 5 * time.Second, capture.Accept},
	} {
		t.Run(name, func(t *testing.T) {
			call := newCall(t)
			if c.before != "" {
				call.say(c.before)
			}
			at := call.at.Add(c.after)
			l := &Listener{
				Session: call.Session, Figure: figure(), Thresholds: capture.DefaultThresholds(),
				When: func(capture.Utterance) (time.Time, record.TimeSource) { return at, record.FromClock },
			}
			j, err := l.judge(t.Context(), heardByTwo(c.text, c.text, hear.Candidate{Text: c.text, LogP: -1}, hear.Candidate{Text: "wall plate fail", LogP: -20}))
			if err != nil || j.decision != c.want {
				t.Errorf("%v, want %v; doubt %q, error %v", j.decision, c.want, j.doubt, err)
			}
		})
	}
}
