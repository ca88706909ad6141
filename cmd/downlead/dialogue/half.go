package dialogue

import (
	"context"
	"slices"
	"time"

	"downlead/capture"
	"downlead/diagnose/claim"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// Endpoints says where a phrase ends: where the parser takes its words for a
// statement, or for an answer while a question is open. wait is how long the
// beginning of a statement waits for the rest, waiting is told of it.
func (l *Listener) Endpoints(wait time.Duration, waiting func(capture.Utterance)) capture.Endpoints {
	return capture.Endpoints{
		Status: l.status, Text: l.sentence, Wait: wait, Waiting: waiting,
		Spoken: func(s capture.Scores) bool { return l.Thresholds.Decide(s) != capture.Ignore },
	}
}

// sentence is what both listeners together find likeliest of an utterance, by the
// speech grammar: of its words follows whether the phrase has ended.
func (l *Listener) sentence(u capture.Utterance) string {
	answering := len(l.Session.asked) > 0
	text, _, ok := u.Weigh(func(text string) string { return l.Session.Parser.Says(text, answering) }, answering)
	if !ok || !l.Figure.decides() {
		return u.Text
	}
	return text
}

// The controls that are about a phrase which has not ended.
const (
	holdOn    = "hold"
	neverMind = "never_mind"
)

func (l *Listener) status(words string) capture.Status {
	p := l.Session.Parser
	complete, mayGoOn := p.Completeness(words, false)
	s := capture.Status{Complete: complete, MayGoOn: mayGoOn}
	if len(l.Session.asked) > 0 {
		s.Complete, s.MayGoOn = p.Completeness(words, true)
		_, err := p.ParseAnswer(words)
		s.Answer = err == nil
	}
	if opensDictation(words) { // free words come next, and are heard by themselves
		s.Complete = true
	}
	if !complete {
		return s
	}
	if entries, err := p.Parse(words); err == nil {
		control, _ := onlyControl(entries)
		s.Hold, s.Drop = control.Verb == holdOn, control.Verb == neverMind
		s.Amend = !slices.ContainsFunc(entries, func(e entry.Entry) bool { return !amendable(e) })
	}
	return s
}

// amendable reports a statement that is replaced where the speaker goes on with
// it after all.
func amendable(e entry.Entry) bool {
	switch e.Kind() {
	case entry.KindReading, entry.KindAction, entry.KindMaterial, entry.KindPath, entry.KindCheck:
		return true
	}
	return false
}

// named is how long a place that somebody named is where the next figures
// belong, if no place is said with them. A judgement: the time of a look at the
// meter and of an answer, not that of a walk.
const named = time.Minute

// bare reports that a reading says figures and nothing of where.
func bare(r entry.Reading) bool {
	return r.Point == (entry.Point{}) && r.Slot == 0 && r.Transponder == 0 && r.Polarity == ""
}

// places are where figures without a place may belong: the place that was just
// named, by the technician or by the tool in its answer; and with it the last
// reading, where that has left these figures out.
func (s *Session) places(r entry.Reading, before []record.Record, at time.Time) []entry.Point {
	if len(before) == 0 {
		return nil
	}
	last := before[len(before)-1]
	if since := at.Sub(last.At); since < 0 || since > named {
		return nil
	}
	current := record.Current(before)
	if len(current) > 0 && current[len(current)-1].Seq == last.Seq {
		if place, ok := last.Entry.(entry.Place); ok {
			return []entry.Point{place.Point}
		}
	}
	var out []entry.Point
	if !moves([]record.Record{last}) && !asksWhere(last.Entry) || last.Entry.Kind() == entry.KindPath {
		return nil // who tells the path stands nowhere yet
	}
	if next := claim.Diagnose(before, s.Options).Next; next != nil {
		out = append(out, next.Point)
	}
	if reading, ok := last.Entry.(entry.Reading); ok && leftOut(reading, r) && !slices.Contains(out, reading.Point) {
		out = append(out, reading.Point)
	}
	return out
}

// asksWhere reports a question whose answer names the next point.
func asksWhere(e entry.Entry) bool {
	q, ok := e.(entry.Question)
	return ok && (q.Question == "next" || q.Question == "fault")
}

// leftOut reports that figures may belong to a reading: it has none of them.
func leftOut(reading, figures entry.Reading) bool {
	return !(reading.Verdict != "" && figures.Verdict != "" || reading.Level.Said() && figures.Level.Said() ||
		reading.Strength.Said() && figures.Strength.Said() || reading.MER.Said() && figures.MER.Said() ||
		reading.Volts.Said() && figures.Volts.Said())
}

// sameBreath is how long figures that the last reading left out belong to it
// without a question. A judgement: nobody is at another point by then.
const sameBreath = 10 * time.Second

// supplement is the change that adds figures to the reading just made. Where
// something was said since that is not sure, it may have been another place.
func supplement(r entry.Reading, before []record.Record, at time.Time) (entry.Correction, bool) {
	current := record.Current(before)
	if len(current) == 0 {
		return entry.Correction{}, false
	}
	last := current[len(current)-1]
	reading, ok := last.Entry.(entry.Reading)
	if since := at.Sub(last.At); !ok || last.Unconfirmed || since < 0 || since > sameBreath || !leftOut(reading, r) {
		return entry.Correction{}, false
	}
	for _, v := range record.View(before) {
		if _, unparsed := v.Entry.(entry.Unparsed); v.Seq > last.Seq && v.SupersededBy == 0 && (unparsed || v.Unconfirmed) {
			return entry.Correction{}, false
		}
	}
	return entry.Correction{
		Verb: "change", Entry: last.Seq, Verdict: r.Verdict, Level: r.Level, Strength: r.Strength, MER: r.MER, Volts: r.Volts,
		NoSignal: r.NoSignal, Assumed: r.Assumed,
	}, true
}

// belongs reports that a word which is said by itself has a place to belong to: that
// of a verdict, which was named before it.
func (s *Session) belongs(ctx context.Context, word string, at time.Time) (bool, error) {
	entries, err := s.Parser.Parse(word)
	if err != nil || len(entries) != 1 {
		return false, nil //nolint:nilerr // what says nothing belongs to nothing
	}
	r, ok := entries[0].(entry.Reading)
	if !ok || !bare(r) {
		return false, nil
	}
	before, err := s.records(ctx)
	if err != nil {
		return false, err
	}
	_, more := supplement(r, before, at)
	return more || len(s.places(r, before, at)) > 0, nil
}

// placeBare puts a bare reading at the place that was named; where there is
// none, or more than one, the question is which.
func (s *Session) placeBare(r entry.Reading, before []record.Record, at time.Time) (entry.Entry, *question) {
	if change, ok := supplement(r, before, at); ok {
		return change, nil
	}
	switch found := s.places(r, before, at); len(found) {
	case 0:
		return r, &question{kind: askPoint, blocks: true, text: "At which point was that?"}
	case 1:
		r.Point = found[0]
		r.Assumed = append(slices.Clone(r.Assumed), "point")
		return r, nil
	default:
		return r, &question{
			kind: askPoint, blocks: true, choices: found,
			text: "Where was that: " + entry.SayPoint(found[0]) + ", or " + entry.SayPoint(found[1]) + "?",
		}
	}
}
