package visit

import (
	"cmp"
	"slices"
	"time"
)

// Time is the time of one technician: the union of the intervals of all jobs,
// in order and without overlap, and the gaps between those of one day.
type Time struct {
	Intervals []Interval
	Overlaps  []Overlap  // stretches that two jobs claim
	Open      []Interval // begun and not ended: the time after their Start is not in Intervals
}

// Overlap is a stretch that one interval claims and another has.
type Overlap struct {
	Start, End time.Time
	Has, Lost  Interval // as marked
}

// Union joins the visits of all jobs of one technician. Where two overlap, one
// has the stretch: being on site or at other work goes before travel, and both
// before a break, since one who works does not rest; of two alike the one that
// began first. zone is where days begin and end.
func Union(visits []Visit, zone *time.Location) Time {
	j := joiner{marks: allMarks(visits), zone: zone}
	for _, v := range visits {
		j.add(v)
	}
	t := Time{Open: j.open}
	slices.SortStableFunc(j.all, order)
	slices.SortStableFunc(t.Open, order)
	t.sweep(j.all)
	t.gaps(zone)
	return t
}

// order sorts intervals by their beginning, and further so that the order they
// come in changes nothing.
func order(a, b Interval) int {
	return cmp.Or(a.Start.Compare(b.Start), a.End.Compare(b.End), cmp.Compare(a.Job, b.Job), cmp.Compare(a.Entry, b.Entry))
}

// rank says which of two kinds has a stretch that both claim; the least does.
func rank(k Kind) int {
	switch k {
	case Travel:
		return 1
	case Break:
		return 2
	}
	return 0
}

// beats reports that a has what a and b claim.
func beats(a, b Interval) bool {
	return cmp.Or(cmp.Compare(rank(a.Kind), rank(b.Kind)), order(a, b)) < 0
}

// sweep cuts sorted intervals at every beginning and end, gives each piece to
// the one that has it, and joins the pieces of one interval again.
func (t *Time) sweep(all []Interval) {
	var active []Interval
	var at time.Time
	emit := func(until time.Time) {
		if !until.After(at) || len(active) == 0 {
			return
		}
		best := active[0]
		for _, x := range active[1:] {
			if beats(x, best) {
				best = x
			}
		}
		for _, x := range active {
			if x != best {
				t.overlap(Overlap{Start: at, End: until, Has: best, Lost: x})
			}
		}
		piece := best
		piece.Start, piece.End = at, until
		if n := len(t.Intervals); n > 0 {
			if last := &t.Intervals[n-1]; last.Entry == piece.Entry && last.Job == piece.Job && last.Kind == piece.Kind && last.End.Equal(at) {
				last.End = until
				return
			}
		}
		t.Intervals = append(t.Intervals, piece)
	}
	drain := func(until time.Time) { // up to here nothing begins
		for len(active) > 0 {
			first := active[0].End
			for _, x := range active[1:] {
				if x.End.Before(first) {
					first = x.End
				}
			}
			if first.After(until) {
				return
			}
			emit(first)
			at = first
			active = slices.DeleteFunc(active, func(x Interval) bool { return !x.End.After(first) })
		}
	}
	for _, x := range all {
		drain(x.Start)
		emit(x.Start)
		at = x.Start
		active = append(active, x)
	}
	for len(active) > 0 {
		last := active[0].End
		for _, x := range active {
			if x.End.After(last) {
				last = x.End
			}
		}
		drain(last)
	}
}

func (t *Time) overlap(o Overlap) {
	for i := len(t.Overlaps) - 1; i >= 0 && !t.Overlaps[i].End.Before(o.Start); i-- {
		if p := &t.Overlaps[i]; p.End.Equal(o.Start) && p.Has == o.Has && p.Lost == o.Lost {
			p.End = o.End
			return
		}
	}
	t.Overlaps = append(t.Overlaps, o)
}

// nightRest is the longest time after work over midnight that is taken for a
// gap of the day; what is longer is a night's rest. The project's choice.
const nightRest = 4 * time.Hour

// gaps puts a gap between two intervals of one day that do not touch.
func (t *Time) gaps(zone *time.Location) {
	var out []Interval
	for i, x := range t.Intervals {
		if i > 0 {
			before := t.Intervals[i-1]
			night := !SameDay(before.Start.In(zone), x.Start.In(zone)) && x.Start.Sub(before.End) > nightRest
			if x.Start.After(before.End) && SameDay(before.End.In(zone), x.Start.In(zone)) && !night {
				out = append(out, Interval{Kind: Gap, Start: before.End, End: x.Start, Job: x.Job, Visit: x.Visit})
			}
		}
		out = append(out, x)
	}
	t.Intervals = out
}
