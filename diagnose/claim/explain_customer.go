package claim

import (
	"slices"

	"downlead/diagnose/call"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// CustomerExplanation tells the customer in three plain sentences what was
// wrong, what was done, and what to watch. It blames nobody, promises nothing
// and says only what the records hold.
func CustomerExplanation(p *call.Progress, d Diagnosis) []string {
	return []string{wrong(p), done(p), watch(p, d.Findings)}
}

// plainWords names an element for somebody who has never opened one.
func plainWords(e entry.Element) string {
	switch e {
	case entry.Dish:
		return "the dish outside"
	case entry.LNB:
		return "the receiving head on the dish"
	case entry.Cable:
		return "the cable between the dish and your receiver"
	case entry.Jumper:
		return "the short cable behind the receiver"
	case entry.Fitting:
		return "a cable end"
	case entry.GroundBlock:
		return "the small block where the cable comes into the house"
	case entry.Barrel:
		return "a joint in the cable"
	case entry.WallPlate:
		return "the cable outlet on the wall"
	case entry.Splitter, entry.Tap, entry.Multiswitch:
		return "the part that shares the signal between rooms"
	case entry.Diplexer, entry.Triplexer:
		return "the part that joins two signals on one cable"
	case entry.Mount:
		return "the mount of the dish"
	case entry.GroundWire:
		return "the ground wire"
	case entry.PowerInserter:
		return "the part that feeds power to the dish"
	case entry.Receiver:
		return "the receiver"
	}
	return "a part of the installation"
}

// wrong says what was wrong.
func wrong(p *call.Progress) string {
	switch {
	case p.NoAccess && len(p.Call.Observations) == 0:
		return "Nobody was at home, so nothing was measured."
	case len(p.Call.Observations) == 0:
		return "Nothing has been measured yet."
	case len(p.Spans) > 0:
		return "The signal from the dish gets lost on its way to your receiver, and that is not mended yet."
	case p.NotTheCoax(p.Subject()):
		return "The signal that reaches your receiver is good, but the receiver did not pass its own test, so the trouble is in the receiver, in its connection to the television, or in the television."
	case len(causes(p)) > 0:
		return "The signal from the dish was getting lost at " + path.List(causes(p), "and") + "."
	case onlyReceiver(p):
		return "The signal that reaches your receiver is good; the receiver itself did not pass its own test."
	case p.Traced && len(p.Call.Repairs) > 0:
		return "The signal from the dish was too weak on its way to your receiver."
	case p.Traced:
		return "A reading on your line was too weak at first and good when it was taken again, so the trouble may come and go."
	}
	return "The signal was good at every place where it was measured."
}

// causes names the parts whose repair helped, each once, in order: a point
// beyond them that had failed passed after it, before anything else was changed.
func causes(p *call.Progress) []string {
	var out []string
	for k, r := range p.Call.Repairs {
		if w := plainWords(r.Action.Element); p.Traced && helped(p, k) && !slices.Contains(out, w) {
			out = append(out, w)
		}
	}
	return out
}

// helped reports whether a pass followed repair k before anything measured
// after it led to another repair. Repairs made one after the other without a
// reading between them count together.
func helped(p *call.Progress, k int) bool {
	r, measured := p.Call.Repairs[k], int64(0)
	for _, o := range p.Call.Observations {
		if o.Seq < r.Seq || !trace.Judges(o.Reading) {
			continue
		}
		if measured > 0 && slices.ContainsFunc(p.Call.Repairs[k+1:], func(n trace.Repair) bool { return n.Seq > measured && n.Seq < o.Seq }) {
			return false
		}
		if measured == 0 {
			measured = o.Seq
		}
		reach := p.Call.Path.Reach(o.Element, o.Side)
		through := slices.ContainsFunc(r.Elements, func(e int) bool { return p.Call.Path.Above(e, reach) })
		if through && trace.Counts(o.Reading, p.Call.Settings) == entry.Pass && hadFailed(p, r, reach) {
			return true
		}
	}
	return false
}

// hadFailed reports whether, before a repair, a point beyond it failed on the
// way to the element reached now.
func hadFailed(p *call.Progress, r trace.Repair, reach int) bool {
	return slices.ContainsFunc(p.Call.Observations, func(o trace.Observation) bool {
		at := p.Call.Path.Reach(o.Element, o.Side)
		return o.Seq < r.Seq && trace.Counts(o.Reading, p.Call.Settings) == entry.Fail && p.Call.Path.Above(at, reach) &&
			slices.ContainsFunc(r.Elements, func(e int) bool { return p.Call.Path.Above(e, at) })
	})
}

// onlyReceiver reports whether work was done on the receiver and nothing else.
func onlyReceiver(p *call.Progress) bool {
	return len(p.Call.Repairs) > 0 && !slices.ContainsFunc(p.Call.Repairs, func(r trace.Repair) bool { return r.Action.Element != entry.Receiver })
}

// done says what was done.
func done(p *call.Progress) string {
	if len(p.Call.Repairs) == 0 {
		return "No part of the dish or the cables was changed."
	}
	var did []string
	for _, r := range p.Call.Repairs {
		if w := plainWords(r.Action.Element) + " was " + plainAction(r.Action); !slices.Contains(did, w) {
			did = append(did, w)
		}
	}
	text := path.List(did, "and")
	if test, ok := p.InputTest(p.Subject()); ok && onlyReceiver(p) && test.Verdict == entry.Pass {
		return path.Sentence(text + ", and it passed its own test after that")
	}
	if proven := p.ToProve(); len(proven) > 0 && !slices.ContainsFunc(proven, func(r int) bool { return !p.Passes(r) }) {
		return path.Sentence(text + ", and the signal behind the receiver measured good after that")
	}
	return path.Sentence(text + "; the signal has not measured good since then")
}

func plainAction(a entry.Action) string {
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
	case "plugged_in":
		return "plugged in"
	case "reset":
		return "started anew"
	case "restored":
		return "put back as it was"
	case "trimmed":
		return "cut back"
	case "sealed":
		return "dried and sealed"
	case "cleaned":
		return "cleaned"
	case "moved":
		return "put at another place"
	case "swapped":
		return "exchanged with another"
	case "bypassed":
		return "left out of the way of the signal"
	}
	return "replaced"
}

// watch says what to look out for.
func watch(p *call.Progress, findings []trace.Finding) string {
	has := func(codes ...string) bool {
		return slices.ContainsFunc(findings, func(f trace.Finding) bool { return slices.Contains(codes, f.Code) })
	}
	switch {
	case p.NoAccess && len(p.Call.Observations) == 0:
		return "Please arrange another time when somebody can let the technician in."
	case has(trace.FindingOutlet):
		return "The power outlet there did not pass its safety test: please do not use it until a licensed electrician has seen it."
	case len(p.Spans) > 0:
		return "Another visit or more work is needed before the picture can be relied on."
	case p.Checks["grounding"].Verdict == entry.Fail:
		return "The grounding of the dish line did not look right: please have a licensed electrician look at it."
	case has(trace.FindingMarginal, trace.FindingExcess, trace.FindingAim, trace.FindingQuality):
		return "The signal has little to spare, so heavy rain may break up the picture; please call if it happens in dry weather too."
	}
	return "Very heavy rain can break up the picture for a few minutes; please call if it happens in dry weather."
}
