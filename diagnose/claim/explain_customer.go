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
	return []string{wrong(p, d), done(p), watch(p, d)}
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
func wrong(p *call.Progress, d Diagnosis) string {
	lost := causes(p, d.Repairs)
	switch {
	case p.NoAccess && len(p.Call.Observations) == 0:
		return "Nobody was at home, so nothing was measured."
	case len(judged(p.Call)) == 0 && !slices.ContainsFunc(p.Call.Path.Receivers(), func(r int) bool { return len(p.InputTests(r)) > 0 }):
		return "The signal has not been measured, so it is not known yet what is wrong."
	case len(p.Spans) > 0:
		return "The signal from the dish gets lost on its way to your receiver, and that is not mended yet."
	case slices.ContainsFunc(p.Call.Path.Receivers(), p.NotTheCoax):
		return "The signal that reaches your receiver is good, but the receiver did not pass its own test, so the trouble is in the receiver, in its connection to the television, or in the television."
	case lost != "":
		return "The signal from the dish was getting lost at " + lost + "."
	case testTurned(p, d) && !onlyReceiver(p):
		return "The signal that reaches your receiver is good; the receiver did not pass its own test at first, and passed it later."
	case unsafeNow(p) && !p.Traced:
		return "The signal that reaches your receiver is good; the power outlet did not pass its safety test."
	case onlyReceiver(p) && !p.Traced:
		return "The signal that reaches your receiver is good; the receiver itself did not pass its own test."
	case p.Traced && len(p.Call.Repairs) > 0:
		return "The signal from the dish was too weak on its way to your receiver."
	case p.Traced:
		return "A reading on your line was too weak at first and good when it was taken again, so the trouble may come and go."
	}
	if againstWords(p) != "" {
		return "The signal was called good where it was measured, though a figure there is below the limit for good signal."
	}
	if slices.ContainsFunc(d.Repairs, func(s Shown) bool { return s.rose && s.Repair.Undone == 0 }) {
		return "The signal was good enough where it was measured, and is stronger since the work than it was before."
	}
	if d.Outcome.Code == NotReproduced || len(p.Call.Symptoms) > 0 {
		return "The signal was good at every place where it was measured, and the trouble did not show while the technician was there."
	}
	return "The signal was good at every place where it was measured."
}

// testTurned reports that all signals were good, and that a receiver failed its
// own test at first and passed it later with no repair that is shown to be why.
func testTurned(p *call.Progress, d Diagnosis) bool {
	return !p.Traced && !slices.ContainsFunc(d.Repairs, Shown.Proves) && slices.ContainsFunc(p.Call.Path.Receivers(), func(r int) bool {
		tests := p.InputTests(r)
		failed := func(k call.Checked) bool { return k.Verdict == entry.Fail }
		return slices.ContainsFunc(tests, failed) && !failed(tests[len(tests)-1])
	})
}

// causes names the parts whose repair is proven; of several that are proven
// together it is not known which it was.
func causes(p *call.Progress, shown []Shown) string {
	var sure, either []string
	for _, s := range shown {
		w := plainPart(p, s.Repair)
		if s.Repair.Undone > 0 {
			continue
		}
		switch {
		case s.Code == Proven && !s.ownTest && !slices.Contains(sure, w):
			sure = append(sure, w)
		case s.Code == Together && !slices.Contains(either, w):
			either = append(either, w)
		}
	}
	either = slices.DeleteFunc(either, func(w string) bool { return slices.Contains(sure, w) })
	if len(either) > 0 {
		sure = append(sure, path.List(either, "or"))
	}
	return path.List(sure, "and")
}

// plainPart names what a repair was done to. A receiver's cable that was hung
// on another output shows the part with the outputs.
func plainPart(p *call.Progress, r trace.Repair) string {
	if r.Action.Action == "moved" && len(r.Elements) > 0 {
		if up := p.Call.Path.Parent[r.Elements[0]]; up >= 0 {
			return plainWords(p.Call.Path.Elements[up].Element)
		}
	}
	if r.Action.Action == "trimmed" && r.Action.Element == entry.Dish {
		return "what stood in the way of the dish"
	}
	return plainWords(r.Action.Element)
}

// onlyReceiver reports whether work was done on the receiver and nothing else.
func onlyReceiver(p *call.Progress) bool {
	return len(p.Call.Repairs) > 0 && !slices.ContainsFunc(p.Call.Repairs, func(r trace.Repair) bool { return r.Action.Element != entry.Receiver })
}

// receiversTested reports whether every receiver that was worked on has run its
// own test since, and whether all of them passed it.
func receiversTested(p *call.Progress) (tested, passes bool) {
	tested, passes = true, true
	for _, r := range p.Call.Path.Receivers() {
		worked := slices.ContainsFunc(p.Call.Repairs, func(q trace.Repair) bool { return p.Call.OnWay(q, trace.JointKey{Reach: r}) })
		if !worked {
			continue
		}
		t, counts := p.InputTest(r)
		tested, passes = tested && counts, passes && t.Verdict == entry.Pass
	}
	return tested, passes
}

// done says what was done.
func done(p *call.Progress) string {
	var did []string
	for _, r := range p.Call.Repairs {
		if undone(p, r) || stoodAgain(p, r) {
			continue
		}
		w := plainPart(p, r) + " was " + plainAction(r.Action)
		if r.Action.Action == "moved" {
			w = "your receiver was put on another outlet of " + plainPart(p, r)
		}
		if !slices.Contains(did, w) {
			did = append(did, w)
		}
	}
	if len(did) == 0 && len(p.Call.Repairs) > 0 {
		return "What was changed to find the fault was put back, so no part of the dish or the cables was changed."
	}
	if len(did) == 0 {
		return "No part of the dish or the cables was changed."
	}
	text := path.List(did, "and")
	if tested, passes := receiversTested(p); onlyReceiver(p) && tested {
		if passes {
			return path.Sentence(text + ", and it passed its own test after that")
		}
		return path.Sentence(text + ", and it did not pass its own test after that")
	}
	moved := func(r trace.Repair) bool { return r.Action.Action == "moved" }
	if tested, _ := receiversTested(p); onlyReceiver(p) && (len(p.Untested()) > 0 || !tested && !slices.ContainsFunc(p.Call.Repairs, moved)) {
		return path.Sentence(text + "; it has not been tested since then")
	}
	unread, again, failing, _ := standing(p)
	switch {
	case len(p.Spans) > 0:
		return path.Sentence(text + "; the signal does not measure good everywhere yet")
	case !measuredSince(p):
		return path.Sentence(text + "; the signal has not been measured behind the receiver since then")
	case len(failing) > 0: // a receiver's own test
		return path.Sentence(text + ", and the signal behind the receiver measured good after that")
	case len(again) > 0:
		return path.Sentence(text + "; the signal has not been measured everywhere since then")
	case len(unread) > 0:
		return path.Sentence(text + ", and the signal measured good after that; " + path.List(unread, "and") + plural2(len(unread), " was", " were") + " not measured")
	}
	return path.Sentence(text + ", and the signal behind the receiver measured good after that")
}

// undone reports whether a piece of work was taken back, or took one back.
func undone(p *call.Progress, r trace.Repair) bool {
	return r.Undone > 0 || slices.ContainsFunc(p.Call.Repairs, func(q trace.Repair) bool { return q.Undone == r.Seq })
}

// stoodAgain reports whether a part that was taken out, or left out, has one in
// its place again.
func stoodAgain(p *call.Progress, r trace.Repair) bool {
	out := r.Action.Action == "bypassed" || r.Action.Action == "removed"
	return out && slices.ContainsFunc(r.Elements, func(i int) bool {
		e := p.Call.Path.Elements[i]
		return e.Element == r.Action.Element && !e.Removed
	})
}

// measuredSince reports whether some receiver was read after the last repair
// on its way.
func measuredSince(p *call.Progress) bool {
	for _, r := range p.Call.Path.Receivers() {
		s, ok := p.Behind(r)
		if ok && !s.Stale && s.Round > 1 {
			return true
		}
	}
	return false
}

// cutOffNames names the receivers that a fork which is out may leave without
// signal.
func cutOffNames(p *call.Progress) []string {
	var out []string
	for _, l := range p.Call.ForksOut() {
		for _, r := range l.Dark {
			if name := receiverName(p.Call.Path, r); !slices.Contains(out, name) {
				out = append(out, name)
			}
		}
	}
	return out
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
func watch(p *call.Progress, d Diagnosis) string {
	has := func(codes ...string) bool {
		return slices.ContainsFunc(d.Findings, func(f trace.Finding) bool { return slices.Contains(codes, f.Code) })
	}
	switch {
	case d.Outcome.Code == Rescheduled:
		if d.Outcome.When == "" { // no day was named: nothing is known to be arranged
			return "Another visit is to be arranged."
		}
		return "Another visit is arranged" + when(d.Outcome.When) + "."
	case p.NoAccess && len(p.Call.Observations) == 0:
		return "Please arrange another time when somebody can let the technician in."
	case has(trace.FindingOutlet):
		return "The power outlet there did not pass its safety test: please do not use it until a licensed electrician has seen it."
	case has(trace.FindingOtherOutlet):
		return "A power outlet there did not pass its safety test: please do not use that one until a licensed electrician has seen it."
	case len(p.Spans) > 0:
		return "Another visit or more work is needed before the picture can be relied on."
	case len(p.Call.Path.Receivers()) > 0 && slices.ContainsFunc(p.Call.Path.Receivers(), p.NotTheCoax):
		return "The receiver, its connection to the television, or the television still has to be seen to."
	case d.Outcome.Code == NeedsHelp:
		return "Another technician is needed before the picture can be relied on."
	case len(judged(p.Call)) == 0 && d.Outcome.Code == NotFixed:
		return "Please call if the picture is not good."
	case p.Traced && !proofRead(p), len(p.Untested()) > 0:
		return "It is not shown yet that this is mended, so another visit or more work may be needed."
	case p.Traced && !slices.ContainsFunc(d.Repairs, Shown.Proves), testTurned(p, d):
		return "It is not known what made it fail, so it may come back; please note when it happens, and in what weather, and call then."
	case has(trace.FindingCutOff):
		return "A part that shared the signal between rooms was left out, so " + path.List(cutOffNames(p), "and") + " may have no signal; please call if the picture is not good there."
	case has(trace.FindingUngrounded):
		return "The dish line is without its grounding block now: please have a licensed electrician look at it."
	case p.Checks["grounding"].Verdict == entry.Fail:
		return "The grounding of the dish line did not look right: please have a licensed electrician look at it."
	case d.Outcome.Code == NotReproduced:
		return "Please note when it happens, and in what weather, and call then."
	case has(trace.FindingMarginal, trace.FindingAim, trace.FindingQuality), againstWords(p) != "":
		return "The signal has little to spare, so heavy rain may break up the picture; please call if it happens in dry weather too."
	}
	if has(trace.FindingExcess) {
		return "One stretch of cable takes more of the signal than it should; please call if the picture breaks up in dry weather."
	}
	return "Very heavy rain can break up the picture for a few minutes; please call if it happens in dry weather."
}
