package visit

import (
	"cmp"
	"slices"
	"time"
)

// Kind is what an interval was spent on.
type Kind string

// The kinds of interval. Shop, Meeting and Training are time without a job.
// A Gap is what no mark covers between two intervals of one day.
const (
	Travel   Kind = "travel"
	Site     Kind = "site"
	Break    Kind = "break"
	Shop     Kind = "shop"
	Meeting  Kind = "meeting"
	Training Kind = "training"
	Gap      Kind = "gap"
)

// Interval is a stretch of time of one kind. Its end is not part of it.
type Interval struct {
	Kind       Kind
	Start, End time.Time
	Job        string // "" for time without a job
	Visit      int    // which visit to the job, from 1
	Entry      int64  // the mark that began it; 0 for a gap
	Cut        bool   // ended by something other than what it waits for: a break, a trip
}

// Long is how long the interval lasts.
func (i Interval) Long() time.Duration { return i.End.Sub(i.Start) }

// Within returns the part of the interval between two times; false where there
// is none.
func (i Interval) Within(from, to time.Time) (Interval, bool) {
	if i.Start.Before(from) {
		i.Start = from
	}
	if i.End.After(to) {
		i.End = to
	}
	return i, i.Start.Before(i.End)
}

// Visit is one stay at a job, from the mark that begins it to the departure.
type Visit struct {
	Job       string
	N         int // from 1
	Marks     []Mark
	Intervals []Interval
	Open      *Interval // begun and not ended: its End is the zero time
}

// Start is the time of the visit's first mark.
func (v Visit) Start() time.Time { return v.Marks[0].At }

// End is the time of the departure, or of the last mark where there is none.
func (v Visit) End() time.Time { return v.Marks[len(v.Marks)-1].At }

// First returns the time of the first mark of a name, and whether there is one.
func (v Visit) First(name string) (time.Time, bool) {
	for _, m := range v.Marks {
		if m.Mark == name {
			return m.At, true
		}
	}
	return time.Time{}, false
}

// Of cuts the marks of one job into visits, in order of time. A visit ends with
// a departure; a reopening, and a mark of another day that does not say what
// the one before it waited for, begin another, and leave open what was open.
// What a break falls into goes on after it.
func Of(job string, marks []Mark) []Visit {
	b := builder{job: job}
	for _, m := range Sorted(marks) {
		b.add(m)
	}
	b.end()
	return b.visits
}

// Sorted returns marks in order of time, those of one time as logged.
func Sorted(marks []Mark) []Mark {
	out := slices.Clone(marks)
	slices.SortStableFunc(out, func(a, b Mark) int { return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.Entry, b.Entry)) })
	return out
}

type builder struct {
	job    string
	visits []Visit
	v      Visit
	now    *Interval // what is going on
	paused Kind      // what the break interrupted
	left   bool      // the visit's departure was marked
}

// end closes the visit being built.
func (b *builder) end() {
	if b.now != nil {
		b.v.Open, b.now = b.now, nil
	}
	if len(b.v.Marks) > 0 {
		b.v.Job, b.v.N = b.job, len(b.visits)+1
		b.visits = append(b.visits, b.v)
	}
	b.v, b.paused, b.left = Visit{}, "", false
}

func (b *builder) begin(k Kind, m Mark) {
	b.now = &Interval{Kind: k, Start: m.At, Job: b.job, Visit: len(b.visits) + 1, Entry: m.Entry}
}

// stop ends what is going on.
func (b *builder) stop(m Mark) {
	if b.now == nil {
		return
	}
	b.now.End = m.At
	b.now.Cut = b.now.Kind == Break && m.Mark != "break_end"
	if b.now.End.After(b.now.Start) {
		b.v.Intervals = append(b.v.Intervals, *b.now)
	}
	b.now = nil
}

func (b *builder) add(m Mark) {
	if m.Mark == Reopened {
		b.end()
		return
	}
	if b.another(m) {
		b.end()
	}
	b.v.Marks = append(b.v.Marks, m)
	switch m.Mark {
	case "break_start":
		if b.now != nil && b.now.Kind != Break {
			b.paused = b.now.Kind
		}
		b.stop(m)
		b.begin(Break, m)
	case "break_end":
		if b.now == nil || b.now.Kind != Break {
			return
		}
		b.stop(m)
		if b.paused != "" {
			b.begin(b.paused, m)
			b.paused = ""
		}
	case "no_access": // nobody opens only to one who is there
		if b.now == nil || b.now.Kind == Travel {
			b.stop(m)
			b.begin(Site, m)
		}
	case "departed", DayEnd:
		b.stop(m)
		b.paused, b.left = "", true
	default:
		if k, ok := begins(m.Mark); ok {
			b.stop(m)
			b.begin(k, m)
			b.paused = ""
		}
	}
}

// another reports that a mark begins another visit.
func (b *builder) another(m Mark) bool {
	if len(b.v.Marks) == 0 || m.Mark == "departed" || m.Mark == "break_end" {
		return false
	}
	if b.left {
		return true
	}
	switch {
	case SameDay(b.v.End(), m.At):
		return false
	case b.now != nil && (m.Mark == "break_start" || b.now.Kind == Travel && m.Mark == "arrived"):
		return m.At.Sub(b.v.End()) > longest
	}
	return true
}

// longest is how long after a mark the next still goes on with it over
// midnight: the project's choice.
const longest = 12 * time.Hour

// begins is the kind of interval that a mark begins.
func begins(mark string) (Kind, bool) {
	switch mark {
	case "en_route":
		return Travel, true
	case "arrived":
		return Site, true
	case ShopTime, BackAtShop:
		return Shop, true
	case MeetingTime:
		return Meeting, true
	case TrainingTime:
		return Training, true
	}
	return "", false
}

// SameDay reports that two times have one date where they were logged.
func SameDay(a, b time.Time) bool {
	ay, am, ad := a.Date()
	by, bm, bd := b.Date()
	return ay == by && am == bm && ad == bd
}
