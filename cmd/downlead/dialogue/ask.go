package dialogue

import (
	"context"
	"fmt"
	"strings"

	"downlead/diagnose"
	"downlead/diagnose/call"
	"downlead/diagnose/level"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

type askKind int

const (
	askWords   askKind = iota // were these the words?
	askPoint                  // which point?
	askVerdict                // is the verdict right, against the number?
	askClose                  // close although things are missing?
	askResult                 // pass or fail?
	askPart                   // which part was worked on?
	askItem                   // is what was seen a fail of a check?
	askHalfDay                // which half of the day was a told time in?
)

// question waits for an answer about one stored record.
type question struct {
	kind    askKind
	text    string
	blocks  bool            // the record is unconfirmed until this is answered
	choices []entry.Point   // for askPoint and askPart
	rooms   []string        // of the choices, where they are known
	names   []string        // of the choices
	check   entry.Check     // for askItem
	record  record.Record   // what is asked about
	with    []record.Record // the other records of the phrase, where it is asked about as a whole
	or      *either         // for askWords: the other thing it may have been
}

// settle answers the question that was put.
func (s *Session) settle(ctx context.Context, p Phrase, a entry.Answer) (Reply, error) {
	q := s.asked[0]
	if a.Unknown || a.Neither {
		s.asked = s.asked[1:]
		text := "Left open."
		if q.blocks {
			text += " It counts for nothing until it is answered."
		}
		return Reply{Outcome: Taken, Text: text}, nil
	}
	entries, ok := q.settled(a)
	if !ok {
		return Reply{Outcome: Asked, Asked: q.text, Text: "That does not answer it. " + q.text}, nil
	}
	return s.close(ctx, p, a, entries)
}

// close stores what settles the question that was put, and goes on.
func (s *Session) close(ctx context.Context, p Phrase, a entry.Answer, entries []entry.Entry) (Reply, error) {
	q := s.asked[0]
	s.asked = s.asked[1:]
	var records []record.Record
	var err error
	if len(entries) > 0 {
		records, err = s.append(ctx, p, entries...)
	}
	if err != nil {
		s.asked = append([]question{q}, s.asked...)
		return Reply{}, err
	}
	outcome := Taken
	if len(s.asked) > 0 {
		outcome = Asked
	}
	if a.No && q.kind == askClose {
		return Reply{Outcome: Taken, Records: records, Text: "Not closed."}, nil
	}
	if a.No && q.kind == askWords {
		return Reply{Outcome: outcome, Records: records, Text: "Scratched. Say it again."}, nil
	}
	r, err := s.reply(ctx, outcome, records, &q.record)
	if err == nil && q.kind == askClose { // closed: nothing more goes into it
		next, lerr := s.leave(ctx)
		r.Text, err = sentenceOf(q.record.Entry)+" "+next, lerr
	}
	return r, err
}

// settled turns an answer into the entries that settle the question.
func (q question) settled(a entry.Answer) ([]entry.Entry, bool) {
	reading, isReading := q.record.Entry.(entry.Reading)
	change := entry.Correction{Verb: "change", Entry: q.record.Seq}
	if q.or != nil {
		if entries, ok := q.or.settled(q, a); ok || a.Yes {
			return entries, ok // "yes" names neither
		}
	}
	switch {
	case q.kind == askClose && !a.Yes && !a.No:
		return nil, false
	case q.kind == askItem && a.Yes:
		return []entry.Entry{q.check}, true
	case q.kind == askItem:
		return nil, a.No
	case q.kind == askPart:
		return q.parted(a)
	case q.kind == askHalfDay && (a.Yes || a.Choice == 1):
		return q.each("confirm"), true
	case q.kind == askHalfDay:
		return q.otherHalves(), a.No || a.Choice == 2
	case q.kind == askPoint && a.Both && len(q.choices) == 2 && isReading:
		return q.bothOf(reading), true
	case q.kind == askResult && a.Verdict == "" && !a.Value.Said():
		return nil, false
	case q.kind == askPoint:
		p, ok := q.pointed(a)
		change.Point = &p
		return q.changed(change), ok
	case a.Yes:
		return q.each("confirm"), true
	case a.No && q.kind == askVerdict:
		change.Verdict = opposite(reading.Verdict)
	case a.No:
		return q.each("scratch"), true
	case len(q.with) > 0:
		return nil, false
	case a.Verdict != "" && isReading:
		change.Verdict = a.Verdict
	case a.Value.Sign() > 0 && isReading:
		change.Level, change.Assumed = a.Value.Neg(), []string{"sign"}
	case a.Value.Said() && isReading:
		change.Level = a.Value
	default:
		return nil, false
	}
	return q.changed(change), true
}

// each corrects every record of the phrase.
func (q question) each(verb string) []entry.Entry {
	out := []entry.Entry{entry.Correction{Verb: verb, Entry: q.record.Seq}}
	for _, r := range q.with {
		out = append(out, entry.Correction{Verb: verb, Entry: r.Seq})
	}
	return out
}

// changed is a change, and the confirmation that the record asked about needs.
func (q question) changed(change entry.Correction) []entry.Entry {
	if !q.record.Unconfirmed {
		return []entry.Entry{change}
	}
	return []entry.Entry{change, entry.Correction{Verb: "confirm", Entry: q.record.Seq}}
}

// pointed is the point that an answer chooses.
func (q question) pointed(a entry.Answer) (entry.Point, bool) {
	if i, ok := q.chosen(a); ok {
		return q.choices[i], true
	}
	switch {
	case a.Point == nil:
		return entry.Point{}, false
	}
	fits := -1
	for i, c := range q.choices {
		if merged(c, *a.Point) != c {
			continue
		}
		if fits >= 0 {
			return entry.Point{}, false
		}
		fits = i
	}
	if fits >= 0 {
		return q.choices[fits], true
	}
	if len(q.choices) > 0 || a.Point.Element == "" {
		return entry.Point{}, false
	}
	whole, missing := entry.Complete(entry.Reading{Point: *a.Point}, nil)
	return whole.(entry.Reading).Point, missing == ""
}

// merged is a point with the parts of another that were said.
func merged(p, said entry.Point) entry.Point {
	if said.Element != "" {
		p.Element = said.Element
	}
	if said.Number != 0 {
		p.Number = said.Number
	}
	if said.Side != "" {
		p.Side = said.Side
	}
	if said.Port != 0 {
		p.Port = said.Port
	}
	if said.Room != "" {
		p.Room = said.Room
	}
	return p
}

func opposite(v entry.Verdict) entry.Verdict {
	if v == entry.Pass {
		return entry.Fail
	}
	return entry.Pass
}

// closing asks before a job is closed with things missing and no reason: the
// closing is stored with what is not done for its reason, and counts once it
// is confirmed.
func closing(entries []entry.Entry, records []record.Record) (placed, bool) {
	job, ok := entries[0].(entry.Job)
	if !ok || len(entries) != 1 || job.Verb != "close" || job.Text != "" && !strings.HasPrefix(job.Text, noReason) {
		return placed{}, false
	}
	var missing []call.Step
	for _, step := range diagnose.NewJob(records, level.Options{}).Plan() {
		if step.State == "missing" || step.State == "now" {
			missing = append(missing, step)
		}
	}
	if len(missing) == 0 {
		return placed{}, false
	}
	job.Text = noReason + stepNames(missing)
	return placed{entry: job, ask: &question{
		kind: askClose, blocks: true, text: fmt.Sprintf("Still missing: %s. Close all the same?", stepNames(missing)),
	}}, true
}

// noReason begins the reason of a job that was closed without one.
const noReason = "no reason given; not done: "

func stepNames(steps []call.Step) string {
	names := make([]string, len(steps))
	for i, s := range steps {
		names[i] = strings.ReplaceAll(s.Step, "_", " ")
	}
	return strings.Join(names, ", ")
}

// chosen is the choice that an answer names: the first, two, output two, dish,
// the bedroom one.
func (q question) chosen(a entry.Answer) (int, bool) {
	if a.Choice > 0 && a.Choice <= len(q.choices) {
		return a.Choice - 1, true
	}
	only := func(fits func(int) bool) (int, bool) {
		found := -1
		for i := range q.choices {
			if fits(i) {
				if found >= 0 {
					return 0, false
				}
				found = i
			}
		}
		return found, found >= 0
	}
	if a.Value.Said() {
		n := int(a.Value.Float())
		if i, ok := only(func(i int) bool { return q.choices[i].Port == n && n > 0 || q.choices[i].Number == n && n > 0 }); ok {
			return i, true
		}
		return n - 1, n >= 1 && n <= len(q.choices)
	}
	if a.Point == nil {
		return 0, false
	}
	if a.Point.Element != "" {
		if i, ok := only(func(i int) bool { return q.choices[i].Element == a.Point.Element }); ok && len(q.choices) > 1 {
			return i, true
		}
	}
	if a.Point.Element == entry.Dish || a.Point.Element == entry.Receiver && a.Point.Number == 0 { // "dish", of its sides
		if i, ok := only(func(i int) bool { return string(q.choices[i].Side) == string(a.Point.Element) }); ok {
			return i, true
		}
	}
	if a.Point.Room != "" {
		if i, ok := only(func(i int) bool { return i < len(q.rooms) && q.rooms[i] == a.Point.Room }); ok {
			return i, true
		}
	}
	return 0, false
}

// bothOf makes a reading of each choice.
func (q question) bothOf(r entry.Reading) []entry.Entry {
	a, b := r, r
	a.Point, b.Point = q.choices[0], q.choices[1]
	return []entry.Entry{entry.Correction{Verb: "change", Entry: q.record.Seq, Replace: []entry.Entry{a, b}}}
}

// parted is the action with the part that was chosen.
func (q question) parted(a entry.Answer) ([]entry.Entry, bool) {
	action, ok := q.record.Entry.(entry.Action)
	if !ok || a.No {
		return q.each("scratch"), a.No
	}
	p, ok := q.pointed(a)
	if !ok {
		return nil, false
	}
	action.Number, action.Room = p.Number, p.Room
	return []entry.Entry{entry.Correction{Verb: "change", Entry: q.record.Seq, Replace: []entry.Entry{action}}}, true
}
