package quality

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"downlead/diagnose/claim"
	"downlead/diagnose/visit"
	"downlead/export/closeout"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// Visited is one visit as quality judges it. The visit is the unit, not the
// job's number: a job that was reopened and gone to again has two.
type Visited struct {
	Closeout closeout.Closeout // of the job as it stood when the visit ended, with the visit's own outcome and durations
	Whose    string            // whose journal it is from, where several are judged together; see Team
	N        int               // which visit to the job, from 1
	Began    time.Time         // the arrival; without one, the first entry of work
	Ended    time.Time         // the departure; without one, the last entry of work
	Open     bool              // it is the job's last, and the job is not closed
}

// Label names the visit where jobs are listed: the job's number, with the
// visit's from the second on.
func (v Visited) Label() string {
	job := v.Closeout.Job
	if v.Whose != "" {
		job = v.Whose + ": " + job
	}
	if v.N <= 1 {
		return job
	}
	return fmt.Sprintf("%s visit %d", job, v.N)
}

// NewVisited cuts one job's records, raw, in order of seq, into its visits. A
// reopening begins another visit where someone went there again; so does a
// return on another day. Coming back the same day, from a run for parts, does
// not. A job that goes on under another number has none.
func NewVisited(records []record.Record) ([]Visited, error) {
	current := record.Current(records)
	if record.MovedTo(current) != "" {
		return nil, nil
	}
	cuts := visitCuts(current)
	var out []Visited
	for i, from := range cuts {
		to, last := len(current), i == len(cuts)-1
		if !last {
			to = cuts[i+1]
		}
		// Later corrections hold for earlier visits; what was never confirmed
		// stands against the last.
		upTo := current[:to]
		if last {
			upTo = records
		}
		v, err := newVisited(upTo, current[from:to], i+1, last)
		if err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	return out, nil
}

// NewLotVisits cuts one job's records into its visits, with nothing of them but
// what decides whether they are in a month's lot. It is a tenth of the work.
func NewLotVisits(records []record.Record) []Visited {
	current := record.Current(records)
	if record.MovedTo(current) != "" {
		return nil
	}
	cuts := visitCuts(current)
	out := make([]Visited, len(cuts))
	for i, from := range cuts {
		to, last := len(current), i == len(cuts)-1
		if !last {
			to = cuts[i+1]
		}
		v := Visited{N: i + 1, Closeout: closeout.Closeout{Job: records[0].Job}, Open: last && !closed(current)}
		v.Began, v.Ended = visitTimes(current[from:to])
		out[i] = v
	}
	return out
}

// closed reports whether a job was closed last and not reopened since.
func closed(current []record.Record) bool {
	is := false
	for _, r := range current {
		if j, ok := r.Entry.(entry.Job); ok && (j.Verb == "close" || j.Verb == "reopen") {
			is = j.Verb == "close"
		}
	}
	return is
}

// newVisited makes visit n from the job's records up to its end and from its own.
func newVisited(upTo, own []record.Record, n int, last bool) (Visited, error) {
	v := Visited{N: n}
	v.Began, v.Ended = visitTimes(own)
	if !last {
		end := own[len(own)-1]
		end.At, end.Entry = v.Ended, entry.Job{Verb: "close"}
		upTo, own = append(slices.Clone(upTo), end), append(slices.Clone(own), end)
	}
	d := claim.Outline(upTo)
	c, err := closeout.NewCloseout(closeout.Input{Records: upTo, Diagnosis: d})
	if err != nil {
		return v, err
	}
	v.Closeout, v.Open = c, c.Closed == nil
	if n > 1 {
		d.Outcome = ownOutcome(d, own)
		alone, err := closeout.NewCloseout(closeout.Input{Records: own, Diagnosis: d})
		if err != nil {
			return v, err
		}
		v.Closeout.Outcome, v.Closeout.Durations, v.Closeout.Times = alone.Outcome, alone.Durations, alone.Times
	}
	return v, nil
}

// ownOutcome is how a visit after the first ended. What was mended on an earlier
// one is no fix of its own: it then counts as what its own readings show, that
// nothing fails, or that it passes unexplained.
func ownOutcome(d claim.Diagnosis, own []record.Record) claim.Outcome {
	if !closeout.Outcome(d.Outcome.Code).Mended() {
		return d.Outcome
	}
	mended := slices.ContainsFunc(d.Repairs, func(s claim.Shown) bool {
		return s.Proves() && slices.ContainsFunc(own, func(r record.Record) bool { return r.Seq == s.Repair.Seq })
	})
	read := slices.ContainsFunc(own, func(r record.Record) bool { _, is := r.Entry.(entry.Reading); return is })
	if mended || !read {
		return d.Outcome
	}
	return claim.Outline(own).Outcome
}

// visitCuts returns the indexes at which visits begin, the first always 0.
func visitCuts(current []record.Record) []int {
	cuts := []int{0}
	var closed, departed, reopened, there bool
	var at time.Time // when the visit was last known to go on, or closed
	for i, r := range current {
		switch e := r.Entry.(type) {
		case entry.Job:
			switch e.Verb {
			case "close":
				closed, at = true, r.At
			case "reopen":
				reopened = closed
			}
			continue
		case entry.Time:
			back := e.Mark == "en_route" || e.Mark == "arrived" || e.Mark == "no_access"
			if there && r.At.After(at) && (reopened || departed && back && !visit.SameDay(at.In(r.At.Location()), r.At)) {
				cuts, there, reopened, closed = append(cuts, i), false, false, false
			}
			departed = e.Mark == "departed"
		default:
			if !presence(r.Entry) {
				continue
			}
			if there && reopened && r.At.After(at) {
				cuts, reopened, closed = append(cuts, i), false, false
			}
		}
		there = true
		if !closed {
			at = r.At
		}
	}
	return cuts
}

// presence reports that an entry shows that someone was there.
func presence(e entry.Entry) bool {
	switch e.(type) {
	case entry.Reading, entry.Action, entry.Check:
		return true
	}
	return false
}

// visitTimes is when a visit began and ended.
func visitTimes(own []record.Record) (began, ended time.Time) {
	var arrived, departed, first, last time.Time
	for _, r := range own {
		t, mark := r.Entry.(entry.Time)
		switch {
		case mark && (t.Mark == "arrived" || t.Mark == "no_access") && arrived.IsZero():
			arrived = r.At
		case mark && t.Mark == "departed":
			departed = r.At
		}
		if mark || presence(r.Entry) {
			if first.IsZero() || r.At.Before(first) {
				first = r.At
			}
			if r.At.After(last) {
				last = r.At
			}
		}
	}
	if first.IsZero() { // nothing but papers
		first, last = own[0].At, own[len(own)-1].At
	}
	began, ended = cmp.Or(arrived, first), cmp.Or(departed, last)
	if ended.Before(began) {
		ended = began
	}
	return began, ended
}

// VisitOf takes a whole closeout as one visit, for those who have no records.
func VisitOf(c closeout.Closeout) Visited {
	v := Visited{Closeout: c, N: 1, Open: c.Closed == nil}
	visits := visit.Of(c.Job, c.Times)
	began, _ := closeout.Begins(c)
	if c.Opened != nil && len(visits) == 0 {
		began = *c.Opened
	}
	v.Began, v.Ended = began, began
	for _, x := range visits {
		v.Ended = x.End() // they are in order
	}
	if at, ok := visit.First(visits, "arrived"); ok {
		v.Began = at
	}
	if len(visits) == 0 && c.Closed != nil {
		v.Ended = *c.Closed
	}
	return v
}
