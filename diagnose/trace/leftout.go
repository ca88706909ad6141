package trace

import (
	"slices"

	"downlead/diagnose/path"
	"downlead/grammar/entry"
)

// LeftOut is a fork that was taken out of the path with none put in its place:
// the coax that came to it goes on to one of its outputs at most.
type LeftOut struct {
	Repair  Repair
	Element int
	Dark    []int // the receivers beyond it, of other outputs than those, that nothing shows to pass since
	Lit     bool  // one of its outputs passes since
}

// ForksOut lists the forks that are out of the path and fed receivers at
// several outputs.
func (c Call) ForksOut() []LeftOut {
	var out []LeftOut
	for _, r := range c.Repairs {
		a := r.Action
		if a.Action != "bypassed" && a.Action != "removed" && a.Action != "replaced" || r.Undone > 0 || !path.Forks(a.Element) {
			continue
		}
		for _, i := range r.Elements {
			later := func(q Repair) bool { return q.Seq > r.Seq && slices.Contains(q.Elements, i) } // a new one was in its place since
			if e := c.Path.Elements[i]; !e.Removed || !path.Forks(e.Element) || c.forkSince(r, i) || slices.ContainsFunc(c.Repairs, later) {
				continue
			}
			if dark, lit := c.dark(r, i); len(dark) > 0 {
				out = append(out, LeftOut{Repair: r, Element: i, Dark: dark, Lit: lit})
			}
		}
	}
	return out
}

// forkSince reports whether another fork was put in the way of what hung on
// one, with its removal or after it.
func (c Call) forkSince(r Repair, out int) bool {
	for f, e := range c.Path.Elements {
		isNew := f >= len(r.before) || r.before[f] == Absent
		if isNew && !e.Removed && path.Forks(e.Element) && (c.Path.Above(f, out) || c.Path.Above(out, f)) {
			return true
		}
	}
	return false
}

// dark lists the receivers of a fork that is out, unless they hang on an
// output where one passes since. While none does it is not known which output
// was joined, and all of them are listed; of one output, none is.
func (c Call) dark(r Repair, fork int) (dark []int, lit bool) {
	passes := func(receiver int) bool {
		return slices.ContainsFunc(c.Observations, func(o Observation) bool {
			return o.Seq > r.Seq && o.Element == receiver && Counts(o.Reading, c.Settings) == entry.Pass
		})
	}
	outputs := 0
	for _, b := range c.Path.Children(fork) {
		var beyond []int
		for _, rx := range c.Path.Receivers() {
			if c.Path.Above(b, rx) {
				beyond = append(beyond, rx)
			}
		}
		if len(beyond) == 0 {
			continue
		}
		outputs++
		if slices.ContainsFunc(beyond, passes) {
			lit = true
		} else {
			dark = append(dark, beyond...)
		}
	}
	if outputs < 2 {
		return nil, lit
	}
	return dark, lit
}
