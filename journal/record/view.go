package record

import (
	"slices"

	"downlead/grammar/entry"
)

// View replays records: corrections are applied in order, nothing is dropped.
// What counts now are the elements with SupersededBy == 0 that are neither
// corrections nor unconfirmed.
//
// An entry that replaces another stands directly after it, with its seq, time
// and phrase, and the correction in CorrectedBy. A correction reaches only
// records of its own job. Scratching a correction undoes it; what a count of
// entries scratches are entries that count, so a correction, a question or an
// unparsed phrase is scratched by its number alone. A job's start, close and
// reopening, a closeout and a purge happened, and are not scratched; of a start,
// close or reopening that had to be confirmed, the confirmation can be.
func View(records []Record) []Viewed {
	if !slices.ContainsFunc(records, func(r Record) bool { return r.Entry != nil && r.Entry.Kind() == entry.KindCorrection }) {
		out := make([]Viewed, len(records)) // most jobs have none: nothing to replay
		for i := range records {
			out[i].Record = records[i]
		}
		return out
	}
	v := viewer{live: liveCorrections(records), jobs: map[string]*jobView{}}
	for i := range records {
		v.add(records[i])
	}
	return v.list(len(records))
}

// Current returns the records of a view that count now, corrected, in order:
// without corrections, questions, unparsed phrases and unconfirmed entries.
func Current(records []Record) []Record { return Counting(View(records)) }

// Counting returns what Current does, of a view that is there already.
func Counting(view []Viewed) []Record {
	out := make([]Record, 0, len(view))
	for i := range view {
		if view[i].SupersededBy == 0 && Counts(&view[i].Record) {
			out = append(out, view[i].Record)
		}
	}
	return out
}

// Counts reports that a record states something, as opposed to being about
// other records or not being understood.
func Counts(r *Record) bool {
	switch r.Entry.(type) {
	case entry.Correction, entry.Question, entry.Unparsed, nil:
		return false
	}
	return !r.Unconfirmed
}

// fixed reports that a record is of a thing that happened in the journal
// itself and cannot be taken back.
func fixed(r *Record) bool {
	switch e := r.Entry.(type) {
	case entry.Job:
		return e.Verb != "complaint" && !r.Unconfirmed
	case entry.Closeout, entry.Purge, entry.Sample:
		return true
	}
	return false
}

// viewer replays. Slots hold a record and, once it is replaced, what stands in
// its place.
type viewer struct {
	live  map[int64]int64 // the entry each correction names, for those not undone
	jobs  map[string]*jobView
	slots []*slot
}

type slot struct {
	first Viewed
	later []Viewed // replacements, all of them, superseded ones too
}

// jobView is what corrections of one job can reach.
type jobView struct {
	bySeq map[int64]*slot
	order []*slot // slots that may be the last that counts; scratched ones are popped
}

func (v *viewer) add(r Record) {
	s := &slot{first: Viewed{Record: r}}
	v.slots = append(v.slots, s)
	job := v.jobs[r.Job]
	if job == nil {
		job = &jobView{bySeq: map[int64]*slot{}}
		v.jobs[r.Job] = job
	}
	if c, ok := r.Entry.(entry.Correction); ok {
		if entry, ok := v.live[r.Seq]; ok {
			c.Entry = entry
			job.apply(c, r.Seq)
		}
	} else {
		job.order = append(job.order, s)
	}
	job.bySeq[r.Seq] = s
}

func (v *viewer) list(n int) []Viewed {
	out := make([]Viewed, 0, n)
	for _, s := range v.slots {
		out = append(append(out, s.first), s.later...)
	}
	return out
}

// standing returns what stands in a slot now.
func (s *slot) standing() []*Viewed {
	var out []*Viewed
	if s.first.SupersededBy == 0 {
		out = append(out, &s.first)
	}
	for i := range s.later {
		if s.later[i].SupersededBy == 0 {
			out = append(out, &s.later[i])
		}
	}
	return out
}

// apply carries out a correction, record by of the journal.
func (j *jobView) apply(c entry.Correction, by int64) {
	switch {
	case len(c.Replace) > 0:
		j.replace(c, by)
	case c.Verb == "scratch":
		j.scratch(c, by)
	case c.Verb == "change":
		j.change(c, by)
	case c.Verb == "confirm":
		j.confirm(c, by)
	}
}

func (j *jobView) scratch(c entry.Correction, by int64) {
	if c.Entry != 0 {
		if s := j.bySeq[c.Entry]; s != nil && !fixed(&s.first.Record) {
			for _, v := range s.standing() {
				v.SupersededBy = by
			}
		}
		return
	}
	for n := max(c.Count, 1); n > 0; n-- {
		v := j.lastCounting()
		if v == nil {
			return
		}
		v.SupersededBy = by
	}
}

// lastCounting returns the last entry that counts and may be taken back.
// Slots that can never count again are forgotten on the way, so that a long
// run of corrections stays linear.
func (j *jobView) lastCounting() *Viewed {
	for i := len(j.order) - 1; i >= 0; i-- {
		standing := j.order[i].standing()
		if len(standing) == 0 {
			if i == len(j.order)-1 {
				j.order = j.order[:i]
			}
			continue
		}
		for k := len(standing) - 1; k >= 0; k-- {
			if v := standing[k]; Counts(&v.Record) && !fixed(&v.Record) {
				return v
			}
		}
	}
	return nil
}

func (j *jobView) change(c entry.Correction, by int64) {
	try := func(s *slot) bool {
		standing := s.standing()
		for k := len(standing) - 1; k >= 0; k-- {
			v := standing[k]
			if c.Entry == 0 && !Counts(&v.Record) {
				continue
			}
			if entry, ok := changed(v.Entry, c); ok {
				v.Entry, v.CorrectedBy = entry, append(v.CorrectedBy, by)
				return true
			}
		}
		return false
	}
	if c.Entry != 0 {
		if s := j.bySeq[c.Entry]; s != nil {
			try(s)
		}
		return
	}
	for i := len(j.order) - 1; i >= 0; i-- {
		if try(j.order[i]) {
			return
		}
	}
}

func (j *jobView) confirm(c entry.Correction, by int64) {
	mark := func(s *slot) bool {
		done := false
		for _, v := range s.standing() {
			if v.Unconfirmed {
				v.Unconfirmed, v.CorrectedBy, done = false, append(v.CorrectedBy, by), true
			}
		}
		return done
	}
	if c.Entry != 0 {
		if s := j.bySeq[c.Entry]; s != nil {
			mark(s)
		}
		return
	}
	for i := len(j.order) - 1; i >= 0; i-- {
		if mark(j.order[i]) {
			return
		}
	}
}

func (j *jobView) replace(c entry.Correction, by int64) {
	s := j.bySeq[c.Entry]
	if s == nil || fixed(&s.first.Record) {
		return
	}
	if _, correction := s.first.Entry.(entry.Correction); correction {
		return // what a correction did is not undone by new words: scratch it
	}
	standing := s.standing()
	if len(standing) == 0 {
		return // it was scratched: undo that first
	}
	corrected := append(standing[0].CorrectedBy, by)
	for _, v := range standing {
		v.SupersededBy = by
	}
	for _, e := range c.Replace {
		r := s.first.Record
		r.Entry, r.Unconfirmed = e, false
		s.later = append(s.later, Viewed{Record: r, CorrectedBy: slices.Clone(corrected)})
	}
}

// place is a record as corrections name it: within one job.
type place struct {
	job string
	seq int64
}

// liveCorrections returns the corrections that take effect, with the entry
// they name: those that are confirmed and that no later live correction of
// the job scratched. It goes backwards, as only a later record can undo an
// earlier one.
func liveCorrections(records []Record) map[int64]int64 {
	live := map[int64]int64{}
	scratched, confirmed := map[place]bool{}, map[place]bool{}
	for i := len(records) - 1; i >= 0; i-- {
		r := &records[i]
		c, ok := r.Entry.(entry.Correction)
		if !ok {
			continue
		}
		here := place{r.Job, r.Seq}
		if scratched[here] || r.Unconfirmed && !confirmed[here] {
			continue
		}
		if c.Verb == "confirm" && c.Entry == 0 {
			c.Entry = unconfirmedCorrection(records[:i], r.Job, confirmed)
		}
		live[r.Seq] = c.Entry
		switch {
		case c.Entry == 0 || c.Entry >= r.Seq:
		case c.Verb == "scratch":
			scratched[place{r.Job, c.Entry}] = true
		case c.Verb == "confirm":
			confirmed[place{r.Job, c.Entry}] = true
		}
	}
	return live
}

// unconfirmedCorrection returns the seq of a job's last unconfirmed record
// where that is a correction; 0 otherwise.
func unconfirmedCorrection(records []Record, job string, confirmed map[place]bool) int64 {
	for i := len(records) - 1; i >= 0; i-- {
		r := &records[i]
		if r.Job != job || !r.Unconfirmed || confirmed[place{job, r.Seq}] {
			continue
		}
		if _, ok := r.Entry.(entry.Correction); ok {
			return r.Seq
		}
		return 0
	}
	return 0
}
