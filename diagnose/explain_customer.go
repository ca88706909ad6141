package diagnose

import (
	"slices"

	"downlead/grammar"
	"downlead/journal"
)

// CustomerExplanation tells the customer in three plain sentences what was
// wrong, what was done, and what to watch. It blames nobody, promises nothing
// and says only what the records hold.
func CustomerExplanation(records []journal.Record, d Diagnosis) []string {
	p := newProgress(Replay(records))
	return []string{p.wrong(), p.done(), p.watch(d.Findings)}
}

// plainWords names an element for somebody who has never opened one.
func plainWords(e grammar.Element) string {
	switch e {
	case grammar.Dish:
		return "the dish outside"
	case grammar.LNB:
		return "the receiving head on the dish"
	case grammar.Cable:
		return "the cable between the dish and your receiver"
	case grammar.Jumper:
		return "the short cable behind the receiver"
	case grammar.Fitting:
		return "a cable end"
	case grammar.GroundBlock:
		return "the small block where the cable comes into the house"
	case grammar.Barrel:
		return "a joint in the cable"
	case grammar.WallPlate:
		return "the cable outlet on the wall"
	case grammar.Splitter, grammar.Tap, grammar.Multiswitch:
		return "the part that shares the signal between rooms"
	case grammar.Diplexer, grammar.Triplexer:
		return "the part that joins two signals on one cable"
	case grammar.PowerInserter:
		return "the part that feeds power to the dish"
	case grammar.Receiver:
		return "the receiver"
	}
	return "a part of the cable line"
}

// wrong says what was wrong.
func (p *progress) wrong() string {
	switch {
	case p.noAccess && len(p.call.Observations) == 0:
		return "Nobody was at home, so nothing was measured."
	case len(p.call.Observations) == 0:
		return "Nothing has been measured yet."
	case len(p.spans) > 0:
		return "The signal from the dish gets lost on its way to your receiver, and that is not mended yet."
	case p.notTheCoax(p.subject()):
		return "The signal that reaches your receiver is good, but the receiver did not pass its own test, so the trouble is in the receiver, in its connection to the television, or in the television."
	case len(p.causes()) > 0:
		return "The signal from the dish was getting lost at " + list(p.causes(), "and") + "."
	case p.onlyReceiver():
		return "The signal that reaches your receiver is good; the receiver itself did not pass its own test."
	case p.traced && len(p.call.Repairs) > 0:
		return "The signal from the dish was too weak on its way to your receiver."
	case p.traced:
		return "A reading on your line was too weak at first and good when it was taken again, so the trouble may come and go."
	}
	return "The signal was good at every place where it was measured."
}

// causes names the parts whose repair helped, each once, in order: a point
// beyond them that had failed passed after it, before anything else was changed.
func (p *progress) causes() []string {
	var out []string
	for k, r := range p.call.Repairs {
		if w := plainWords(r.Action.Element); p.traced && p.helped(k) && !slices.Contains(out, w) {
			out = append(out, w)
		}
	}
	return out
}

// helped reports whether a pass followed repair k before anything measured
// after it led to another repair. Repairs made one after the other without a
// reading between them count together.
func (p *progress) helped(k int) bool {
	r, measured := p.call.Repairs[k], int64(0)
	for _, o := range p.call.Observations {
		if o.Seq < r.Seq || !judges(o.Reading) {
			continue
		}
		if measured > 0 && slices.ContainsFunc(p.call.Repairs[k+1:], func(n Repair) bool { return n.Seq > measured && n.Seq < o.Seq }) {
			return false
		}
		if measured == 0 {
			measured = o.Seq
		}
		reach := p.call.Path.Reach(o.Element, o.Side)
		through := slices.ContainsFunc(r.Elements, func(e int) bool { return p.call.Path.Above(e, reach) })
		if through && verdictOf(o.Reading, p.call.Settings) == grammar.Pass && p.hadFailed(r, reach) {
			return true
		}
	}
	return false
}

// hadFailed reports whether, before a repair, a point beyond it failed on the
// way to the element reached now.
func (p *progress) hadFailed(r Repair, reach int) bool {
	return slices.ContainsFunc(p.call.Observations, func(o Observation) bool {
		at := p.call.Path.Reach(o.Element, o.Side)
		return o.Seq < r.Seq && verdictOf(o.Reading, p.call.Settings) == grammar.Fail && p.call.Path.Above(at, reach) &&
			slices.ContainsFunc(r.Elements, func(e int) bool { return p.call.Path.Above(e, at) })
	})
}

// onlyReceiver reports whether work was done on the receiver and nothing else.
func (p *progress) onlyReceiver() bool {
	return len(p.call.Repairs) > 0 && !slices.ContainsFunc(p.call.Repairs, func(r Repair) bool { return r.Action.Element != grammar.Receiver })
}

// done says what was done.
func (p *progress) done() string {
	if len(p.call.Repairs) == 0 {
		return "No part of the dish or the cables was changed."
	}
	var did []string
	for _, r := range p.call.Repairs {
		if w := plainWords(r.Action.Element) + " was " + plainAction(r.Action); !slices.Contains(did, w) {
			did = append(did, w)
		}
	}
	text := list(did, "and")
	if test, ok := p.inputTest(p.subject()); ok && p.onlyReceiver() && test.Verdict == grammar.Pass {
		return sentence(text + ", and it passed its own test after that")
	}
	if proven := p.toProve(); len(proven) > 0 && !slices.ContainsFunc(proven, func(r int) bool { return !p.passes(r) }) {
		return sentence(text + ", and the signal behind the receiver measured good after that")
	}
	return sentence(text + "; the signal has not measured good since then")
}

func plainAction(a grammar.Action) string {
	switch a.Action {
	case "re_terminated":
		return "given a new end"
	case "tightened":
		return "tightened"
	case "re_aimed":
		return "pointed again"
	case "rerouted":
		return "laid along another way"
	case "removed":
		return "taken out"
	case "added":
		return "put in"
	}
	return "replaced"
}

// watch says what to look out for.
func (p *progress) watch(findings []Finding) string {
	has := func(codes ...string) bool {
		return slices.ContainsFunc(findings, func(f Finding) bool { return slices.Contains(codes, f.Code) })
	}
	switch {
	case p.noAccess && len(p.call.Observations) == 0:
		return "Please arrange another time when somebody can let the technician in."
	case has(FindingOutlet):
		return "The power outlet there did not pass its safety test: please do not use it until a licensed electrician has seen it."
	case len(p.spans) > 0:
		return "Another visit or more work is needed before the picture can be relied on."
	case p.checks["grounding"].Verdict == grammar.Fail:
		return "The grounding of the dish line did not look right: please have a licensed electrician look at it."
	case has(FindingMarginal, FindingExcess, FindingAim, FindingQuality):
		return "The signal has little to spare, so heavy rain may break up the picture; please call if it happens in dry weather too."
	}
	return "Very heavy rain can break up the picture for a few minutes; please call if it happens in dry weather."
}
