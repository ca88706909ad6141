package pay

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"downlead/diagnose/visit"
	"downlead/export/closeout"
)

func (w *workTime) flag(job, code, format string, args ...any) {
	w.flags = append(w.flags, PayFlag{Job: job, Code: code, Text: fmt.Sprintf(format, args...)})
}

// jobWords names a job, or the time without one.
func jobWords(job string) string {
	if job == "" {
		return "time without a job"
	}
	return "job " + job
}

// flagTime flags what is odd about the week's time.
func (w *workTime) flagTime() {
	for i, x := range w.time.Intervals {
		if !w.touches(x.Start, x.End) {
			continue
		}
		w.oddHours(x)
		if x.Kind == visit.Gap {
			w.gap(w.time.Intervals[i-1], x)
		} else if i > 0 {
			w.night(w.time.Intervals[i-1], x)
		}
	}
	for _, o := range w.time.Overlaps {
		if w.touches(o.Start, o.End) {
			w.overlap(o)
		}
	}
	for _, x := range w.time.Open {
		if w.touches(x.Start, x.Start) {
			w.unended(x)
		}
	}
}

// gap flags time that no mark covers. Travel between sites is work (785.38).
func (w *workTime) gap(before, x visit.Interval) {
	verb := "counted as travel and waiting (29 CFR 785.38)"
	if w.rates.Policy.Gaps == "off" {
		verb = "left out as a break, by the policy"
	}
	between := fmt.Sprintf("after %s", jobWords(before.Job))
	if before.Job == x.Job {
		between = "between two visits"
		if before.Visit == x.Visit {
			between = "in the visit"
		}
	}
	w.flag(x.Job, "gap", "%s %s, %s to %s, are not marked: %s", minutes(x.Long()), between, w.clock(x.Start), w.clock(x.End), verb)
}

// nightGap is the longest unmarked time over midnight that is flagged as
// perhaps worked rather than taken for a night's rest: the project's choice.
const nightGap = 4 * time.Hour

func (w *workTime) night(before, x visit.Interval) {
	if long := x.Start.Sub(before.End); long > 0 && long <= nightGap {
		w.flag(x.Job, "night", "%s over midnight after %s are not marked and not counted", minutes(long), jobWords(before.Job))
	}
}

func (w *workTime) overlap(o visit.Overlap) {
	if o.Lost.Kind == visit.Break {
		w.flag(o.Lost.Job, "meal_cut", "its break of %s to %s is cut by %s from %s to %s: that is counted as work (29 CFR 785.19)",
			w.clock(o.Lost.Start), w.clock(o.Lost.End), jobWords(o.Has.Job), w.clock(o.Start), w.clock(o.End))
		return
	}
	w.flag(o.Lost.Job, "overlap", "its time overlaps %s from %s to %s: the overlap is counted once", jobWords(o.Has.Job), w.clock(o.Start), w.clock(o.End))
}

// unended flags what was begun and not ended, and says what became of the time
// after it.
func (w *workTime) unended(x visit.Interval) {
	code, what := "missing_departure", "departure"
	switch x.Kind {
	case visit.Break:
		code, what = "missing_break_end", "return from the break"
	case visit.Travel:
		code, what = "missing_arrival", "arrival"
	case visit.Shop, visit.Meeting, visit.Training:
		code, what = "missing_end", "end of "+string(x.Kind)+" time"
	}
	all := w.time.Intervals
	i, _ := slices.BinarySearchFunc(all, x.Start, func(y visit.Interval, t time.Time) int {
		return cmp.Or(y.End.Compare(t), -1) // the first that ends later
	})
	since := x.Start.In(w.rates.Zone).Format("2006-01-02 15:04")
	if i == len(all) || !visit.SameDay(x.Start.In(w.rates.Zone), all[i].Start.In(w.rates.Zone)) {
		w.flag(x.Job, code, "no %s is logged: nothing after %s is counted until it is", what, since)
		return
	}
	next := all[i]
	switch {
	case next.Kind == visit.Gap && w.rates.Policy.Gaps != "off":
		w.flag(x.Job, code, "no %s is logged: the %s from %s to %s are counted as travel and waiting until it is", what, minutes(next.Long()), since, w.clock(next.End))
	case next.Start.After(x.Start) || next.Kind == visit.Gap:
		until := next.Start
		if next.Kind == visit.Gap {
			until = next.End
		}
		w.flag(x.Job, code, "no %s is logged: the %s from %s to %s are not counted until it is", what, minutes(until.Sub(x.Start)), since, w.clock(until))
	default:
		w.flag(x.Job, code, "no %s is logged after %s: what is counted from then on is the time of %s", what, since, jobWords(next.Job))
	}
}

// oddHours flags what was ended by something else, nights and clock changes.
func (w *workTime) oddHours(x visit.Interval) {
	switch {
	case x.Cut && x.Kind == visit.Break:
		w.flag(x.Job, "missing_break_end", "the break at %s was ended by the next mark at %s, no return from it is logged", w.clock(x.Start), w.clock(x.End))
	case x.Cut && x.Kind == visit.Travel:
		w.flag(x.Job, "missing_arrival", "no arrival is logged: the %s from %s until the next mark at %s are counted as travel", minutes(x.Long()), w.clock(x.Start), w.clock(x.End))
	}
	a, b := x.Start.In(w.rates.Zone), x.End.In(w.rates.Zone)
	if !visit.SameDay(a, b) {
		w.flag(x.Job, "night", "%s on %s to %s runs past midnight: %s", a.Format("15:04"), a.Format(time.DateOnly), b.Format("15:04"), minutes(x.Long()))
	}
	_, p := a.Zone()
	_, q := b.Zone()
	if p != q {
		w.flag(x.Job, "clock_change", "the clocks change between %s and %s: the hours that passed are counted, %s", a.Format("15:04 MST"), b.Format("15:04 MST"), minutes(b.Sub(a)))
	}
}

// flagJob flags what is odd about a job of the week.
func (w *workTime) flagJob(x Work, visits []visit.Visit) {
	inWeek := false
	for _, v := range visits {
		if !w.touches(v.Start(), v.End()) {
			continue
		}
		inWeek = true
		_, arrived := v.First("arrived")
		_, turnedAway := v.First("no_access")
		if _, left := v.First("departed"); left && !arrived && !turnedAway && x.Job != "" {
			w.flag(x.Job, "missing_arrival", "a departure and no arrival is logged: no time on site is counted")
		}
		w.zones(x.Job, v)
		w.changed(x.Job, v)
	}
	if at := x.begins(); len(visits) == 0 && !at.Before(w.from) && at.Before(w.to) {
		inWeek = true
	}
	if !inWeek {
		return
	}
	if x.Closed == nil && x.Job != "" {
		w.flag(x.Job, "open_job", "the job is not closed: its figures may still change")
	}
	for _, u := range x.Unclear {
		w.flag(x.Job, "not_understood", "“%s” (entry %d) %s: it counts for nothing until it is corrected", u.Text, u.Entry, u.Reason)
	}
}

func (w *workTime) zones(job string, v visit.Visit) {
	for i, m := range v.Marks {
		if i > 0 && m.Zone != v.Marks[i-1].Zone {
			w.flag(job, "zone_change", "marks are in zones %s and %s: true elapsed time is counted", v.Marks[i-1].Zone, m.Zone)
			return
		}
	}
}

// changed flags times that were corrected: the old one stays to be seen.
func (w *workTime) changed(job string, v visit.Visit) {
	for _, m := range v.Marks {
		if n := len(m.Was); n > 0 {
			w.flag(job, "time_corrected", "%s is %s; it was logged as %s (entry %d)", closeout.Plain(m.Mark), w.clock(m.At), w.clock(m.Was[n-1]), m.Entry)
		}
	}
}

// backwards finds a mark that lies before the one it must follow and ends
// nothing: such a stretch of time would be negative. Only a week that one of
// the two lies in fails by it.
func (w *workTime) backwards(x Work) error {
	follows := map[string][]string{
		"arrived": {"en_route"}, "departed": {"arrived", "en_route"}, "break_end": {"break_start"},
	}
	bySeq := slices.Clone(x.Marks)
	slices.SortStableFunc(bySeq, func(a, b visit.Mark) int { return cmp.Compare(a.Entry, b.Entry) })
	for i, m := range bySeq {
		for k := i - 1; k >= 0 && bySeq[k].Mark != visit.Reopened; k-- {
			old := bySeq[k]
			if !slices.Contains(follows[m.Mark], old.Mark) {
				continue
			}
			if m.At.Before(old.At) && w.touches(m.At, old.At) && orphan(x.Marks, m) {
				return fmt.Errorf("%s: %s at %s (entry %d) lies before %s at %s (entry %d): correct one of them",
					jobWords(x.Job), closeout.Plain(m.Mark), m.At.Format(time.DateTime), m.Entry, closeout.Plain(old.Mark), old.At.Format(time.DateTime), old.Entry)
			}
			break
		}
	}
	return nil
}

// orphan reports that a mark ends nothing that lies before it in order of
// time: of the marks that it could end the last is not the one before it.
func orphan(marks []visit.Mark, m visit.Mark) bool {
	ended := map[string][]string{
		"arrived": {"en_route"}, "departed": {"arrived", "no_access", "break_start", "break_end"}, "break_end": {"break_start"},
	}
	before := ""
	for _, x := range visit.Sorted(marks) {
		if x.Entry == m.Entry {
			break
		}
		before = x.Mark
	}
	return !slices.Contains(ended[m.Mark], before)
}
