package dialogue

import (
	"context"
	"errors"
	"slices"
	"time"

	"downlead/grammar/entry"
	"downlead/journal/record"
)

// Type takes a typed phrase in the midst of listening, as Take takes what was
// said.
func (l *Listener) Type(ctx context.Context, p Phrase) (Event, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	p.Zone, p.TimeSource, p.Origin = l.Zone, record.FromClock, record.Typed
	ev := Event{Heard: p.Text}
	reply, err := l.Session.Hear(ctx, p)
	if errors.Is(err, ErrNoJob) {
		return noJob(ev), nil
	}
	if err != nil {
		return ev, err
	}
	l.dictate = ""
	ev.Outcome, ev.Reply = reply.Outcome, reply
	if reply.Asked != "" {
		l.asked = -1
	}
	l.steered(reply.Control)
	return ev, l.refocus(ctx)
}

// Keep stores an entry that is no phrase, a photograph, in the job at hand, and
// returns what to say of it.
func (l *Listener) Keep(ctx context.Context, p Phrase, e entry.Entry) (string, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.Session.Job == "" {
		return "", ErrNoJob
	}
	p.Zone, p.TimeSource, p.Origin = l.Zone, record.FromClock, record.Typed
	_, err := l.Session.append(ctx, p, e)
	return sentenceOf(e), err
}

// Taken reports that the job at hand has a spoken entry of a time, give or
// take. It is for Again, and for it alone: the conversation is held meanwhile.
func (l *Listener) Taken(ctx context.Context, at time.Time, give time.Duration) (bool, error) {
	records, err := l.Session.records(ctx)
	return slices.ContainsFunc(records, func(r record.Record) bool {
		return r.Origin == record.Voice && r.At.Sub(at).Abs() < give
	}), err
}

// noJob asks for a job where none is open.
func noJob(ev Event) Event {
	ev.Outcome, ev.Reply = Asked, Reply{Outcome: Asked, Text: "No job is open. Say: start job, and its number."}
	return ev
}

// steered follows what was said to the listener itself.
func (l *Listener) steered(verb string) {
	switch verb {
	case "pause":
		l.paused = true
	case "resume":
		l.paused = false
	}
}

// AskAgain puts the question about the job's last entry again, where that is
// still unconfirmed and its question was given up: nobody could hear it.
func (l *Listener) AskAgain(ctx context.Context) (question string, err error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if question, _ = l.Session.Open(); question == "" {
		if err := l.Session.resume(ctx); err != nil {
			return "", err
		}
		question, _ = l.Session.Open()
	}
	l.asked = -1
	return question, l.refocus(ctx)
}
