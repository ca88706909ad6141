package claim

import (
	"downlead/diagnose/call"
	"downlead/diagnose/path"
)

// The codes of what an exchange of two like parts tells.
const (
	WentWith = "fault_went_with" // the fault is where the part is now
	Stayed   = "fault_stayed"    // the fault is where it was: not in the part
)

// swaps says of every exchange what was read, or tested, after it: whether the
// fault went with the part or stayed. Once the part is replaced it says nothing
// of what is there now.
func swaps(p *call.Progress) []Claim {
	var out []Claim
	c := p.Call
	for _, s := range c.Swaps {
		at := s.Outlet
		if s.Follows {
			at = s.Receiver
		}
		if at < len(s.Versions) && s.Versions[at] != c.Versions[at] {
			continue
		}
		name := path.KindWords(c.Path.Elements[s.Outlet].Element)
		k := Claim{Code: Stayed, Subject: c.Path.Elements[at].ID, Entries: append([]int64{s.Seq}, s.Entries...)}
		if len(s.Entries) == 0 {
			k.Entries = append(k.Entries, testsOf(p)...)
		}
		k.Text = "The fault stayed where it was: it is not in the " + name + " that was exchanged."
		if s.Follows {
			k.Code = WentWith
			k.Text = "The fault went with the " + name + " that was exchanged: it is in that " + name + "."
		}
		out = append(out, k)
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
