package dialogue

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"downlead/diagnose/level"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// placed is an entry with its point filled in, and the question it raises.
type placed struct {
	entry entry.Entry
	ask   *question
}

// A level at a coax end lies between the level of an amplified dish and the
// noise of a tuner; outside it a number heard by voice is asked about. Common
// practice, no source: the tool asks, it never refuses.
const (
	strongestDBm = -15
	weakestDBm   = -80
)

// place completes the entries of a phrase from what was said before, and
// finds what must be asked.
func (s *Session) place(entries []entry.Entry, before []record.Record, p Phrase) []placed {
	call := trace.Replay(before)
	previous := lastPoint(before)
	out := s.spread(entries, before)
	for i := range out {
		e := out[i].entry
		if out[i].ask != nil {
			continue
		}
		if note, ok := e.(entry.Note); ok && p.Rough {
			note.Rough = true
			e = note
		}
		if r, ok := e.(entry.Reading); ok && bare(r) && (i == 0 || previous == nil) {
			if e, out[i].ask = s.placeBare(r, before, p.At); out[i].ask != nil {
				out[i].entry = e
				continue
			}
		}
		completed, missing := entry.Complete(ofFork(e, call.Path, previous), previous)
		out[i].entry = completed
		if place, ok := completed.(entry.Place); ok && place.Point.Element != "" {
			previous = &place.Point
		}
		reading, isReading := completed.(entry.Reading)
		if isReading && reading.Point.Element != "" {
			previous = &reading.Point
		}
		switch {
		case isReading && nowhere(e):
			out[i].entry, out[i].ask = e, askMissing(entry.MissingPoint, e)
		case missing != "":
			out[i].ask = askMissing(missing, completed)
		case isReading:
			out[i].ask = s.doubtful(reading, call, before, p.Origin)
		default:
			if out[i].ask = odd(completed, call); out[i].ask == nil {
				out[i].ask = item(completed, before)
			}
		}
	}
	if p.Doubt != "" && slices.ContainsFunc(out, func(e placed) bool { return counts(e.entry) }) {
		previous := lastPoint(before)
		out = doubted(out)
		if len(out) == 1 && p.Rival != "" {
			if or, text := s.otherwise(p, out[0].entry, previous); or != nil {
				out[0].ask.or, out[0].ask.text = or, text
			}
		}
		return out
	}
	return out
}

// ofFork gives an output said by itself its part: the one read before where it
// has outputs, else the only one of the path that has that output.
func ofFork(e entry.Entry, coax path.Path, previous *entry.Point) entry.Entry {
	if p, ok := e.(entry.Path); ok && slices.Contains(p.Assumed, "element") {
		return onFork(p, coax)
	}
	r, ok := e.(entry.Reading)
	if !ok || r.Point.Element != "" || r.Point.Port == 0 || previous != nil && previous.Element.Forks() {
		return e
	}
	i, ok := onlyFork(coax, r.Point.Port)
	if !ok {
		return e
	}
	r.Point.Element = coax.Elements[i].Element
	if len(coax.Find(r.Point)) > 1 {
		r.Point.Number = coax.Number(i)
	}
	r.Assumed = append(slices.Clone(r.Assumed), "element")
	return r
}

// onFork hangs a receiver that was said to be on an output on the only fork of
// the path, whatever that is.
func onFork(p entry.Path, coax path.Path) entry.Path {
	if i, ok := onlyFork(coax, 0); ok {
		p.Elements = slices.Clone(p.Elements)
		p.Elements[0].Element = coax.Elements[i].Element
	}
	return p
}

// onlyFork is the one part of the path with outputs, of which the one said is in
// use; 0 is any.
func onlyFork(coax path.Path, port int) (int, bool) {
	var forks []int
	for i, part := range coax.Elements {
		used := func(c int) bool { return coax.Elements[c].Port == port }
		if !part.Removed && part.Element.Forks() && (port == 0 || slices.ContainsFunc(coax.Children(i), used)) {
			forks = append(forks, i)
		}
	}
	if len(forks) != 1 {
		return 0, false
	}
	return forks[0], true
}

// doubted puts one question about all the words of a phrase: what else is odd
// about it can wait until they are sure.
func doubted(phrase []placed) []placed {
	said := make([]string, len(phrase))
	for i := range phrase {
		said[i] = entry.Say(phrase[i].entry)
		phrase[i].ask = &question{kind: askWords, blocks: true}
	}
	phrase[0].ask.text = "Did you say: " + strings.Join(said, "; ") + "?"
	return phrase
}

// lastPoint is the point of the newest reading that counts, or the place named
// since.
func lastPoint(records []record.Record) *entry.Point {
	current := record.Current(records)
	for i := len(current) - 1; i >= 0; i-- {
		switch e := current[i].Entry.(type) {
		case entry.Reading:
			return &e.Point
		case entry.Place:
			if e.Point.Element != "" {
				return &e.Point
			}
		}
	}
	return nil
}

// counts reports whether an entry would count for something once stored, so
// that a doubt about its words is worth a question.
func counts(e entry.Entry) bool {
	switch e.(type) {
	case entry.Question, entry.Note:
		return false
	}
	return true
}

// askMissing asks for the part of a point that was not said.
func askMissing(missing entry.Missing, e entry.Entry) *question {
	r, _ := e.(entry.Reading)
	switch missing {
	case entry.MissingPart:
		receiver := entry.Point{Element: entry.Receiver, Room: r.Point.Room, Side: entry.DishSide}
		plate := entry.Point{Element: entry.WallPlate, Room: r.Point.Room, Side: entry.ReceiverSide}
		return &question{
			kind: askPoint, blocks: true, choices: []entry.Point{receiver, plate},
			text: fmt.Sprintf("Behind the %s receiver, or at the %s wall plate?", r.Point.Room, r.Point.Room),
		}
	case entry.MissingSide:
		dish, receiver := r.Point, r.Point
		dish.Side, receiver.Side = entry.DishSide, entry.ReceiverSide
		return &question{
			kind: askPoint, blocks: true, choices: []entry.Point{dish, receiver},
			text: fmt.Sprintf("Which side of the %s: dish side or receiver side?", entry.SayPoint(entry.Point{Element: r.Point.Element, Number: r.Point.Number})),
		}
	}
	return &question{kind: askPoint, blocks: true, text: "At which point was that?"}
}

// doubtful finds what is odd about a complete reading: several places it may
// mean, a verdict against its own numbers, a number no meter shows.
func (s *Session) doubtful(r entry.Reading, call trace.Call, before []record.Record, origin record.Origin) *question {
	if found := call.Path.Find(r.Point); len(found) > 1 {
		return askWhich(r.Point, call.Path, found)
	}
	if q := odd(r, call); q != nil {
		return q
	}
	if r.NoSignal && (r.Level.Said() || r.Strength.Sign() > 0 || r.Verdict == entry.Pass) {
		return &question{kind: askWords, blocks: true, text: "No signal contradicts the rest. Did you say: " + entry.Say(r) + "?"}
	}
	if origin != record.Typed && r.Level.Said() && s.implausible(r, before) {
		return &question{kind: askWords, blocks: true, text: fmt.Sprintf("That is unusual. Did you say %s?", entry.SayNumber(r.Level))}
	}
	return against(r, call.Settings)
}

// against asks about a verdict that its own numbers do not bear out.
func against(r entry.Reading, limits trace.Settings) *question {
	verdict, why := trace.VerdictOf(r, limits)
	if r.Verdict == "" || verdict == "" || verdict == r.Verdict {
		return nil
	}
	return &question{kind: askVerdict, text: fmt.Sprintf("You said %s, but %s. Is it a %s?", r.Verdict, why, r.Verdict)}
}

// stillSo asks about the verdict of a reading whose number was just corrected:
// it was said of the number before.
func (s *Session) stillSo(ctx context.Context, stored []record.Record) (*question, error) {
	var c entry.Correction
	for _, r := range stored {
		if e, ok := r.Entry.(entry.Correction); ok && !r.Unconfirmed && e.Verb == "change" && e.Verdict == "" && e.Replace == nil {
			c = e
		}
	}
	if c.Entry == 0 {
		return nil, nil
	}
	records, err := s.records(ctx)
	if err != nil {
		return nil, err
	}
	for _, v := range record.View(records) {
		r, isReading := v.Entry.(entry.Reading)
		if !isReading || v.Seq != c.Entry || v.SupersededBy != 0 {
			continue
		}
		q := against(r, trace.Replay(records).Settings)
		if q != nil {
			q.record = v.Record
		}
		return q, nil
	}
	return nil, nil
}

// tooGood is how many spreads above the level of a healthy path a reading may
// be before it is asked about: losses explain any level below, nothing above.
// A judgement.
const tooGood = 3

// implausible reports a level that no meter shows there. It decides whether to
// ask; it never changes what was heard.
func (s *Session) implausible(r entry.Reading, before []record.Record) bool {
	dBm := r.Level.Float()
	if dBm > strongestDBm || dBm < weakestDBm {
		return true
	}
	supposed := record.Record{Draft: record.Draft{Job: s.Job, Entry: r}}
	if n := len(before); n > 0 {
		supposed.Seq = before[n-1].Seq + 1
	}
	call := trace.Replay(append(slices.Clone(before), supposed))
	for _, o := range call.Observations {
		if o.Seq == supposed.Seq {
			mean, sd := level.ExpectedLevel(call, s.Options.Tables, o)
			return dBm > mean+tooGood*sd
		}
	}
	return false
}

// askWhich lists the places a point may mean.
func askWhich(p entry.Point, path path.Path, found []int) *question {
	q := &question{kind: askPoint, blocks: true}
	for _, i := range found {
		q.add(path, i, p)
	}
	q.text = "Which one: " + strings.Join(q.names, ", or ") + "?"
	return q
}

// nowhere reports a reading that was said without any place, slot or other
// sign of where it was read.
func nowhere(e entry.Entry) bool {
	r, ok := e.(entry.Reading)
	return ok && r.Point == entry.Point{} && r.Slot == 0 && r.Transponder == 0 && r.Polarity == ""
}

// elsewhere lists the words that are said of no place on this job's path; none
// until somebody has said the path.
func (s *Session) elsewhere(ctx context.Context) ([]string, error) {
	if s.Job == "" {
		return nil, nil
	}
	records, err := s.records(ctx)
	if err != nil {
		return nil, err
	}
	said := slices.ContainsFunc(record.Current(records), func(r record.Record) bool { return r.Entry.Kind() == entry.KindPath })
	if !said {
		return nil, nil
	}
	var elements []entry.Element
	var rooms []string
	for _, e := range trace.Replay(records).Path.Elements {
		elements = append(elements, e.Element)
		rooms = append(rooms, e.Room)
	}
	return s.Parser.Unlikely(elements, rooms), nil
}
