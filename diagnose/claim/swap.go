package claim

import (
	"slices"

	"downlead/diagnose/call"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// The codes of what an exchange of two like parts tells.
const (
	WentWith = "fault_went_with" // the fault is where the part is now
	Stayed   = "fault_stayed"    // the fault is where it was: not in the part
)

// swaps says of every exchange what was read, or tested, after it: whether the
// fault went with the part or stayed.
func swaps(p *call.Progress) []Claim {
	var out []Claim
	for _, s := range p.Call.Swaps {
		k := Claim{Code: Stayed, Subject: p.Call.Path.Elements[s.Outlet].ID, Entries: append([]int64{s.Seq}, testsOf(p)...)}
		k.Text = "The fault stayed where it was: it is not in the receiver that was exchanged."
		if s.Follows {
			k.Code, k.Subject = WentWith, p.Call.Path.Elements[s.Receiver].ID
			k.Text = "The fault went with the receiver that was exchanged: it is in that receiver."
		}
		out = append(out, k)
	}
	for _, r := range p.Call.Repairs {
		if k, ok := exchanged(p, r); ok {
			out = append(out, k)
		}
	}
	return out
}

func testsOf(p *call.Progress) []int64 {
	var out []int64
	for _, r := range p.Call.Path.Receivers() {
		for _, k := range p.InputTests(r) {
			out = append(out, k.Seq)
		}
	}
	return out
}

// exchanged says what came of exchanging two parts of the coax: of the
// receivers behind each, the one that failed before and the other one are read
// again after it, with nothing else done between.
func exchanged(p *call.Progress, r trace.Repair) (Claim, bool) {
	c := p.Call
	if r.Action.Action != "swapped" || len(r.Elements) != 2 {
		return Claim{}, false
	}
	type end struct{ before, after entry.Verdict }
	var ends [2]end
	entries := []int64{r.Seq}
	for k, e := range r.Elements {
		var was, is *trace.Observation
		for i := range c.Observations {
			o := &c.Observations[i]
			reach := c.Path.Reach(o.Element, o.Side)
			if !trace.Judges(o.Reading) || !c.Path.Above(e, reach) || c.Path.Above(r.Elements[1-k], reach) {
				continue
			}
			if o.Seq < r.Seq {
				was = o
			} else if is == nil {
				is = o
			}
		}
		if was == nil || is == nil || slices.ContainsFunc(c.Repairs, func(q trace.Repair) bool {
			return q.Seq != r.Seq && q.Seq > was.Seq && q.Seq < is.Seq && beyond(c, q, *is)
		}) {
			return Claim{}, false
		}
		ends[k] = end{trace.Counts(was.Reading, c.Settings), trace.Counts(is.Reading, c.Settings)}
		entries = append(entries, was.Seq, is.Seq)
	}
	name := path.KindWords(r.Action.Element)
	for k := range ends {
		bad, good := ends[k], ends[1-k]
		if bad.before != entry.Fail || good.before != entry.Pass {
			continue
		}
		now := c.Path.Elements[r.Elements[1-k]]
		switch {
		case bad.after == entry.Pass && good.after == entry.Fail:
			return Claim{Code: WentWith, Subject: now.ID, Entries: entries, Text: "The fault went with the " + name + ": it is now " + c.Path.Name(r.Elements[1-k]) + "."}, true
		case bad.after == entry.Fail && good.after == entry.Pass:
			return Claim{Code: Stayed, Subject: c.Path.Elements[r.Elements[k]].ID, Entries: entries, Text: "The fault stayed where it was: it is not in the " + name + "."}, true
		}
	}
	return Claim{}, false
}
