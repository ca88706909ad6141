package claim

import (
	"downlead/diagnose/call"
	"downlead/diagnose/path"
	"downlead/grammar/entry"
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
	var parts []int // where the part that each is about hangs now
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
		k.Text = "The fault stayed where it was: it is not in the " + name + " that was exchanged."
		if s.Follows {
			k.Code = WentWith
			k.Text = "The fault went with the " + name + " that was exchanged: it is in that " + name + "."
			if t, counts := p.InputTest(at); counts && t.Verdict == entry.Pass {
				k.Text = "The fault went with the " + name + " that was exchanged, and that " + name + " passes its own test since."
				k.Entries = append(k.Entries, t.Seq)
			}
		}
		out, parts = tell(out, parts, k, s.Receiver)
	}
	return out
}

// tell adds what an exchange tells to what others told. Two that tell the same
// are said once; of two of one part that cannot both be true neither is, but
// that they are two.
func tell(all []Claim, parts []int, k Claim, part int) ([]Claim, []int) {
	for i, x := range all {
		switch {
		case x.Code == k.Code && x.Subject == k.Subject:
			all[i].Entries = append(all[i].Entries, k.Entries...)
			return all, parts
		case parts[i] == part && x.Code != k.Code:
			all[i] = Claim{
				Code: Disagree, Subject: job, Entries: append(x.Entries, k.Entries...),
				Text: "The exchanges tell different things: one that the fault went with the part, another that it stayed. Test both again where they are.",
			}
			return all, parts
		}
	}
	return append(all, k), append(parts, part)
}
