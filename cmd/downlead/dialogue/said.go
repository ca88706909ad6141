package dialogue

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"downlead/diagnose/claim"
	"downlead/diagnose/next"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

// Tell is Hear for those who go on whatever a phrase was: where no job is open,
// or the job is closed, the reply says so. Only a journal that cannot be
// written is an error.
func (s *Session) Tell(ctx context.Context, p Phrase) (Reply, error) {
	r, err := s.Hear(ctx, p)
	switch {
	case errors.Is(err, ErrNoJob), errors.Is(err, journal.ErrNoJob):
		return refused("no job is open; say: start job, and its number", ""), nil
	case errors.Is(err, journal.ErrClosed):
		return refused("that job is closed", "reopen job"), nil
	}
	return r, err
}

// understood reads a phrase as entries. What sounds like a phrase is one in
// doubt, and a figure by itself is of the point that was named.
func (s *Session) understood(ctx context.Context, p *Phrase) ([]entry.Entry, error) {
	entries, err := s.Parser.Parse(p.Text)
	var bad *grammar.Error
	if err == nil || s.Job == "" || !errors.As(err, &bad) {
		return entries, err
	}
	if bad.Proposal != nil {
		if slices.ContainsFunc(bad.Proposal.Entries, func(e entry.Entry) bool {
			_, missing := entry.Complete(e, nil)
			return missing == entry.MissingPart
		}) {
			return bad.Proposal.Entries, nil // its place is asked, not its words
		}
		p.Doubt = "it is not as the words are spelt"
		return bad.Proposal.Entries, nil
	}
	if records, rerr := s.records(ctx); rerr == nil {
		if previous := lastPoint(records); previous != nil {
			if beside := s.Parser.ParseBeside(p.Text, *previous); beside != nil {
				return beside, nil
			}
		}
	}
	if r, ok := s.Parser.ParseBare(p.Text); ok {
		named, nerr := s.named(ctx)
		if nerr != nil {
			return nil, nerr
		}
		if named != nil {
			r.Point, r.Assumed = *named, append(r.Assumed, "point")
		}
		return []entry.Entry{r}, nil
	}
	return nil, err
}

// named is the point that the last answer told to read next; nil when it named
// none.
func (s *Session) named(ctx context.Context) (*entry.Point, error) {
	records, err := s.records(ctx)
	if err != nil || len(records) == 0 {
		return nil, err
	}
	switch e := records[len(records)-1].Entry.(type) {
	case entry.Question:
		if e.Question != "next" {
			return nil, nil
		}
	case entry.Reading, entry.Action, entry.Check:
	default:
		return nil, nil
	}
	d := claim.Diagnose(records, s.Options)
	if d.Next == nil || d.Next.Act != next.ActRead || d.Next.Point.Element == "" {
		return nil, nil
	}
	return &d.Next.Point, nil
}

// spread makes one entry a receiver of "both receivers good", and adds what a
// complaint says to the complaint.
func (s *Session) spread(entries []entry.Entry, before []record.Record) []placed {
	var out []placed
	for _, e := range entries {
		switch e := e.(type) {
		case entry.Reading:
			if e.Point.Which != "" {
				out = append(out, several(e, before)...)
				continue
			}
		case entry.Check:
			if e.Point != nil && e.Point.Which != "" {
				out = append(out, severalChecks(e, before)...)
				continue
			}
		case entry.Action:
			if all := severalActions(e, before); all != nil {
				out = append(out, all...)
				continue
			}
		case entry.Symptom:
			if e.Point != nil && e.Point.Which != "" {
				e.Point = nil
			}
			out = append(out, placed{entry: e})
			continue
		case entry.Job:
			out = append(out, placed{entry: e})
			if e.Verb == "complaint" {
				for _, symptom := range s.Parser.Symptoms(e.Text) {
					out = append(out, placed{entry: symptom})
				}
			}
			continue
		}
		out = append(out, placed{entry: e})
	}
	return out
}

// several is a reading of several receivers as one of each; where the path has
// fewer or more than were said, it asks which.
func several(r entry.Reading, before []record.Record) []placed {
	path := trace.Replay(before).Path
	chosen, ok := choose(r.Point.Which, path, func(i int) bool { return read(before, path, i) })
	r.Point.Which = ""
	if !ok {
		return []placed{{entry: r, ask: askReceiver(path, r.Point)}}
	}
	var out []placed
	for _, i := range chosen {
		one := r
		one.Point = path.Point(i, r.Point.Side)
		out = append(out, placed{entry: one})
	}
	return out
}

// severalChecks is several of a check of receivers.
func severalChecks(c entry.Check, before []record.Record) []placed {
	path := trace.Replay(before).Path
	point := *c.Point
	chosen, ok := choose(point.Which, path, func(i int) bool { return checked(before, c.Check, path, i) })
	point.Which = ""
	if !ok {
		c.Point = nil
		return []placed{{entry: c, ask: askReceiver(path, point)}}
	}
	var out []placed
	for _, i := range chosen {
		one, at := c, path.Point(i, "")
		one.Point = &at
		out = append(out, placed{entry: one})
	}
	return out
}

// severalActions is "plugged in all the receivers" as one deed of each; nil of
// any other, and where the path has fewer or more than were said.
func severalActions(a entry.Action, before []record.Record) []placed {
	if a.Element != entry.Receiver || a.Number != 0 || a.Room != "" || a.Action != "plugged_in" && a.Action != "reset" {
		return nil
	}
	which := entry.WhichBoth
	switch {
	case a.Quantity == 2:
	case a.Remark == "all" || strings.HasPrefix(a.Remark, "all,"):
		which = entry.WhichAll
	default:
		return nil
	}
	path := trace.Replay(before).Path
	chosen, ok := choose(which, path, nil)
	if !ok {
		return nil
	}
	a.Quantity = 0
	var out []placed
	for _, i := range chosen {
		one, at := a, path.Point(i, "")
		one.Number, one.Room = at.Number, at.Room
		out = append(out, placed{entry: one})
	}
	return out
}

// choose is the receivers of a path that were said; ok tells that they are as
// many as the words say. done reports one that is no other.
func choose(which entry.Which, path path.Path, done func(int) bool) (chosen []int, ok bool) {
	receivers := path.Receivers()
	word, count := which.Word()
	numbers := which.Numbers()
	switch {
	case len(numbers) > 0:
		for _, i := range receivers {
			if slices.Contains(numbers, path.Number(i)) {
				chosen = append(chosen, i)
			}
		}
		return chosen, len(chosen) == len(numbers)
	case word == entry.WhichOthers:
		for _, i := range receivers {
			if !done(i) {
				chosen = append(chosen, i)
			}
		}
		return chosen, len(chosen) > 0 && len(chosen) < len(receivers) && (count == 0 || count == len(chosen))
	case word == entry.WhichBoth:
		return receivers, len(receivers) == 2
	}
	return receivers, len(receivers) > 0 && (count == 0 || count == len(receivers))
}

// askReceiver asks which receiver of a path was meant.
func askReceiver(path path.Path, said entry.Point) *question {
	receivers := path.Receivers()
	q := &question{kind: askPoint, blocks: true}
	for _, i := range receivers {
		q.add(path, i, said)
	}
	q.text = fmt.Sprintf("This path has %s. Which one: %s?", counted(len(receivers), "receiver"), strings.Join(q.names, ", or "))
	return q
}

func counted(n int, what string) string {
	said := entry.SayNumber(entry.NewDecimal(int64(n), 0)) + " " + what
	if n != 1 {
		said += "s"
	}
	return said
}

// read reports that a receiver has a reading that counts.
func read(records []record.Record, path path.Path, receiver int) bool {
	return slices.ContainsFunc(record.Current(records), func(r record.Record) bool {
		e, ok := r.Entry.(entry.Reading)
		return ok && isReceiver(path, e.Point, receiver)
	})
}

// checked reports that a receiver has a check of a name that counts.
func checked(records []record.Record, check string, path path.Path, receiver int) bool {
	return slices.ContainsFunc(record.Current(records), func(r record.Record) bool {
		e, ok := r.Entry.(entry.Check)
		return ok && e.Check == check && e.Point != nil && isReceiver(path, e.At(), receiver)
	})
}

// isReceiver reports that a point can only be of one receiver of the path.
func isReceiver(path path.Path, p entry.Point, receiver int) bool {
	found := path.Find(p)
	return p.Element == entry.Receiver && len(found) == 1 && found[0] == receiver
}

// add adds element i of the path to the choices of a question.
func (q *question) add(path path.Path, i int, said entry.Point) {
	choice := path.Point(i, said.Side)
	choice.Port = said.Port
	room := path.Elements[i].Room
	q.choices, q.rooms = append(q.choices, choice), append(q.rooms, room)
	q.names = append(q.names, entry.SayPoint(entry.Point{Element: choice.Element, Number: choice.Number, Room: room}))
}

// odd finds what must be asked about an entry that is no reading, and about a
// reading that says too little.
func odd(e entry.Entry, call trace.Call) *question {
	switch e := e.(type) {
	case entry.Reading:
		return oddReading(e, call)
	case entry.Action:
		return oddAction(e, call)
	}
	return nil
}

func oddReading(r entry.Reading, call trace.Call) *question {
	shows := r.Verdict != "" || r.NoSignal || r.Level.Said() || r.Strength.Said() || r.MER.Said() || r.Volts.Said()
	if !shows {
		return &question{kind: askResult, blocks: true, text: sentence(entry.SayPoint(r.Point)+", "+r.Remark) + " Pass or fail?"}
	}
	found := call.Path.Find(r.Point)
	receivers := call.Path.Receivers()
	there := slices.ContainsFunc(found, func(i int) bool { return call.Path.Elements[i].Room == r.Point.Room })
	if r.Point.Element == entry.Receiver && r.Point.Room != "" && r.Point.Number == 0 && !there && len(receivers) > 1 {
		q := &question{kind: askPoint, blocks: true}
		for _, i := range receivers {
			q.add(call.Path, i, r.Point)
		}
		q.text = fmt.Sprintf("No receiver of this path is in the %s. Which one: %s?", r.Point.Room, strings.Join(q.names, ", or "))
		return q
	}
	if r.Point.Side != entry.ReceiverSide || r.Point.Port != 0 || len(found) != 1 {
		return nil
	}
	return askOutput(r.Point, call.Path, found[0])
}

// askOutput asks which output of a part was read, where it has several in use.
func askOutput(p entry.Point, path path.Path, i int) *question {
	var ports []int
	for _, e := range path.Elements {
		if e.Parent == path.Elements[i].ID && !e.Removed && e.Port > 0 && !slices.Contains(ports, e.Port) {
			ports = append(ports, e.Port)
		}
	}
	if len(ports) < 2 {
		return nil
	}
	slices.Sort(ports)
	q := &question{kind: askPoint, blocks: true}
	for _, port := range ports {
		choice := p
		choice.Port = port
		q.choices, q.rooms = append(q.choices, choice), append(q.rooms, "")
		q.names = append(q.names, "output "+entry.SayNumber(entry.NewDecimal(int64(port), 0)))
	}
	q.text = fmt.Sprintf("Which output of the %s: %s?", entry.SayPoint(entry.Point{Element: p.Element, Number: p.Number}), strings.Join(q.names, ", or "))
	return q
}

// oddAction asks which part was worked on, where the path has several.
func oddAction(a entry.Action, call trace.Call) *question {
	if ways := tooFewOutputs(a, call.Path); ways > 0 {
		return &question{kind: askWords, blocks: true, text: fmt.Sprintf("That has only %s outputs. Did you say: %s?", entry.SayNumber(entry.NewDecimal(int64(ways), 0)), entry.Say(a))}
	}
	switch a.Element {
	case entry.Fitting, entry.Cable, entry.Jumper, entry.Barrel, entry.Mount, entry.GroundWire, entry.Dish:
		return nil
	}
	if a.Action == "added" || a.At != nil || a.Quantity > 1 {
		return nil
	}
	said := entry.Point{Element: a.Element, Number: a.Number, Room: a.Room}
	found := call.Path.Find(said)
	if len(found) < 2 {
		return nil
	}
	q := &question{kind: askPart, blocks: true}
	for _, i := range found {
		q.add(call.Path, i, said)
	}
	q.text = "Which one: " + strings.Join(q.names, ", or ") + "?"
	return q
}

// tooFewOutputs is how many outputs the part has on which something was said to
// be hung, where they are fewer than the output that was said; else 0.
func tooFewOutputs(a entry.Action, coax path.Path) int {
	found := coax.Find(entry.Point{Element: a.Element, Number: a.Number, Room: a.Room})
	if a.Action != "moved" || a.To == nil || a.To.Port == 0 || len(found) != 1 {
		return 0
	}
	for i := found[0]; i >= 0; i = coax.Parent[i] {
		if coax.Multi(i) {
			if ways := coax.Elements[i].SaidWays; ways > 0 && a.To.Port > ways {
				return ways
			}
			return 0
		}
	}
	return 0
}

// item asks whether what was seen is a fail of the inspection, once a check.
func item(e entry.Entry, before []record.Record) *question {
	s, ok := e.(entry.Sighting)
	if !ok {
		return nil
	}
	check := "components"
	switch s.Element {
	case entry.Dish:
		check = "dish"
	case entry.Mount:
		check = "mount"
	case entry.Cable, entry.Jumper:
		check = "cabling"
	case entry.GroundWire, entry.GroundBlock:
		check = "grounding"
	}
	for _, r := range before {
		if c, ok := r.Entry.(entry.Check); ok && c.Check == check {
			return nil
		}
		if other, ok := r.Entry.(entry.Sighting); ok && (other.Element == s.Element) {
			return nil
		}
	}
	return &question{kind: askItem, check: entry.Check{Check: check, Verdict: entry.Fail, Remark: entry.Say(s)}, text: "Is that a fail of the " + check + " check?"}
}

// correcting settles what a correction reaches, and asks where it is more than
// the last reading.
func (s *Session) correcting(c entry.Correction, before []record.Record) (entry.Correction, *question, string) {
	if len(before) == 0 {
		return c, nil, "There is nothing to correct."
	}
	last := before[len(before)-1]
	if c.Entry != 0 || c.Verb == "confirm" {
		return c, nil, ""
	}
	if u, ok := last.Entry.(entry.Unparsed); ok && !taken(before, last.Seq) {
		if c.Verb == "scratch" && c.Count <= 1 {
			c.Entry, c.Count = last.Seq, 0
			return c, nil, ""
		}
		if c.Verb == "change" && c.Point != nil && c.Point.Element != "" && (c.Level.Said() || c.Verdict != "") {
			r := entry.Reading{Point: *c.Point, Verdict: c.Verdict, Level: c.Level, Strength: c.Strength, NoSignal: c.NoSignal}
			whole, missing := entry.Complete(r, nil)
			if missing == "" {
				return entry.Correction{Verb: "change", Entry: last.Seq, Replace: []entry.Entry{whole}}, nil, ""
			}
		}
		_ = u
	}
	reached := reaches(c, before)
	if len(reached) == 0 {
		return c, nil, "There is nothing to " + verbOf(c) + "."
	}
	reading := reached[0].Entry.Kind() == entry.KindReading
	near := reached[0].Seq == last.Seq || samePhrase(reached[0].Record, last)
	if len(reached) == 1 {
		c.Entry, c.Count = reached[0].Seq, 0
	}
	if len(reached) == 1 && (reading && (near || c.Verb == "change") || c.At != "") {
		return c, nil, ""
	}
	return c, askReach(c, reached), ""
}

// askReach asks whether a correction is of what it reaches.
func askReach(c entry.Correction, reached []record.Viewed) *question {
	names := make([]string, len(reached))
	for i, r := range reached {
		names[i] = entry.Say(r.Entry)
	}
	return &question{kind: askWords, blocks: true, text: strings.ToUpper(verbOf(c)[:1]) + verbOf(c)[1:] + ": " + strings.Join(names, "; ") + "?"}
}

func verbOf(c entry.Correction) string {
	if c.Verb == "scratch" {
		return "scratch"
	}
	return "change"
}

// taken reports that a record was taken back.
func taken(records []record.Record, seq int64) bool {
	for _, v := range record.View(records) {
		if v.Seq == seq && v.SupersededBy != 0 {
			return true
		}
	}
	return false
}

func samePhrase(a, b record.Record) bool { return a.Phrase == b.Phrase && a.At.Equal(b.At) }

// reaches are the entries that a correction without a number would change, the
// newest first: found by trying it.
func reaches(c entry.Correction, before []record.Record) []record.Viewed {
	n := before[len(before)-1]
	trial := n
	trial.Seq, trial.Unconfirmed, trial.Entry = n.Seq+1, false, c
	view := record.View(append(slices.Clone(before), trial))
	var out []record.Viewed
	was := map[int64]record.Viewed{}
	for _, v := range record.View(before) {
		was[v.Seq] = v
	}
	for i := len(view) - 1; i >= 0; i-- {
		v := view[i]
		if v.SupersededBy == trial.Seq || slices.Contains(v.CorrectedBy, trial.Seq) {
			out = append(out, was[v.Seq])
		}
	}
	return out
}
