package pay

import (
	"cmp"
	"slices"
	"time"

	"downlead/diagnose/claim"
	"downlead/diagnose/visit"
	"downlead/export/closeout"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// Work is what pay reads of one job; of the time without a job where Job is "".
type Work struct {
	Job       string
	Outcome   closeout.Outcome
	Opened    *time.Time
	Closed    *time.Time // nil while the job is open
	Marks     []visit.Mark
	Codes     []closeout.Code
	Miles     []Drive
	Materials []UsedPart
	Logged    []Logged // all that was done and said there, but for time marks
	Unclear   []closeout.Unparsed
	Journal   closeout.ChainHead
}

// Drive is a distance driven.
type Drive struct {
	Entry int64
	At    time.Time
	Miles entry.Decimal
}

// UsedPart is a part used, as logged.
type UsedPart struct {
	At       time.Time
	Material entry.Material
}

// Logged is an entry of work: it shows that someone worked then.
type Logged struct {
	Entry int64
	At    time.Time
	What  entry.Kind
}

// NewWork reads the records of one job, raw, in order of seq. A job that goes on
// under another number has nothing in it.
func NewWork(records []record.Record) Work {
	var w Work
	if len(records) == 0 {
		return w
	}
	w.Job = records[0].Job
	view := record.View(records)
	if record.MovedTo(record.Counting(view)) != "" {
		return w
	}
	w.Marks = visit.Marks(records, view)
	for i := range view {
		v := &view[i]
		u, unparsed := v.Entry.(entry.Unparsed)
		switch {
		case v.SupersededBy != 0:
		case unparsed:
			w.Unclear = append(w.Unclear, closeout.Unparsed{Entry: v.Seq, Text: u.Text, Reason: "was not understood"})
		case v.Unconfirmed:
			w.Unclear = append(w.Unclear, closeout.Unparsed{Entry: v.Seq, Text: v.Phrase, Reason: "was not confirmed"})
		default:
			w.add(&v.Record)
		}
	}
	return w
}

// add takes a record that counts.
func (w *Work) add(r *record.Record) {
	at := r.At.Truncate(time.Second)
	switch e := r.Entry.(type) {
	case entry.Job:
		switch e.Verb {
		case "start":
			if w.Opened == nil {
				w.Opened = &at
			}
		case "close":
			w.Closed = &at
		case "reopen":
			w.Closed = nil
		}
	case entry.Code:
		units := e.Units
		if !units.Said() {
			units = entry.NewDecimal(1, 0)
		}
		w.Codes = append(w.Codes, closeout.Code{Entry: r.Seq, At: at, Code: e.Code, Units: units})
	case entry.Miles:
		w.Miles = append(w.Miles, Drive{r.Seq, at, e.Value})
	case entry.Material:
		w.Materials = append(w.Materials, UsedPart{at, e})
	}
	if worksAt(r.Entry) {
		w.Logged = append(w.Logged, Logged{r.Seq, at, r.Entry.Kind()})
	}
}

// worksAt reports that who logs an entry is at work: everything but times, the
// job's papers, and what is about other entries.
func worksAt(e entry.Entry) bool {
	switch e.(type) {
	case entry.Time, entry.Job, entry.Site, entry.Consent, entry.Correction, entry.Question,
		entry.Unparsed, entry.Closeout, entry.Purge, entry.Sample, entry.Import, entry.Control, entry.Answer:
		return false
	}
	return true
}

// begins is the first time there is of a job.
func (w Work) begins() time.Time {
	switch {
	case len(w.Marks) > 0:
		return w.Marks[0].At
	case w.Opened != nil:
		return *w.Opened
	case len(w.Codes) > 0:
		return w.Codes[0].At
	}
	return time.Time{}
}

// inOrder sorts jobs by their first time, then by number, so that the order
// they come in changes nothing.
func inOrder(works []Work) []Work {
	out := slices.Clone(works)
	slices.SortStableFunc(out, func(a, b Work) int {
		return cmp.Or(a.begins().Compare(b.begins()), cmp.Compare(a.Job, b.Job))
	})
	return out
}

// paidVisit is the visit that an entry of a time belongs to: the last that had
// begun, else the first. Its end decides which week pays it.
func paidVisit(visits []visit.Visit, at time.Time) (visit.Visit, bool) {
	if len(visits) == 0 {
		return visit.Visit{}, false
	}
	best := visits[0]
	for _, v := range visits {
		if !v.Start().After(at) {
			best = v
		}
	}
	return best, true
}

// paidAt is the time that decides which week and which rates an entry of a
// time is paid by: the departure of its visit, its own time where there is none.
func paidAt(visits []visit.Visit, at time.Time) time.Time {
	if v, ok := paidVisit(visits, at); ok {
		return v.End()
	}
	return at
}

// OutcomeOf says how a job ended, from its records.
func OutcomeOf(records []record.Record) (closeout.Outcome, error) {
	c, err := closeout.NewCloseout(closeout.Input{Records: records, Diagnosis: claim.Outline(records)})
	return c.Outcome, err
}
