package dialogue

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"
	"strings"
	"sync"
	"time"

	"downlead/capture"
	"downlead/grammar"
	"downlead/grammar/speech"
	"downlead/journal"
	"downlead/journal/record"
)

// Listener takes what was heard, and leads the recogniser: what can be heard
// next follows from what was asked.
type Listener struct {
	Session    *Session
	Recogniser *capture.Recogniser
	Thresholds capture.Thresholds
	Figure     Figure // decides where two listeners heard; the thresholds do elsewhere
	Origin     record.Origin
	Zone       string
	// When gives the time of an utterance and where it came from.
	When func(capture.Utterance) (time.Time, record.TimeSource)
	// Encode makes a clip of an utterance's samples; nil keeps no sound.
	Encode func(samples []int16) []byte
	// Wake is a phrase without which nothing is heard; "" listens always.
	Wake string
	// Whole keeps everything that can be said in the recogniser's grammar: a
	// recording is decoded ahead of the dialogue.
	Whole bool

	// Before, where set, reports that an utterance was said before the open
	// question could be heard: it is no answer to it.
	Before func(capture.Utterance) bool
	// Holds says that the source keeps what was broken off and gives it again,
	// whole, to the next who listens: it is left to them.
	Holds bool
	// Again, where set, reports that an utterance was taken before, by another
	// process: it is ignored.
	Again func(context.Context, capture.Utterance) bool

	mu      sync.Mutex      // held while the conversation goes on
	focus   focus           // of the grammar in use
	paused  bool            // between "pause" and "resume"
	awake   time.Duration   // until when, in the source, the wake phrase holds
	dictate string          // the keyword whose free words come next
	asked   time.Duration   // when the open question was put, in the source; negative: since the last utterance
	last    []record.Record // of the phrase before
	amends  []record.Record // which the phrase that is taken stands in the place of
}

// patience is how long a question waits for its answer before what it is
// about is left unconfirmed. A judgement: long enough to climb down a step.
const patience = 30 * time.Second

// Event is one thing heard and what became of it.
type Event struct {
	At      time.Duration // in the source
	Heard   string
	Outcome Outcome
	Reply   Reply
	Scores  capture.Scores
	Doubt   string // why it was asked about, "" when it was not
}

// Take decides whether an utterance was a phrase, and hears it if so. Refocus
// before the next, best while the answer is spoken: it may take a fifth of a second.
//
// Take, Type and Refocus may be called from several goroutines.
func (l *Listener) Take(ctx context.Context, u capture.Utterance) (Event, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.Again != nil && !u.Amends && l.Again(ctx, u) {
		return ignored(u), nil
	}
	if u.Broken && l.Holds {
		return ignored(u), nil
	}
	broken := u.Broken
	last := l.last
	l.amends, l.last = nil, nil
	if u.Amends {
		l.amends = last
	}
	u, err := l.expire(ctx, u)
	if err != nil {
		return ignored(u), err
	}
	u, awake, err := l.woken(ctx, u)
	if err != nil || !awake {
		return ignored(u), err
	}
	if l.dictate != "" {
		return l.dictated(ctx, u, l.dictate)
	}
	j, err := l.judge(ctx, u)
	if err == nil {
		j, err = l.goingOn(ctx, j)
	}
	if err == nil {
		j, err = l.written(ctx, j)
	}
	if err != nil {
		return ignored(u), err
	}
	if broken {
		j = j.broken()
	}
	u = j.u
	if j.decision == capture.Ignore {
		return l.noteInOneBreath(ctx, u)
	}
	if l.paused && u.Text != "resume" {
		return ignored(u), nil
	}
	if opensDictation(u.Text) {
		l.dictate = u.Text
		return Event{At: u.Start, Heard: u.Text, Outcome: Asked, Scores: u.Scores, Reply: Reply{Outcome: Asked, Text: "Say the words."}}, nil
	}
	return l.hear(ctx, u, Phrase{Text: u.Text, Doubt: j.doubt, Rival: j.rival})
}

// expire gives up a question that nobody answered in time, or could have heard: what was said now
// was heard as an answer, and is decoded once more as a phrase.
func (l *Listener) expire(ctx context.Context, u capture.Utterance) (capture.Utterance, error) {
	if l.asked < 0 { // put by typing, or anew: it waits from here
		l.asked = u.Start
	}
	if _, open := l.Session.Open(); !open || u.Start-l.asked <= patience && (l.Before == nil || !l.Before(u)) {
		return u, nil
	}
	l.Session.Leave()
	if l.Whole {
		return u, nil
	}
	if err := l.refocus(ctx); err != nil {
		return u, err
	}
	return l.Recogniser.RecogniseSegment(ctx, u.From(0))
}

// Limits are the thresholds for what was heard: an answer, or a question to the
// tool, is short by nature and no statement of its own.
func Limits(t capture.Thresholds, p *grammar.Parser, text string, answering bool) capture.Thresholds {
	if answering {
		return t.EvenShort()
	}
	if AsksTool(p, text) {
		return t.EvenShort()
	}
	return t
}

// Doubt reports that Take will ask for further decodes of an utterance: they
// may be made ahead (capture.ListenConfig). What few words answer makes no
// difference to it.
func (l *Listener) Doubt(u capture.Utterance) bool {
	return (u.Second == nil || !l.Figure.decides()) && doubt(l.Thresholds, u)
}

func ignored(u capture.Utterance) Event {
	return Event{At: u.Start, Heard: u.Text, Outcome: Ignored, Scores: u.Scores}
}

// hear gives a phrase to the conversation, with the time, figures and sound
// of the utterance it came from.
func (l *Listener) hear(ctx context.Context, u capture.Utterance, p Phrase) (Event, error) {
	ev := Event{At: u.Start, Heard: u.Text, Scores: u.Scores, Doubt: p.Doubt}
	p.Zone, p.Origin, p.Heard = l.Zone, l.Origin, figures(u)
	p.At, p.TimeSource = l.When(u)
	if len(l.amends) > 0 {
		p.Amends = l.amends
		l.Session.Leave()
	}
	if l.Encode != nil {
		p.Sound = l.Encode(u.Samples)
	}
	reply, err := l.Session.Hear(ctx, p)
	if errors.Is(err, journal.ErrClosed) || errors.Is(err, journal.ErrNoJob) {
		reply, err = l.Session.Tell(ctx, p)
	}
	if errors.Is(err, ErrNoJob) {
		return noJob(ev), nil
	}
	if err != nil {
		return ev, err
	}
	ev.Outcome, ev.Reply = reply.Outcome, reply
	l.last = reply.Records
	if reply.Asked != "" {
		l.asked = u.End
	}
	l.steered(reply.Control)
	return ev, nil
}

// focus is what decides the grammar in use.
type focus struct {
	set       bool
	answers   bool
	elsewhere string // the words of other jobs' places
	again     string // the phrases that may be said again as an answer
}

// Refocus hands the recogniser the grammar for what can be said now, this
// job's places before others.
func (l *Listener) Refocus(ctx context.Context) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.refocus(ctx)
}

func (l *Listener) refocus(ctx context.Context) error {
	if l.Whole {
		return nil
	}
	words, err := l.Session.elsewhere(ctx)
	if err != nil {
		return err
	}
	again := l.Session.repeatable()
	now := focus{true, len(l.Session.asked) > 0, strings.Join(words, " "), strings.Join(again, "|")}
	if now == l.focus {
		return nil
	}
	l.focus = now
	return l.Recogniser.SetGrammar(l.Session.Parser.JSGF(speech.Focus{Answers: now.answers, Again: again}), words...)
}

// goingOn hears what is no clear answer to the open question once more, as a
// phrase of its own: who is on a ladder goes on. Of the two the surer stands.
func (l *Listener) goingOn(ctx context.Context, j judged) (judged, error) {
	if j.decision == capture.Accept || !l.focus.answers || l.Whole {
		return j, nil
	}
	words, err := l.Session.elsewhere(ctx)
	if err != nil {
		return j, err
	}
	if err := l.Recogniser.SetGrammar(l.Session.Parser.JSGF(speech.Focus{}), words...); err != nil {
		return j, err
	}
	l.focus = focus{} // whatever comes next, Refocus sets it
	u, err := l.Recogniser.RecogniseSegment(ctx, j.u.From(0))
	if err != nil {
		return j, err
	}
	phrase, err := l.judgeAs(ctx, u, false)
	if err != nil {
		return j, err
	}
	surer := cmp.Or(cmp.Compare(phrase.decision, j.decision), cmp.Compare(phrase.u.Scores.Confidence, j.u.Scores.Confidence))
	if surer > 0 {
		return phrase, nil
	}
	return j, l.refocus(ctx)
}

// Judge decides whether an utterance is taken, asked about or ignored, and
// says in a few words why it is asked about. Where the scores alone leave it
// open, further decodes decide: up to three words, or words that are not clear, are
// ignored when none of those bears them out.
func Judge(ctx context.Context, r *capture.Recogniser, t capture.Thresholds, u capture.Utterance) (capture.Outcome, string, error) {
	decision := t.Decide(u.Scores)
	if u.Text == "" || decision == capture.Ignore {
		return capture.Ignore, "", nil
	}
	if doubt(t, u) {
		if u.Evidence == nil {
			evidence, err := r.Confirm(ctx, u)
			if err != nil {
				return capture.Ignore, "", err
			}
			u.Evidence = &evidence
		}
		switch {
		case weak(t, u) && len(u.Evidence.Others) == u.Evidence.Decodes:
			return capture.Ignore, "", nil
		case !t.Borne(u.Scores, *u.Evidence) || poorPart(t, u) && !u.Evidence.Agrees():
			return capture.Ask, "heard again, it was something else", nil
		}
	}
	switch s := u.Scores; {
	case decision == capture.Accept:
		return capture.Accept, "", nil
	case s.Clipped > t.Clipped:
		return capture.Ask, "the microphone is overdriven", nil
	case s.SNR < t.SNR:
		return capture.Ask, "it is noisy", nil
	case s.NumberMargin < t.Margin:
		return capture.Ask, "another number is nearly as likely", nil
	}
	return capture.Ask, "the words are not clear", nil
}

// doubt reports that further decodes are to bear an utterance out before Judge
// decides.
func doubt(t capture.Thresholds, u capture.Utterance) bool {
	decision := t.Decide(u.Scores)
	return decision != capture.Ignore && weak(t, u) || decision == capture.Accept && t.Doubt(u.Scores)
}

// weak reports that an utterance may well be other speech.
func weak(t capture.Thresholds, u capture.Utterance) bool {
	return u.Scores.Short() || !t.Clear(u.Scores) || poorPart(t, u)
}

// poorPart reports words that are not clear in one of several stretches: what is
// well heard in the others does not speak for them.
func poorPart(t capture.Thresholds, u capture.Utterance) bool {
	return slices.ContainsFunc(u.Parts, func(s capture.Scores) bool { return !t.EvenShort().Clear(s) })
}

// figures keeps the recogniser's scores with an entry, in hundredths.
func figures(u capture.Utterance) *record.Heard {
	hundredths := func(v float64) int {
		const most = 1e6 // stands for "without rival"
		if math.IsNaN(v) {
			return 0 // a free decode does not measure it
		}
		return int(math.Round(100 * math.Max(-most, math.Min(most, v))))
	}
	h := &record.Heard{
		Confidence: int(math.Floor(1e4 * u.Scores.Confidence)),
		Grammar:    hundredths(u.Scores.Grammar), Ratio: hundredths(u.Scores.Ratio), WorstWord: hundredths(u.Scores.WorstWord),
		Margin: hundredths(u.Scores.NumberMargin), SNR: hundredths(u.Scores.SNR), At: int(u.Start / time.Millisecond),
	}
	if w := u.Second; w != nil && len(w.Sentences) > 0 {
		h.LogP, h.Free = hundredths(w.Sentences[0].LogP), hundredths(w.FreeLogP)
		if len(w.Sentences) > 1 {
			h.Lead = hundredths(w.Sentences[0].LogP - w.Sentences[1].LogP)
		}
	}
	return h
}
