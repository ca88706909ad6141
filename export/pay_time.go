package export

import (
	"fmt"
	"time"
)

// Limits of pauses in 29 CFR: rest of 5 to about 20 minutes counts as hours
// worked (785.18); a bona fide meal is ordinarily 30 minutes or more (785.19).
const (
	restLimit = 20 * time.Minute
	mealLeast = 30 * time.Minute
)

// nightGap is the longest unmarked time over midnight that is flagged as
// perhaps worked rather than taken for a night's rest: the project's choice.
const nightGap = 4 * time.Hour

// use is what a stretch of time counts as.
type use int

const (
	productive use = iota
	travelling
	resting
	mealPaid
	mealOff
	notCounted
)

// workSpan is a stretch of a job's time with what it counts as.
type workSpan struct {
	start, end time.Time
	use        use
}

func (s workSpan) bucket() Buckets {
	n := int64(s.end.Sub(s.start) / time.Second)
	switch s.use {
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

// workTime is the week's time, job by job, with what is odd about it.
type workTime struct {
	rates Rates
	jobs  [][]workSpan
	flags []PayFlag
	drift int64
}

// newWorkTime sorts the time of jobs that come in order of time.
func newWorkTime(r Rates, jobs []Closeout, from, to time.Time) *workTime {
	w := &workTime{rates: r}
	exact := w.spans(jobs, from, to, 0)
	w.jobs = exact
	if r.Policy.RoundMinutes > 0 {
		w.flags = nil
		w.jobs = w.spans(jobs, from, to, time.Duration(r.Policy.RoundMinutes)*time.Minute)
		w.drift = worked(w.jobs) - worked(exact)
	}
	return w
}

func worked(jobs [][]workSpan) (sum int64) {
	for _, spans := range jobs {
		for _, s := range spans {
			sum += s.bucket().Worked()
		}
	}
	return sum
}

func (w *workTime) flag(job, code, format string, args ...any) {
	w.flags = append(w.flags, PayFlag{Job: job, Code: code, Text: fmt.Sprintf(format, args...)})
}

// spans turns marks into counted time, in the week and without overlap.
func (w *workTime) spans(jobs []Closeout, from, to time.Time, round time.Duration) [][]workSpan {
	out := make([][]workSpan, len(jobs))
	var until time.Time // up to here time is counted already
	var before string   // by this job
	for i, c := range jobs {
		marks := make([]TimeMark, len(c.Times))
		for k, m := range c.Times {
			m.At = roundTime(m.At, round)
			marks[k] = m
		}
		t := newTimeline(marks)
		touches := len(marks) > 0 && marks[0].At.Before(to) && !marks[len(marks)-1].At.Before(from)
		if touches {
			w.check(c, t)
		}
		all := w.gap(c, t, until, before, touches)
		first := !until.IsZero() && len(t.spans) > 0 && !sameDay(until, t.spans[0].start, w.rates.Zone) || until.IsZero()
		for _, s := range t.spans {
			all = append(all, workSpan{s.start, s.end, w.useOf(c, s, first && s.kind == spanTravel, touches)})
		}
		for _, s := range all {
			if s.start.Before(until) && before != c.Job && s.end.After(s.start) {
				if touches {
					w.flag(c.Job, "overlap", "its time overlaps job %s until %s: the overlap is counted once", before, until.In(w.rates.Zone).Format("15:04"))
				}
				s.start = minTime(until, s.end)
			}
			if s.end.After(until) {
				until, before = s.end, c.Job
			}
			if s.start = maxTime(s.start, from); s.start.Before(minTime(s.end, to)) {
				s.end = minTime(s.end, to)
				out[i] = append(out[i], s)
			}
		}
	}
	return out
}

// gap counts the time since the job before on the same day, which nothing
// marks: travel between sites is work (785.38).
func (w *workTime) gap(c Closeout, t timeline, until time.Time, before string, tell bool) []workSpan {
	if until.IsZero() || len(t.spans) == 0 || !until.Before(t.spans[0].start) {
		return nil
	}
	s := workSpan{until, t.spans[0].start, travelling}
	if !sameDay(until, s.end, w.rates.Zone) {
		if tell && s.end.Sub(s.start) <= nightGap {
			w.flag(c.Job, "night", "%s over midnight after job %s are not marked and not counted", minutes(s.end.Sub(s.start)), before)
		}
		return nil
	}
	verb := "counted as travel and waiting (29 CFR 785.38)"
	if w.rates.Policy.Gaps == "off" {
		s.use, verb = notCounted, "not counted, by the policy"
	}
	if tell {
		w.flag(c.Job, "gap", "%s after job %s are not marked: %s", minutes(s.end.Sub(s.start)), before, verb)
	}
	return []workSpan{s}
}

// useOf decides what a span counts as, and flags what a person should see.
func (w *workTime) useOf(c Closeout, s span, first, tell bool) use {
	long := s.end.Sub(s.start)
	switch {
	case s.kind == spanWork:
		return productive
	case s.kind == spanTravel && first && w.rates.Policy.FirstTravel == "off":
		return notCounted
	case s.kind == spanTravel:
		return travelling
	case long <= restLimit:
		return resting
	}
	flag := func(code, text string, policy string) use {
		verb, u := "counted as work", mealPaid
		if policy == "off" {
			verb, u = "not counted, by the policy", mealOff
		}
		if tell {
			w.flag(c.Job, code, "break of %s at %s: %s; %s", minutes(long), s.start.In(w.rates.Zone).Format("15:04"), text, verb)
		}
		return u
	}
	if n := loggedInside(c, s); n > 0 {
		return flag("work_in_meal", fmt.Sprintf("entry %d was logged in it (29 CFR 785.19)", n), w.rates.Policy.MealsWithWork)
	}
	if long < mealLeast {
		return flag("short_meal", "under 30 minutes (29 CFR 785.19)", w.rates.Policy.ShortMeals)
	}
	return mealOff
}

// loggedInside returns the first entry of work logged within a break, or 0.
func loggedInside(c Closeout, s span) int64 {
	inside := func(t time.Time) bool { return t.After(s.start) && t.Before(s.end) }
	for _, r := range c.Readings {
		if inside(r.At) {
			return r.Entry
		}
	}
	for _, a := range c.Actions {
		if inside(a.At) {
			return a.Entry
		}
	}
	for _, k := range c.Checks {
		if inside(k.At) {
			return k.Entry
		}
	}
	return 0
}

// check flags marks that are missing and times that are out of the ordinary.
func (w *workTime) check(c Closeout, t timeline) {
	if c.Closed == nil {
		w.flag(c.Job, "open_job", "the job is not closed: its figures may still change")
	}
	if t.open != nil {
		code, what := "missing_departure", "departure"
		if t.open.kind == spanBreak {
			code, what = "missing_break_end", "return from the break"
		} else if t.open.kind == spanTravel {
			code, what = "missing_arrival", "arrival"
		}
		w.flag(c.Job, code, "no %s is logged: nothing after %s is counted until it is", what, t.open.start.In(w.rates.Zone).Format("2006-01-02 15:04"))
	}
	if t.first("departed") != nil && t.first("arrived") == nil {
		w.flag(c.Job, "missing_arrival", "a departure and no arrival is logged: no time on site is counted")
	}
	for i, m := range t.marks {
		if i > 0 && m.Zone != t.marks[i-1].Zone {
			w.flag(c.Job, "zone_change", "marks are in zones %s and %s: true elapsed time is counted", t.marks[i-1].Zone, m.Zone)
			break
		}
	}
	for _, s := range t.spans {
		w.oddHours(c, s)
	}
}

// oddHours flags breaks that were not ended, nights and clock changes.
func (w *workTime) oddHours(c Closeout, s span) {
	if s.cut {
		w.flag(c.Job, "missing_break_end", "the break at %s was ended by the next mark at %s, no return from it is logged", s.start.In(w.rates.Zone).Format("15:04"), s.end.In(w.rates.Zone).Format("15:04"))
	}
	a, b := s.start.In(w.rates.Zone), s.end.In(w.rates.Zone)
	if !sameDay(a, b, w.rates.Zone) {
		w.flag(c.Job, "night", "%s to %s runs past midnight", a.Format("15:04"), b.Format("15:04"))
	}
	_, x := a.Zone()
	_, y := b.Zone()
	if x != y {
		w.flag(c.Job, "clock_change", "the clocks change between %s and %s: the hours that passed are counted, %s", a.Format("15:04 MST"), b.Format("15:04 MST"), minutes(b.Sub(a)))
	}
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

func sameDay(a, b time.Time, zone *time.Location) bool {
	return a.In(zone).Format(time.DateOnly) == b.In(zone).Format(time.DateOnly)
}

func minutes(d time.Duration) string { return fmt.Sprintf("%d min", int64(d/time.Minute)) }

func minTime(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}

func maxTime(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}
