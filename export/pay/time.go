package pay

import (
	"cmp"
	"fmt"
	"slices"
	"sort"
	"time"

	"downlead/diagnose/visit"
	"downlead/export/closeout"
)

// Limits of pauses in 29 CFR: rest of 5 to about 20 minutes counts as hours
// worked (785.18); a bona fide meal is ordinarily 30 minutes or more (785.19).
const (
	restLimit = 20 * time.Minute
	mealLeast = 30 * time.Minute
)

// use is what a stretch of time counts as.
type use int

const (
	productive use = iota
	withoutJob
	travelling
	resting
	mealPaid
	mealOff
	notCounted
)

// workSpan is a stretch of time with what it counts as.
type workSpan struct {
	visit.Interval
	use use
}

func (s workSpan) bucket() Buckets {
	n := int64(s.Long() / time.Second)
	switch s.use {
	case withoutJob:
		return Buckets{Other: n}
	case travelling:
		return Buckets{Travel: n}
	case resting:
		return Buckets{Rest: n}
	case mealPaid:
		return Buckets{MealPaid: n}
	case mealOff:
		return Buckets{MealOff: n}
	case notCounted:
		return Buckets{Off: n}
	}
	return Buckets{Productive: n}
}

// within returns the part of a span between two times; ok is false where there
// is none.
func (s workSpan) within(from, to time.Time) (workSpan, bool) {
	var ok bool
	s.Interval, ok = s.Within(from, to)
	return s, ok
}

// workTime is the week's time, in order and without overlap, with what is odd
// about it.
type workTime struct {
	rates    Rates
	from, to time.Time
	visits   [][]visit.Visit // of each job
	time     visit.Time
	logged   []loggedAt // of all jobs, in order of time
	spans    []workSpan // of the week
	flags    []PayFlag
	drift    int64
}

type loggedAt struct {
	Logged
	job string
}

// newWorkTime reckons the time of jobs in a week.
func newWorkTime(r Rates, works []Work, from, to time.Time) *workTime {
	w := &workTime{rates: r, from: from, to: to}
	var all []visit.Visit
	for _, x := range works {
		visits := visit.Of(x.Job, x.Marks)
		w.visits = append(w.visits, visits)
		all = append(all, visits...)
		for _, l := range x.Logged {
			w.logged = append(w.logged, loggedAt{l, x.Job})
		}
	}
	slices.SortStableFunc(w.logged, func(a, b loggedAt) int { return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.Entry, b.Entry)) })
	w.time = visit.Union(all, r.Zone)
	step := time.Duration(r.Policy.RoundMinutes) * time.Minute
	for i, x := range w.time.Intervals {
		s := workSpan{x, w.useOf(i)}
		exact, ok := s.within(from, to)
		if ok {
			w.drift -= exact.bucket().Worked()
		}
		// What a pause is was decided by its true length: rounding never makes a
		// meal of a short one (29 CFR 785.19, 785.48).
		s.Start, s.End = roundTime(s.Start, step), roundTime(s.End, step)
		if s, ok = s.within(from, to); ok {
			w.drift += s.bucket().Worked()
			w.spans = append(w.spans, s)
		}
	}
	w.flagTime()
	for i, x := range works {
		w.flagJob(x, w.visits[i])
	}
	return w
}

// touches reports that a stretch of time lies in the week, or some of it.
func (w *workTime) touches(start, end time.Time) bool {
	return start.Before(w.to) && !end.Before(w.from)
}

// useOf decides what an interval counts as.
func (w *workTime) useOf(i int) use {
	x := w.time.Intervals[i]
	switch x.Kind {
	case visit.Site:
		return productive
	case visit.Shop, visit.Meeting, visit.Training:
		return withoutJob
	case visit.Travel:
		if w.rates.Policy.FirstTravel == "off" && w.commutes(i) {
			return notCounted
		}
		return travelling
	case visit.Gap:
		if w.rates.Policy.Gaps == "off" {
			return notCounted
		}
		return travelling
	}
	return w.pause(x)
}

// commutes reports that travel is the first of its day, before any work, or
// the last, after all of it: from home and back (29 CFR 785.35). What lies
// between is all in the day's work (785.38).
func (w *workTime) commutes(i int) bool {
	all := w.time.Intervals
	way := func(step int) bool {
		for k := i + step; k >= 0 && k < len(all); k += step {
			a, b := all[min(k, k-step)], all[max(k, k-step)]
			switch {
			case !a.End.Equal(b.Start):
				return true
			case all[k].Kind != visit.Travel && all[k].Kind != visit.Break:
				return false
			}
		}
		return true
	}
	return way(-1) || way(1) && !w.leadsToWork(all[i])
}

// leadsToWork reports that travel ends where something was begun that no mark
// ends: it is not the way home.
func (w *workTime) leadsToWork(x visit.Interval) bool {
	return slices.ContainsFunc(w.time.Open, func(o visit.Interval) bool {
		return !o.Start.Before(x.End) && visit.SameDay(o.Start.In(w.rates.Zone), x.End.In(w.rates.Zone))
	})
}

// pause decides what a break, or what other work has left of it, counts as.
func (w *workTime) pause(x visit.Interval) use {
	long := x.Long()
	if long <= restLimit {
		return resting
	}
	flag := func(code, text string, policy string) use {
		verb, u := "counted as work", mealPaid
		if policy == "off" {
			verb, u = "not counted, by the policy", mealOff
		}
		if w.touches(x.Start, x.End) {
			w.flag(x.Job, code, "break of %s at %s: %s; %s", minutes(long), w.clock(x.Start), text, verb)
		}
		return u
	}
	if text := w.loggedInside(x); text != "" {
		return flag("work_in_meal", text+" (29 CFR 785.19)", w.rates.Policy.MealsWithWork)
	}
	if long < mealLeast {
		return flag("short_meal", "under 30 minutes (29 CFR 785.19)", w.rates.Policy.ShortMeals)
	}
	return mealOff
}

// loggedInside says what was logged within a break, of whatever job; "" where
// nothing was.
func (w *workTime) loggedInside(x visit.Interval) string {
	first := sort.Search(len(w.logged), func(i int) bool { return w.logged[i].At.After(x.Start) })
	last := sort.Search(len(w.logged), func(i int) bool { return !w.logged[i].At.Before(x.End) })
	if first >= last {
		return ""
	}
	l := w.logged[first]
	what := fmt.Sprintf("entry %d (%s) was logged in it at %s", l.Entry, closeout.Plain(string(l.What)), w.clock(l.At))
	if l.job != x.Job {
		what += ", for job " + l.job
	}
	if n := last - first - 1; n > 0 {
		what += fmt.Sprintf(", and %d more", n)
	}
	return what
}

// roundTime rounds to the nearest multiple on the wall clock, half up
// (29 CFR 785.48(b) permits it where it averages out).
func roundTime(t time.Time, to time.Duration) time.Time {
	if to == 0 {
		return t
	}
	_, offset := t.Zone()
	step := int64(to / time.Second)
	local := t.Unix() + int64(offset)
	local = (local + step/2) / step * step
	return time.Unix(local-int64(offset), 0).In(t.Location())
}

func (w *workTime) clock(t time.Time) string { return t.In(w.rates.Zone).Format("15:04") }

func (w *workTime) day(t time.Time) string { return t.In(w.rates.Zone).Format(time.DateOnly) }

func minutes(d time.Duration) string { return fmt.Sprintf("%d min", int64(d/time.Minute)) }
