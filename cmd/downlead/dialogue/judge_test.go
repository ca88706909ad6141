package dialogue

import (
	"slices"
	"testing"
	"time"

	"downlead/capture"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// What an utterance's scores and its further decodes make of it. The scores are
// invented, on either side of the limits in use.
func TestJudge(t *testing.T) {
	good := capture.Scores{Grammar: -33, Ratio: -25, WorstWord: -45, NumberMargin: 900, SNR: 45, Words: 5}
	with := func(change func(*capture.Scores)) capture.Scores { s := good; change(&s); return s }
	few := with(func(s *capture.Scores) { s.Words = 2 })
	noisy := with(func(s *capture.Scores) { s.SNR = 20 })
	poor := with(func(s *capture.Scores) { s.Grammar, s.Ratio = -52, -40 })
	thin := with(func(s *capture.Scores) { s.NumberMargin, s.SNR = 300, 30 })
	for _, c := range []struct {
		name   string
		text   string
		scores capture.Scores
		parts  []capture.Scores
		others int // of two further decodes
		want   capture.Outcome
		doubt  string
	}{
		{"good", "x", good, nil, 2, capture.Accept, ""},
		{"nothing", "", good, nil, 0, capture.Ignore, ""},
		{"other speech", "x", with(func(s *capture.Scores) { s.Grammar = -80 }), nil, 0, capture.Ignore, ""},
		{"few good words that hold", "x", few, nil, 0, capture.Accept, ""},
		{"few good words that half hold", "x", few, nil, 1, capture.Ask, "heard again, it was something else"},
		{"few good words that do not hold", "x", few, nil, 2, capture.Ignore, ""},
		{"poor words that hold", "x", poor, nil, 0, capture.Ask, "the words are not clear"},
		{"poor words that do not hold", "x", poor, nil, 2, capture.Ignore, ""},
		{"a thin margin that holds", "x", thin, nil, 0, capture.Accept, ""},
		{"a thin margin that does not hold", "x", thin, nil, 2, capture.Ask, "heard again, it was something else"},
		{"noise", "x", noisy, nil, 0, capture.Ask, "it is noisy"},
		{"overdriven", "x", with(func(s *capture.Scores) { s.Clipped = 0.1 }), nil, 0, capture.Ask, "the microphone is overdriven"},
		{"a rival in noise", "x", with(func(s *capture.Scores) { s.NumberMargin, s.SNR = 20, 35 }), nil, 0, capture.Ask, "another number is nearly as likely"},
		{"good in both parts", "x", good, []capture.Scores{good, few}, 2, capture.Accept, ""},
		{"a poor part that holds", "x", good, []capture.Scores{good, poor}, 0, capture.Accept, ""},
		{"a poor part that half holds", "x", good, []capture.Scores{good, poor}, 1, capture.Ask, "heard again, it was something else"},
	} {
		u := capture.Utterance{
			Text: c.text, Scores: c.scores, Parts: c.parts,
			Evidence: &capture.Evidence{Decodes: 2, Others: make([]string, c.others)},
		}
		got, doubt, err := Judge(t.Context(), nil, capture.DefaultThresholds(), u)
		if err != nil || got != c.want || doubt != c.doubt {
			t.Errorf("%s: %v, %q, %v; want %v, %q", c.name, got, doubt, err, c.want, c.doubt)
		}
	}
}

// Each limit is set from its own figures of the phrases that stood.
func TestCalibrateTakesEachFigureFromItsOwn(t *testing.T) {
	var records []record.Record
	for i := range 100 {
		records = append(records, record.Record{Seq: int64(i + 1), Draft: record.Draft{
			Job: "1", Origin: record.Voice, Entry: entry.Miles{},
			Heard: &record.Heard{Grammar: -3500 - i, Ratio: -2500 - i, WorstWord: -5500 - i, Margin: 90000},
		}})
	}
	c, ok := Calibrate(records, capture.DefaultThresholds())
	if !ok || c.Right != 100 || c.Wrong != 0 {
		t.Fatalf("%+v, %v", c, ok)
	}
	// The second lowest of a hundred, less one.
	if s := c.Suggest; s.Grammar != -36.98 || s.Ratio != -26.98 || s.WorstWord != -56.98 || s.Margin != 250 {
		t.Errorf("suggested %+v", s)
	}
	if _, ok := Calibrate(records[:99], capture.DefaultThresholds()); ok {
		t.Error("99 phrases are enough")
	}
}

// Figures that the last reading left out belong to it for ten seconds; later the
// speaker may be elsewhere.
func TestWhatWasLeftOutBelongsForABreath(t *testing.T) {
	at := time.Date(2026, 11, 18, 9, 0, 0, 0, time.UTC)
	before := []record.Record{{Seq: 7, Draft: record.Draft{Job: "7", At: at, Entry: entry.Reading{Point: entry.Point{Element: entry.WallPlate, Side: entry.ReceiverSide}, Verdict: entry.Fail}}}}
	figures := entry.Reading{Level: entry.Whole(-60)}
	for after, want := range map[time.Duration]bool{0: true, 10 * time.Second: true, 10*time.Second + time.Millisecond: false, 30 * time.Second: false, -time.Second: false} {
		if c, ok := supplement(figures, before, at.Add(after)); ok != want || ok && (c.Entry != 7 || c.Level != figures.Level) {
			t.Errorf("%v later: %+v, %v", after, c, ok)
		}
	}
	if _, ok := supplement(entry.Reading{Verdict: entry.Pass}, before, at); ok {
		t.Error("another verdict is taken for what was left out")
	}
	asked := before[len(before)-1]
	asked.Seq, asked.Unconfirmed, asked.Entry = 8, true, entry.Place{Point: entry.Point{Element: entry.Splitter}}
	if _, ok := supplement(figures, append(slices.Clone(before), asked), at); ok {
		t.Error("figures go to the reading before a place that was asked about")
	}
	before[0].Unconfirmed = true
	if _, ok := supplement(figures, before, at); ok {
		t.Error("it is added to what is not sure")
	}
}

// A question waits thirty seconds; what was said before it could be heard is no
// answer to it, however soon.
func TestWhatWasSaidBeforeAQuestionIsNoAnswer(t *testing.T) {
	for _, k := range []struct {
		said   time.Duration // after the question
		before bool
		open   bool
	}{{time.Second, false, true}, {30 * time.Second, false, true}, {31 * time.Second, false, false}, {time.Second, true, false}} {
		c := newCall(t)
		c.hear("wall plate fail minus sixty", "the words are not clear")
		l := &Listener{Session: c.Session, Whole: true, asked: time.Minute, Before: func(capture.Utterance) bool { return k.before }}
		if _, err := l.expire(t.Context(), capture.Utterance{Start: time.Minute + k.said}); err != nil {
			t.Fatal(err)
		}
		if _, open := c.Open(); open != k.open {
			t.Errorf("said %v after it, before it was heard %v: open %v", k.said, k.before, open)
		}
	}
}

// What was broken off is asked about, however well it was heard: the number may
// have gone on. Where the source gives it again, nothing is made of the half.
func TestWhatWasBrokenOffIsAsked(t *testing.T) {
	u := capture.Utterance{Text: "behind receiver one fail minus sixty", Scores: capture.Scores{Grammar: -33, Ratio: -25, WorstWord: -45, NumberMargin: 900, SNR: 45, Words: 6}}
	for _, c := range []struct {
		broken, holds bool
		want          Outcome
		counts        string
	}{
		{false, false, Taken, "behind receiver one, fail, minus sixty"},
		{true, false, Asked, ""},
		{true, true, Ignored, ""},
		{false, true, Taken, "behind receiver one, fail, minus sixty"},
	} {
		call := newCall(t)
		l := &Listener{
			Session: call.Session, Thresholds: capture.DefaultThresholds(), Origin: record.Voice, Holds: c.holds,
			When: func(capture.Utterance) (time.Time, record.TimeSource) { return call.at, record.FromClock },
		}
		u.Broken = c.broken
		ev, err := l.Take(t.Context(), u)
		if err != nil {
			t.Fatal(err)
		}
		if got := call.readings(); ev.Outcome != c.want || got != c.counts || (ev.Doubt != "") != (c.want == Asked) {
			t.Errorf("%+v: %v, doubt %q, %q counts", c, ev.Outcome, ev.Doubt, got)
		}
	}
}
