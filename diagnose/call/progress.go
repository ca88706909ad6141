package call

import (
	"slices"

	"downlead/diagnose/trace"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// Progress is what has been done on a call so far.
type Progress struct {
	Call   trace.Call
	spots  []trace.Spot
	Spans  []trace.Span
	first  int          // the receiver of the baseline; -1 while there is none
	failed map[int]bool // the receivers that have failed at any time
	Traced bool         // some reading has failed

	Checks   map[string]Checked // the last of each, input tests apart
	tests    map[int]Checked    // the last input test of each receiver
	outlets  map[entry.Point]Checked
	arrived  bool
	NoAccess bool // the customer was not there, and nothing was done after
	closed   bool
	reason   string // for closing with things missing
}

// Checked is the last result of a check.
type Checked struct {
	Seq int64
	entry.Check
}

// Closed reports whether the job is closed.
func (p *Progress) Closed() bool { return p.closed }

func NewProgress(c trace.Call) *Progress {
	p := &Progress{
		Call: c, spots: c.Spots(), Spans: c.Spans(), first: -1,
		failed: map[int]bool{}, Checks: map[string]Checked{}, tests: map[int]Checked{}, outlets: map[entry.Point]Checked{},
	}
	for _, o := range c.Observations {
		fails := trace.Counts(o.Reading, c.Settings) == entry.Fail
		p.Traced = p.Traced || fails
		if c.Path.Elements[o.Element].Element != entry.Receiver || !trace.Judges(o.Reading) {
			continue
		}
		if p.first < 0 {
			p.first = o.Element
		}
		if fails {
			p.failed[o.Element] = true
		}
	}
	for _, r := range c.Records {
		p.take(r.Seq, r.Entry)
	}
	return p
}

// take follows the entries that are not readings.
func (p *Progress) take(seq int64, e entry.Entry) {
	switch e := e.(type) {
	case entry.Check:
		p.NoAccess = false
		if e.Check == "outlet" {
			var at entry.Point
			if e.Point != nil {
				at = *e.Point
			}
			p.outlets[at] = Checked{Seq: seq, Check: e}
		}
		if e.Check == "input_test" {
			p.tests[p.tested(e)] = Checked{Seq: seq, Check: e}
			return
		}
		p.Checks[e.Check] = Checked{Seq: seq, Check: e}
	case entry.Reading:
		p.NoAccess = false
	case entry.Action:
		p.NoAccess = false
	case entry.Time:
		switch e.Mark {
		case "arrived":
			p.arrived, p.NoAccess = true, false
		case "no_access":
			p.NoAccess = true
		}
	case entry.Job:
		switch e.Verb {
		case "close":
			p.closed, p.reason = true, e.Text
		case "rename":
			p.closed, p.reason = true, "it is job "+e.Number
		case "reopen", "start":
			p.closed = false
		}
	}
}

// tested returns the receiver that an input test was run on: the one said,
// else the one the call is about. It is -1 where a room was said that the path
// has no receiver in.
func (p *Progress) tested(c entry.Check) int {
	found := p.Call.Path.Find(c.At())
	switch {
	case len(found) == 1:
		return found[0]
	case len(found) == 0 && c.At().Room != "" && len(p.Call.Path.Receivers()) > 1:
		return -1
	}
	return p.Subject()
}

// InputTests returns every result of a receiver's own test, in order.
func (p *Progress) InputTests(receiver int) []Checked {
	var out []Checked
	for _, r := range p.Call.Records {
		if k, ok := r.Entry.(entry.Check); ok && k.Check == "input_test" && p.tested(k) == receiver {
			out = append(out, Checked{Seq: r.Seq, Check: k})
		}
	}
	return out
}

// Behind returns what is known behind a receiver.
func (p *Progress) Behind(receiver int) (trace.Spot, bool) {
	reach := p.Call.Path.Reach(receiver, entry.DishSide)
	i := slices.IndexFunc(p.spots, func(s trace.Spot) bool {
		return s.Reach == reach && (!p.Call.Path.Multi(reach) || s.Port == p.Call.Path.Elements[receiver].Port)
	})
	if i < 0 || p.spots[i].Verdict == "" || p.atFork(p.spots[i], receiver) {
		return trace.Spot{}, false
	}
	return p.spots[i], true
}

// atFork reports whether what stands at a spot was read at the outputs of a
// fork, and not at the receiver: nobody has been behind it then.
func (p *Progress) atFork(s trace.Spot, receiver int) bool {
	return !slices.ContainsFunc(s.Now, func(o trace.Observation) bool {
		return trace.Judges(o.Reading) && (o.Element == receiver || !p.Call.Path.Multi(o.Element))
	})
}

// Passes reports whether a receiver passes behind it after the last repair,
// with all that failed there read again.
func (p *Progress) Passes(receiver int) bool {
	s, ok := p.Behind(receiver)
	failed := func(r entry.Reading) bool { return r.Verdict == entry.Fail }
	return ok && !s.Stale && s.Verdict == entry.Pass && !slices.ContainsFunc(s.Left, failed)
}

// ToProve lists the receivers that need a passing proof: those that failed,
// or, where a fail was found without one, the first receiver beyond it.
func (p *Progress) ToProve() []int {
	var out []int
	for _, r := range p.Call.Path.Receivers() {
		if p.failed[r] {
			out = append(out, r)
		}
	}
	if len(out) > 0 || !p.Traced {
		return out
	}
	for _, o := range p.Call.Observations {
		if trace.Counts(o.Reading, p.Call.Settings) != entry.Fail {
			continue
		}
		for _, r := range p.Call.Path.Receivers() {
			if p.Call.Path.Above(p.Call.Path.Reach(o.Element, o.Side), r) {
				return []int{r}
			}
		}
	}
	return out
}

// Subject is the receiver that the call is about: that of the baseline, else
// the only one.
func (p *Progress) Subject() int {
	if p.first >= 0 && !p.Call.Path.Elements[p.first].Removed {
		return p.first
	}
	if r := p.Call.Path.Receivers(); len(r) == 1 {
		return r[0]
	}
	return -1
}

// outlet returns the outlet check that counts: a failing one before a passing one.
func (p *Progress) outlet() (Checked, bool) {
	var last Checked
	for _, c := range p.outlets {
		switch {
		case last.Seq == 0, c.Verdict == entry.Fail && (last.Verdict != entry.Fail || c.Seq > last.Seq):
			last = c
		case c.Verdict == entry.Fail || last.Verdict == entry.Fail:
		case c.Seq > last.Seq:
			last = c
		}
	}
	return last, last.Seq > 0
}

// InputTest returns a receiver's own test, and whether it still counts: no work
// on its branch or on the receiver itself came after it, and it hangs where it
// was tested.
func (p *Progress) InputTest(receiver int) (Checked, bool) {
	t, ok := p.tests[receiver]
	if !ok {
		return t, false
	}
	for _, r := range p.Call.Repairs {
		if r.Seq > t.Seq && receiver >= 0 && p.Call.OnWay(r, trace.JointKey{Reach: receiver}) {
			return t, false
		}
	}
	if seq, _ := p.exchanged(receiver, t.Seq); seq > 0 {
		return t, false
	}
	startedAnew := func(r record.Record) bool {
		a, is := r.Entry.(entry.Action)
		return is && r.Seq > t.Seq && a.Action == "reset" && a.Element == entry.Receiver &&
			slices.Contains(p.Call.Path.Find(entry.Point{Element: entry.Receiver, Number: a.Number, Room: a.Room}), receiver)
	}
	return t, !slices.ContainsFunc(p.Call.Records, startedAnew)
}

// exchanged finds the first exchange of a receiver with another after an entry:
// its seq, and the other receiver; 0 where there is none.
func (p *Progress) exchanged(receiver int, after int64) (seq int64, other int) {
	box := func(at entry.Point) int {
		at.Element = entry.Receiver
		if found := p.Call.Path.Find(at); len(found) == 1 {
			return found[0]
		}
		return -1
	}
	for _, r := range p.Call.Records {
		a, done := r.Entry.(entry.Action)
		if !done || r.Seq <= after || a.Action != "swapped" || a.Element != entry.Receiver || a.With == nil {
			continue
		}
		switch one, two := box(entry.Point{Number: a.Number, Room: a.Room}), box(*a.With); receiver {
		case one:
			return r.Seq, two
		case two:
			return r.Seq, one
		}
	}
	return 0, -1
}

// Exchanged lists the two receivers of the last exchange.
func (p *Progress) Exchanged() []int {
	for i := len(p.Call.Records) - 1; i >= 0; i-- {
		e, is := p.Call.Records[i].Entry.(entry.Action)
		if !is || e.Action != "swapped" || e.Element != entry.Receiver || e.With == nil {
			continue
		}
		var out []int
		for _, r := range p.Call.Path.Receivers() {
			if seq, _ := p.exchanged(r, p.Call.Records[i].Seq-1); seq > 0 {
				out = append(out, r)
			}
		}
		return out
	}
	return nil
}

// ElsewhereSince reports whether a receiver was hung in another's place between
// two entries, and nothing shows that its old place is good: what it failed
// there need not have been its own fault.
func (p *Progress) ElsewhereSince(receiver int, after, before int64) bool {
	seq, other := p.exchanged(receiver, after)
	if seq == 0 || seq > before {
		return false
	}
	for _, t := range p.InputTests(other) {
		if t.Seq > seq {
			return t.Verdict != entry.Pass
		}
	}
	return true
}

// Untested lists the receivers whose own test failed and was not run again
// since they were worked on, or exchanged.
func (p *Progress) Untested() []int {
	var out []int
	for _, r := range p.Call.Path.Receivers() {
		if t, counts := p.InputTest(r); t.Verdict == entry.Fail && !counts {
			out = append(out, r)
		}
	}
	return out
}
