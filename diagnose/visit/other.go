package visit

import (
	"sort"
	"time"
)

// joiner gathers the intervals of all jobs. What one job leaves open, a mark of
// another may end.
type joiner struct {
	marks []Mark // of all jobs, in order of time
	zone  *time.Location
	all   []Interval
	open  []Interval
}

// add takes one visit.
func (j *joiner) add(v Visit) {
	for _, x := range v.Intervals {
		if next, ok := j.after(x.Start); ok && v.Job == "" && next.At.Before(x.End) {
			x.End = next.At
		}
		j.all = append(j.all, x)
	}
	for _, m := range v.Marks {
		if m.Mark == BackAtShop {
			j.wayBack(m)
		}
	}
	if v.Open == nil {
		return
	}
	x := *v.Open
	next, ok := j.after(x.Start)
	if !ok || v.Job != "" && (x.Kind != Travel || !ends(next)) {
		j.open = append(j.open, x)
		return
	}
	x.End, x.Cut = next.At, v.Job != "" || x.Kind == Break
	j.all = append(j.all, x)
}

// ends reports that a mark of one job ends the way to another: it says that
// something else has begun.
func ends(m Mark) bool {
	_, begun := begins(m.Mark)
	return begun || m.Mark == "break_start" || m.Mark == "no_access"
}

// wayBack adds the travel that "back at the shop" ends, from the departure
// before it.
func (j *joiner) wayBack(m Mark) {
	i := sort.Search(len(j.marks), func(i int) bool { return !j.marks[i].At.Before(m.At) })
	if i == 0 || j.marks[i-1].Mark != "departed" || !SameDay(j.marks[i-1].At.In(j.zone), m.At.In(j.zone)) {
		return
	}
	j.all = append(j.all, Interval{Kind: Travel, Start: j.marks[i-1].At, End: m.At, Entry: m.Entry})
}

// allMarks returns the marks of all visits in order of time.
func allMarks(visits []Visit) []Mark {
	var out []Mark
	for _, v := range visits {
		out = append(out, v.Marks...)
	}
	return Sorted(out)
}

// after returns the first mark later than a time, on the same day.
func (j *joiner) after(at time.Time) (Mark, bool) {
	i := sort.Search(len(j.marks), func(i int) bool { return j.marks[i].At.After(at) })
	if i == len(j.marks) || !SameDay(at.In(j.zone), j.marks[i].At.In(j.zone)) {
		return Mark{}, false
	}
	return j.marks[i], true
}
