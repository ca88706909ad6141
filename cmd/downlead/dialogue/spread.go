package dialogue

import (
	"fmt"
	"slices"
	"strings"

	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

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
	which := r.Point.Which
	r.Point.Which = ""
	out, ok := each(path, which, func(i int) bool { return read(before, path, i) }, func(i int) entry.Entry {
		r.Point = path.Point(i, r.Point.Side)
		return r
	})
	if !ok {
		return []placed{{entry: r, ask: askReceiver(path, r.Point)}}
	}
	return out
}

// severalChecks is several of a check of receivers.
func severalChecks(c entry.Check, before []record.Record) []placed {
	path := trace.Replay(before).Path
	point := *c.Point
	out, ok := each(path, point.Which, func(i int) bool { return checked(before, c.Check, path, i) }, func(i int) entry.Entry {
		at := path.Point(i, "")
		c.Point = &at
		return c
	})
	if !ok {
		point.Which, c.Point = "", nil
		return []placed{{entry: c, ask: askReceiver(path, point)}}
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
	a.Quantity = 0
	out, ok := each(path, which, nil, func(i int) entry.Entry {
		at := path.Point(i, "")
		a.Number, a.Room = at.Number, at.Room
		return a
	})
	if !ok {
		return nil
	}
	return out
}

// each is what one says of every receiver of a path that was said; ok is as that
// of choose.
func each(path path.Path, which entry.Which, done func(int) bool, one func(receiver int) entry.Entry) (out []placed, ok bool) {
	chosen, ok := choose(which, path, done)
	for _, i := range chosen {
		out = append(out, placed{entry: one(i)})
	}
	return out, ok
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
