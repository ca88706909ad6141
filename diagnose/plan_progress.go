package diagnose

import (
	"slices"

	"downlead/grammar"
)

// progress is what has been done on a call so far.
type progress struct {
	call   Call
	spots  []spot
	spans  []span
	first  int          // the receiver of the baseline; -1 while there is none
	failed map[int]bool // the receivers that have failed at any time
	traced bool         // some reading has failed

	checks   map[string]checked // the last of each, input tests apart
	tests    map[int]checked    // the last input test of each receiver
	outlets  map[grammar.Point]checked
	arrived  bool
	noAccess bool // the customer was not there, and nothing was done after
	closed   bool
	reason   string // for closing with things missing
}

// checked is the last result of a check.
type checked struct {
	seq int64
	grammar.Check
}

func newProgress(c Call) *progress {
	p := &progress{
		call: c, spots: c.spots(), spans: c.spans(), first: -1,
		failed: map[int]bool{}, checks: map[string]checked{}, tests: map[int]checked{}, outlets: map[grammar.Point]checked{},
	}
	for _, o := range c.Observations {
		fails := verdictOf(o.Reading, c.Settings) == grammar.Fail
		p.traced = p.traced || fails
		if c.Path.Elements[o.Element].Element != grammar.Receiver || !judges(o.Reading) {
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
func (p *progress) take(seq int64, e grammar.Entry) {
	switch e := e.(type) {
	case grammar.Check:
		p.noAccess = false
		if e.Check == "outlet" {
			var at grammar.Point
			if e.Point != nil {
				at = *e.Point
			}
			p.outlets[at] = checked{seq: seq, Check: e}
		}
		if e.Check == "input_test" {
			p.tests[p.tested(e)] = checked{seq: seq, Check: e}
			return
		}
		p.checks[e.Check] = checked{seq: seq, Check: e}
	case grammar.Reading:
		p.noAccess = false
	case grammar.Action:
		p.noAccess = false
	case grammar.Time:
		switch e.Mark {
		case "arrived":
			p.arrived, p.noAccess = true, false
		case "no_access":
			p.noAccess = true
		}
	case grammar.Job:
		switch e.Verb {
		case "close":
			p.closed, p.reason = true, e.Text
		case "reopen", "start":
			p.closed = false
		}
	}
}

// tested returns the receiver that an input test was run on: the one said,
// else the one the call is about.
func (p *progress) tested(c grammar.Check) int {
	if c.Point != nil {
		if found := p.call.Path.Find(*c.Point); len(found) == 1 {
			return found[0]
		}
	}
	return p.subject()
}

// behind returns what is known behind a receiver.
func (p *progress) behind(receiver int) (spot, bool) {
	reach := p.call.Path.Reach(receiver, grammar.DishSide)
	i := slices.IndexFunc(p.spots, func(s spot) bool {
		return s.reach == reach && (!p.call.Path.multi(reach) || s.port == p.call.Path.Elements[receiver].Port)
	})
	if i < 0 || p.spots[i].verdict == "" {
		return spot{}, false
	}
	return p.spots[i], true
}

// passes reports whether a receiver passes behind it after the last repair.
func (p *progress) passes(receiver int) bool {
	s, ok := p.behind(receiver)
	return ok && !s.stale && s.verdict == grammar.Pass
}

// toProve lists the receivers that need a passing proof: those that failed,
// or, where a fail was found without one, the first receiver beyond it.
func (p *progress) toProve() []int {
	var out []int
	for _, r := range p.call.Path.Receivers() {
		if p.failed[r] {
			out = append(out, r)
		}
	}
	if len(out) > 0 || !p.traced {
		return out
	}
	for _, o := range p.call.Observations {
		if verdictOf(o.Reading, p.call.Settings) != grammar.Fail {
			continue
		}
		for _, r := range p.call.Path.Receivers() {
			if p.call.Path.Above(p.call.Path.Reach(o.Element, o.Side), r) {
				return []int{r}
			}
		}
	}
	return out
}

// subject is the receiver that the call is about: that of the baseline, else
// the only one.
func (p *progress) subject() int {
	if p.first >= 0 && !p.call.Path.Elements[p.first].Removed {
		return p.first
	}
	if r := p.call.Path.Receivers(); len(r) == 1 {
		return r[0]
	}
	return -1
}

// outlet returns the outlet check that counts: a failing one before a passing one.
func (p *progress) outlet() (checked, bool) {
	var last checked
	for _, c := range p.outlets {
		switch {
		case last.seq == 0, c.Verdict == grammar.Fail && (last.Verdict != grammar.Fail || c.seq > last.seq):
			last = c
		case c.Verdict == grammar.Fail || last.Verdict == grammar.Fail:
		case c.seq > last.seq:
			last = c
		}
	}
	return last, last.seq > 0
}

// inputTest returns a receiver's own test, and whether it still counts: work
// on its branch or on the receiver itself came after it, or did not.
func (p *progress) inputTest(receiver int) (checked, bool) {
	t, ok := p.tests[receiver]
	if !ok {
		return t, false
	}
	for _, r := range p.call.Repairs {
		if r.Seq > t.seq && receiver >= 0 && slices.ContainsFunc(r.Elements, func(e int) bool { return p.call.Path.Above(e, receiver) }) {
			return t, false
		}
	}
	return t, true
}
