package visit

import (
	"slices"
	"sort"
	"time"
)

// withoutJob returns the intervals of time without a job. What is marked next
// in any job ends one; the way back to the shop is travel from the departure,
// or from "on the road", before it.
func withoutJob(visits []Visit, zone *time.Location) []Interval {
	if !slices.ContainsFunc(visits, func(v Visit) bool { return v.Job == "" }) {
		return nil
	}
	marks := allMarks(visits)
	var out []Interval
	for _, v := range visits {
		if v.Job != "" {
			continue
		}
		for _, x := range v.Intervals {
			if next, ok := after(marks, x.Start, zone); ok && next.At.Before(x.End) {
				x.End = next.At
			}
			out = append(out, x)
		}
		if x, ok := endedBy(v.Open, marks, zone); ok {
			out = append(out, x)
		}
		for _, m := range v.Marks {
			if x, ok := wayBack(m, marks, zone); ok {
				out = append(out, x)
			}
		}
	}
	return out
}

// allMarks returns the marks of all visits in order of time.
func allMarks(visits []Visit) []Mark {
	var out []Mark
	for _, v := range visits {
		out = append(out, v.Marks...)
	}
	return sorted(out)
}

// after returns the first mark later than a time, on the same day.
func after(marks []Mark, at time.Time, zone *time.Location) (Mark, bool) {
	i := sort.Search(len(marks), func(i int) bool { return marks[i].At.After(at) })
	if i == len(marks) || !SameDay(at.In(zone), marks[i].At.In(zone)) {
		return Mark{}, false
	}
	return marks[i], true
}

// endedBy ends an open interval without a job at the next mark of the day.
func endedBy(open *Interval, marks []Mark, zone *time.Location) (Interval, bool) {
	if open == nil {
		return Interval{}, false
	}
	next, ok := after(marks, open.Start, zone)
	x := *open
	x.End, x.Cut = next.At, x.Kind == Break
	return x, ok
}

// wayBack is the travel that "back at the shop" ends.
func wayBack(m Mark, marks []Mark, zone *time.Location) (Interval, bool) {
	i := sort.Search(len(marks), func(i int) bool { return !marks[i].At.Before(m.At) })
	if m.Name != BackAtShop || i == 0 {
		return Interval{}, false
	}
	before := marks[i-1]
	switch before.Name {
	case "departed", "en_route":
		return Interval{Kind: Travel, Start: before.At, End: m.At, Entry: m.Entry}, SameDay(before.At.In(zone), m.At.In(zone))
	}
	return Interval{}, false
}

// open lists what is begun and never ended: neither by a mark of its own nor,
// without a job, by one of another.
func (t *Time) open(visits []Visit, zone *time.Location) {
	var marks []Mark
	without := slices.ContainsFunc(visits, func(v Visit) bool { return v.Job == "" })
	if without {
		marks = allMarks(visits)
	}
	for _, v := range visits {
		if v.Open == nil {
			continue
		}
		if without {
			next, ok := after(marks, v.Open.Start, zone)
			if ok && (v.Job == "" || v.Open.Kind == Travel && next.Name == BackAtShop) {
				continue
			}
		}
		t.Open = append(t.Open, *v.Open)
	}
	slices.SortStableFunc(t.Open, order)
}
