package dialogue

import (
	"slices"
	"sync"
	"testing"
	"time"

	"downlead/capture"
	"downlead/capture/hear"
	audio "downlead/capture/sound"
	"downlead/grammar/entry"
	"downlead/grammar/speech"
	"downlead/journal/record"
)

// unled is a recogniser that nothing changes: it keeps the whole grammar.
var unled = sync.OnceValues(func() (*capture.Recogniser, error) {
	p, err := madeParser()
	if err != nil {
		return nil, err
	}
	return capture.NewRecogniser(capture.Config{
		JSGF: p.JSGF(speech.Focus{}), Pronunciations: p.Pronunciations(nil), Meaning: p.Meaning, Rivals: p.Rivals,
		Completeness: func(words string) (bool, bool) { return p.Completeness(words, false) },
	})
})

// heardWhole listens as the listen command does: a phrase ends where the grammar
// says it can.
func heardWhole(t *testing.T, c *testCall, sound []int16) []Event {
	t.Helper()
	r, err := unled()
	if err != nil {
		t.Skip(err)
	}
	l := &Listener{
		Session: c.Session, Recogniser: r, Thresholds: capture.DefaultThresholds(), Origin: record.Voice, Whole: true,
		When: func(u capture.Utterance) (time.Time, record.TimeSource) {
			return c.at.Add(u.Start), record.FromRecording
		},
	}
	ticks := 0
	how := capture.ListenConfig{Endpoints: l.Endpoints(0, func(capture.Utterance) { ticks++ })}
	var events []Event
	for u, err := range capture.Listen(t.Context(), audio.FromSamples(sound), r, how) {
		if err != nil {
			t.Fatal(err)
		}
		ev, err := l.Take(t.Context(), u)
		if err != nil {
			t.Fatal(err)
		}
		events = append(events, ev)
	}
	if ticks == 0 {
		t.Error("nobody was told that the rest is waited for")
	}
	return events
}

// lastPlace is the place that was named last.
func (c *testCall) lastPlace() string {
	c.t.Helper()
	records, err := c.Journal.Job(c.t.Context(), "7")
	if err != nil {
		c.t.Fatal(err)
	}
	for _, r := range slices.Backward(records) {
		if p, ok := r.Entry.(entry.Place); ok {
			return entry.SayPoint(p.Point)
		}
	}
	return ""
}

func silence(seconds float64) []int16 { return make([]int16, int(seconds*audio.Rate)) }

// A place that is said alone is a place, and never a verdict; whoever looks at
// the meter meanwhile is heard as if they had not.
func TestPlaceAndThenTheRest(t *testing.T) {
	t.Parallel()
	place, rest := spoken(t, "ground block receiver side"), spoken(t, "fail minus fifty four")
	for name, c := range map[string]struct {
		sound           []int16
		readings, place string
	}{
		"the place alone":            {slices.Concat(place, silence(7)), "", "ground block receiver side"},
		"a look at the meter":        {slices.Concat(place, rest), "ground block receiver side, fail, minus fifty four", ""},
		"hold on":                    {slices.Concat(place, spoken(t, "hold on"), rest), "ground block receiver side, fail, minus fifty four", ""},
		"never mind":                 {slices.Concat(place, spoken(t, "never mind"), silence(7)), "", ""},
		"longer than the tool waits": {slices.Concat(place, silence(8), rest), "ground block receiver side, fail, minus fifty four", "ground block receiver side"},
	} {
		t.Run(name, func(t *testing.T) {
			job := newCall(t)
			events := heardWhole(t, job, c.sound)
			if got := job.readings(); got != c.readings {
				t.Errorf("%q counts, want %q: %+v", got, c.readings, events)
			}
			if got := job.lastPlace(); got != c.place {
				t.Errorf("stands at %q, want %q", got, c.place)
			}
		})
	}
}

// Figures without a place belong to the place that was named within a minute, or
// it is asked where; those that the last reading left out belong to it for as
// long as nobody can have gone elsewhere.
func TestFiguresWithoutAPlace(t *testing.T) {
	for name, c := range map[string]struct {
		said     []string
		after    time.Duration // before the last
		readings string
		asked    string
	}{
		"the place just named":   {[]string{"wall plate", "fail minus sixty"}, 50 * time.Second, "wall plate receiver side, fail, minus sixty", ""},
		"a place named long ago": {[]string{"wall plate", "fail minus sixty"}, 2 * time.Minute, "", "At which point was that?"},
		"no place":               {[]string{"fail minus sixty"}, 2 * time.Minute, "", "At which point was that?"},
		"what was left out":      {[]string{"wall plate fail", "minus sixty"}, 5 * time.Second, "wall plate receiver side, fail, minus sixty", ""},
		"something between":      {[]string{"wall plate fail", "splitter frobnicate", "minus sixty"}, 5 * time.Second, "wall plate receiver side, fail", "At which point was that?"},
		"an output of the one splitter": {
			[]string{"path dish, L N B, sixty feet, two way splitter, forty feet, receiver one", "receiver two on splitter output two", "receiver one pass", "output two fail"},
			5 * time.Second,
			"behind receiver one, pass; splitter output two, fail", "",
		},
		"an output of the multiswitch": {
			[]string{"path dish, L N B, sixty feet, four way multiswitch", "den receiver on output one", "kitchen receiver on output two", "output two fail"},
			5 * time.Second,
			"multi switch output two, fail", "",
		},
		"an output of no part":      {[]string{"receiver one pass", "output two fail"}, 5 * time.Second, "behind receiver one, pass", "At which point was that?"},
		"beyond a receiver is none": {[]string{"receiver one pass", "receiver side fail"}, 5 * time.Second, "behind receiver one, pass", "At which point was that?"},
		"said twice":                {[]string{"wall plate", "fail", "minus sixty"}, 5 * time.Second, "wall plate receiver side, fail, minus sixty", ""},
	} {
		t.Run(name, func(t *testing.T) {
			job := newCall(t)
			for i, text := range c.said {
				if i == len(c.said)-1 {
					job.at = job.at.Add(c.after - time.Minute)
				}
				job.say(text)
			}
			if got := job.readings(); got != c.readings {
				t.Errorf("%q counts, want %q", got, c.readings)
			}
			if asked, _ := job.Open(); asked != c.asked {
				t.Errorf("asked %q, want %q", asked, c.asked)
			}
		})
	}
}

// Whether a phrase has ended follows from the sentence that both listeners choose;
// where one hears alone, or nothing decides between them, from its own.
func TestSentenceOfBoth(t *testing.T) {
	u := heardByTwo("bad output two", "splitter output two", hear.Candidate{Text: "splitter output two", LogP: -1})
	alone := u
	alone.Second = nil
	l := &Listener{Session: newCall(t).Session, Figure: figure()}
	for _, c := range []struct {
		figure Figure
		u      capture.Utterance
		want   string
	}{{figure(), u, "splitter output two"}, {figure(), alone, "bad output two"}, {Figure{}, u, "bad output two"}} {
		l.Figure = c.figure
		if got := l.Endpoints(0, nil).Text(c.u); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}
