package dialogue

import (
	"context"
	"errors"
	"math"
	"time"

	"downlead/capture"
	"downlead/grammar"
	"downlead/journal"
)

// Listener takes what was heard, and leads the recogniser: what can be heard
// next follows from what was asked.
type Listener struct {
	Session    *Session
	Recogniser *capture.Recogniser
	Thresholds capture.Thresholds
	Origin     journal.Origin
	Zone       string
	// When gives the time of an utterance and where it came from.
	When func(capture.Utterance) (time.Time, journal.TimeSource)
	// Encode makes a clip of an utterance's samples; nil keeps no sound.
	Encode func(samples []int16) []byte

	// Whole keeps everything that can be said in the recogniser's grammar: a
	// recording is decoded ahead of the dialogue.
	Whole bool

	focus  string // the grammar in use
	paused bool
}

// Event is one thing heard and what became of it.
type Event struct {
	At      time.Duration // in the source
	Heard   string
	Outcome Outcome
	Reply   Reply
	Scores  capture.Scores
	Doubt   string // why it was asked about, "" when it was not
}

// Take decides whether an utterance was a phrase, and hears it if so.
func (l *Listener) Take(ctx context.Context, u capture.Utterance) (Event, error) {
	ev := Event{At: u.Start, Heard: u.Text, Outcome: Ignored, Scores: u.Scores}
	decision := l.Thresholds.Decide(u.Scores)
	if u.Text == "" || decision == capture.Ignore {
		return ev, nil
	}
	if l.paused && u.Text != "resume" {
		return ev, nil
	}
	p := Phrase{Text: u.Text, Zone: l.Zone, Origin: l.Origin, Heard: figures(u)}
	p.At, p.TimeSource = l.When(u)
	if decision == capture.Ask {
		ev.Doubt = l.doubt(u.Scores)
		p.Doubt = ev.Doubt
	}
	if l.Encode != nil {
		p.Sound = l.Encode(u.Samples)
	}
	reply, err := l.Session.Hear(ctx, p)
	if errors.Is(err, ErrNoJob) {
		ev.Outcome, ev.Reply = Asked, Reply{Outcome: Asked, Text: "No job is open. Say: start job, and its number."}
		return ev, nil
	}
	if err != nil {
		return ev, err
	}
	ev.Outcome, ev.Reply = reply.Outcome, reply
	switch reply.Control {
	case "pause":
		l.paused = true
	case "resume":
		l.paused = false
	}
	if l.Whole {
		return ev, nil
	}
	return ev, l.Refocus()
}

// Refocus hands the recogniser the grammar for what can be said now.
func (l *Listener) Refocus() error {
	focus := grammar.Focus{Answers: len(l.Session.asked) > 0}
	jsgf := l.Session.Parser.JSGF(focus)
	if jsgf == l.focus {
		return nil
	}
	l.focus = jsgf
	return l.Recogniser.SetGrammar(jsgf)
}

// doubt says in a few words what made the recogniser unsure.
func (l *Listener) doubt(s capture.Scores) string {
	t := l.Thresholds
	switch {
	case s.Clipped > t.Clipped:
		return "the microphone is overdriven"
	case s.SNR < t.SNR:
		return "it is noisy"
	case s.NumberMargin < t.Margin:
		return "another number is nearly as likely"
	}
	return "the words are not clear"
}

// figures keeps the recogniser's scores with an entry, in hundredths.
func figures(u capture.Utterance) *journal.Heard {
	hundredths := func(v float64) int {
		const most = 1e6 // stands for "without rival"
		return int(math.Round(100 * math.Max(-most, math.Min(most, v))))
	}
	return &journal.Heard{
		Grammar: hundredths(u.Scores.Grammar), Ratio: hundredths(u.Scores.Ratio), WorstWord: hundredths(u.Scores.WorstWord),
		Margin: hundredths(u.Scores.NumberMargin), SNR: hundredths(u.Scores.SNR), At: int(u.Start / time.Millisecond),
	}
}
