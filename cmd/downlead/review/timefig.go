package review

import (
	"fmt"
	"time"

	"downlead/grammar/entry"
	"downlead/journal/record"
)

// The time figure lays the call along one line, from the first entry to the
// last: what was driven, what was worked, every reading as a pass above the
// line or a fail below it, every repair across it.
const (
	timeLeft  = 14
	timeRight = 346
	timeY     = 56
)

// timeFigure is the call in time.
type timeFigure struct {
	Width, Height, Y int
	From, To         string
	Spans            []timeSpan
	Marks            []timeMark
	Desc             string
	List             []timeLine
}

type timeSpan struct {
	X, Width int
	Kind     string // "road", "site", "break"
}

type timeMark struct {
	X    int
	Kind string // "pass", "fail", "reading", "repair"
}

// timeLine is one line of the list: an event and how long it is until the next.
type timeLine struct {
	At, Machine, What, Kind, Gap string
}

// drawTime lays out the records that count now.
func drawTime(current []record.Record) timeFigure {
	f := timeFigure{Width: 360, Height: 112, Y: timeY}
	if len(current) == 0 {
		return f
	}
	first, last := current[0].At, current[0].At
	for _, r := range current {
		if r.At.Before(first) {
			first = r.At
		}
		if r.At.After(last) {
			last = r.At
		}
	}
	whole := last.Sub(first)
	x := func(t time.Time) int {
		if whole <= 0 {
			return timeLeft
		}
		return timeLeft + int(float64(timeRight-timeLeft)*float64(t.Sub(first))/float64(whole))
	}
	f.From, f.To = local(current[0]).Format("15:04"), local(current[len(current)-1]).Format("15:04")
	f.spans(current, last, x)
	for _, r := range current {
		switch e := r.Entry.(type) {
		case entry.Reading:
			kind := string(e.Verdict)
			if kind == "" {
				kind = "reading"
			}
			f.Marks = append(f.Marks, timeMark{X: x(r.At), Kind: kind})
		case entry.Action:
			f.Marks = append(f.Marks, timeMark{X: x(r.At), Kind: "repair"})
		}
	}
	f.list(current)
	f.Desc = fmt.Sprintf("The call from %s to %s, %s in all. The list below says the same.", f.From, f.To, span(whole))
	return f
}

// spans shades the stretches that a time mark opens and the next one ends.
func (f *timeFigure) spans(current []record.Record, last time.Time, x func(time.Time) int) {
	open := map[string]string{"en_route": "road", "arrived": "site", "break_start": "break", "break_end": "site"}
	kind, since := "", time.Time{}
	end := func(at time.Time) {
		if kind == "" || !at.After(since) {
			return
		}
		f.Spans = append(f.Spans, timeSpan{X: x(since), Width: x(at) - x(since), Kind: kind})
	}
	for _, r := range current {
		if t, ok := r.Entry.(entry.Time); ok {
			end(r.At)
			kind, since = open[t.Mark], r.At
		}
	}
	end(last)
}

// list writes the call down: time marks, the job's beginning and end,
// repairs, and readings where the verdict turns.
func (f *timeFigure) list(current []record.Record) {
	var at []time.Time
	verdict := entry.Verdict("")
	for _, r := range current {
		kind := ""
		switch e := r.Entry.(type) {
		case entry.Time:
			kind = "time"
		case entry.Job:
			kind = "job"
		case entry.Action:
			kind, verdict = "repair", ""
		case entry.Reading:
			if e.Verdict != "" && e.Verdict != verdict {
				kind, verdict = string(e.Verdict), e.Verdict
			}
		}
		if kind == "" {
			continue
		}
		t := local(r)
		f.List = append(f.List, timeLine{At: t.Format("15:04"), Machine: t.Format(time.RFC3339), What: meaning(r.Entry), Kind: kind})
		at = append(at, r.At)
	}
	for i := range f.List {
		if i+1 < len(at) {
			if d := at[i+1].Sub(at[i]); d >= time.Minute {
				f.List[i].Gap = span(d)
			}
		}
	}
}
