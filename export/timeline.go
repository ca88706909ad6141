package export

import "time"

// spanKind is what a stretch of a job's time was spent on.
type spanKind string

const (
	spanTravel spanKind = "travel"
	spanWork   spanKind = "work" // on site
	spanBreak  spanKind = "break"
)

// span is a stretch of time; entry is the mark that began it.
type span struct {
	kind       spanKind
	start, end time.Time
	entry      int64
	cut        bool // a break that something other than a return from it ended
}

// timeline cuts a job's time marks into spans. A break interrupts what it
// falls into and lets it go on afterwards.
type timeline struct {
	marks []TimeMark
	spans []span
	open  *span // begun and not ended: a departure or a return from break is missing
}

// newTimeline reads marks in order of time.
func newTimeline(marks []TimeMark) timeline {
	t := timeline{marks: marks}
	var now, paused *span
	end := func(at time.Time, mark string) {
		if now != nil {
			now.end = at
			now.cut = now.kind == spanBreak && mark != "break_end"
			t.spans = append(t.spans, *now)
			now = nil
		}
	}
	for _, m := range marks {
		begin := func(k spanKind) { now = &span{kind: k, start: m.At, entry: m.Entry} }
		switch m.Mark {
		case "en_route":
			end(m.At, m.Mark)
			begin(spanTravel)
		case "arrived":
			end(m.At, m.Mark)
			begin(spanWork)
		case "break_start":
			paused = now
			end(m.At, m.Mark)
			begin(spanBreak)
		case "break_end":
			if now == nil || now.kind != spanBreak {
				continue
			}
			end(m.At, m.Mark)
			if paused != nil {
				begin(paused.kind)
				paused = nil
			}
		case "departed":
			end(m.At, m.Mark)
			paused = nil
		}
	}
	t.open = now
	return t
}

// total returns the seconds of a kind, -1 where there is no ended span of it.
func (t timeline) total(k spanKind) int64 {
	sum, any := int64(0), false
	for _, s := range t.spans {
		if s.kind == k {
			sum, any = sum+int64(s.end.Sub(s.start)/time.Second), true
		}
	}
	if !any {
		return -1
	}
	return sum
}

// onSite returns the seconds from the first arrival to the last departure
// after it, -1 where either is missing.
func (t timeline) onSite() int64 {
	from, to := t.first("arrived"), (*time.Time)(nil)
	for i, m := range t.marks {
		if m.Mark == "departed" {
			to = &t.marks[i].At
		}
	}
	if from == nil || to == nil || to.Before(*from) {
		return -1
	}
	return int64(to.Sub(*from) / time.Second)
}

// first returns the time of the first mark of that name, or nil.
func (t timeline) first(mark string) *time.Time {
	for i, m := range t.marks {
		if m.Mark == mark {
			return &t.marks[i].At
		}
	}
	return nil
}

// within returns the seconds of a kind that fall between two times.
func (t timeline) within(k spanKind, from, to time.Time) int64 {
	var sum time.Duration
	for _, s := range t.spans {
		a, b := s.start, s.end
		if a.Before(from) {
			a = from
		}
		if b.After(to) {
			b = to
		}
		if s.kind == k && b.After(a) {
			sum += b.Sub(a)
		}
	}
	return int64(sum / time.Second)
}
