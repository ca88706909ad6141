package claim

import (
	"fmt"
	"slices"
	"strings"

	"downlead/diagnose/call"
	"downlead/diagnose/level"
	"downlead/diagnose/next"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// step is the one thing to do next, worded: of the planner while something
// fails, else the open step of the call. It never asks for a reading that
// stands without saying why.
func step(p *call.Progress, d Diagnosis, planned *next.Next) *next.Next {
	if x := d.Contradictions; len(x) > 0 && d.Phase != call.Closed {
		n := &next.Next{Act: next.ActRead, Read: []string{next.ReadLevel}, Code: next.WhyDisagree, Point: x[0].Repeat, Why: disagreeWords(p.Call, x[0])}
		n.ID = idAt(p.Call, x[0].Repeat)
		n.Text = "Read again " + path.AtPoint(x[0].Repeat) + ": " + n.Why + "."
		return n
	}
	if d.Phase != call.Closed {
		if n := turned(d.Outcome); n != nil {
			return n
		}
		for _, first := range []func(*call.Progress, Diagnosis) *next.Next{readAgain, proveFirst, behindExchanged} {
			if n := first(p, d); n != nil {
				return n
			}
		}
	}
	switch d.Phase {
	case call.Tracing, call.Repairing:
		if n := slotAlone(p, d, planned); n != nil {
			return n
		}
		return search(p, d, planned)
	case call.Closed:
		return nil
	case call.Ready:
		why := "everything is done"
		if d.noAccess {
			why = "the customer is not at home"
		}
		return &next.Next{Act: next.ActStep, Code: "close", Why: why, Text: "Next: close the job."}
	}
	if n := stress(p, d.tables); n != nil {
		return n
	}
	i := slices.IndexFunc(d.steps, func(s call.Step) bool { return s.State == call.StepNow })
	if i < 0 {
		return planned
	}
	s := d.steps[i]
	if s.Step == "plug_in" && s.Detail != "" {
		s.Detail += ", then run its own input test"
	}
	if r := receiverOf(p, s.Step); r >= 0 && !p.NotTheCoax(r) {
		at := p.Call.Path.Point(r, entry.DishSide)
		n := &next.Next{Act: next.ActRead, Read: []string{next.ReadLevel}, Code: next.WhyUnread, Point: at, ID: p.Call.Path.Elements[r].ID, Why: s.Detail}
		if d.Phase == call.Proving {
			n.Code = next.WhyProve
		}
		if planned != nil && planned.Point == at {
			n.Minutes, n.Bits = planned.Minutes, planned.Bits
		}
		n.Text = "Next: " + s.Detail + "."
		return n
	}
	act := next.ActStep
	if d.Phase == call.Baseline {
		act = next.ActRead
	}
	n := &next.Next{Act: act, Code: s.Step, Why: s.Detail, Text: "Next: " + s.Detail + "."}
	if act == next.ActRead {
		n.Read = []string{next.ReadLevel}
		if planned != nil {
			n.Point, n.ID, n.Minutes = planned.Point, planned.ID, planned.Minutes
		}
	}
	return n
}

// disagreeWords says which two readings disagree, of which the point of one is
// to be read again.
func disagreeWords(c trace.Call, x trace.Contradiction) string {
	failing, ok1 := reading(c, x.Entries[0])
	passing, ok2 := reading(c, x.Entries[1])
	switch {
	case !ok1 || !ok2:
		return "two readings disagree"
	case c.PointOf(failing) == x.Repeat:
		return "it fails there and passes further on, " + path.AtPoint(c.PointOf(passing))
	}
	return "it passes there and fails ahead of it, " + path.AtPoint(c.PointOf(failing))
}

// turned is the step where the call has taken another turn: another day, or
// another technician.
func turned(o Outcome) *next.Next {
	switch o.Code {
	case Rescheduled:
		return &next.Next{Act: next.ActStep, Code: "close", Why: "it is rescheduled" + when(o.When), Text: "Next: close the job; it is rescheduled" + when(o.When) + "."}
	case NeedsHelp:
		return &next.Next{Act: next.ActCall, Code: "help", Why: "a second technician is needed" + when(o.When), Text: "Next: call for the second technician, then close the job, or go on together."}
	}
	return nil
}

// proveFirst is the step right after a repair while something else still fails:
// what was mended is read again before one goes on elsewhere.
func proveFirst(p *call.Progress, d Diagnosis) *next.Next {
	n := len(p.Call.Repairs)
	if n == 0 || len(p.Spans) == 0 {
		return nil
	}
	r := p.Call.Repairs[n-1]
	since := func(o trace.Observation) bool { return o.Seq > r.Seq }
	if !mends(r) || slices.ContainsFunc(p.Call.Observations, since) {
		return nil
	}
	for _, receiver := range p.ToProve() {
		s, read := p.Behind(receiver)
		if !read || !s.Stale || !p.Call.OnWay(r, trace.JointKey{Reach: receiver}) {
			continue
		}
		at := p.Call.Path.Point(receiver, entry.DishSide)
		why := "measure " + path.AtPoint(at) + " again, after the repair"
		return &next.Next{
			Act: next.ActRead, Read: []string{next.ReadLevel}, Code: next.WhyProve, Point: at, ID: p.Call.Path.Elements[receiver].ID,
			Minutes: d.tables.Minutes.SamePlace + d.tables.Minutes.Measure, Why: why, Text: "Next: " + why + ".",
		}
	}
	return nil
}

// behindExchanged is the step after two receivers were exchanged while nobody
// has read the coax behind one of them: its own test tells nothing of it before.
func behindExchanged(p *call.Progress, d Diagnosis) *next.Next {
	if len(p.Spans) > 0 || unsafeNow(p) {
		return nil
	}
	for _, r := range p.Exchanged() {
		_, read := p.Behind(r)
		if t, counts := p.InputTest(r); read || counts && t.Verdict == entry.Pass {
			continue
		}
		at := p.Call.Path.Point(r, entry.DishSide)
		why := "a receiver was exchanged there, and the coax was not read yet"
		return &next.Next{
			Act: next.ActRead, Read: []string{next.ReadLevel}, Code: next.WhyUnread, Point: at, ID: p.Call.Path.Elements[r].ID,
			Minutes: d.tables.Minutes.OtherRoom + d.tables.Minutes.Measure, Why: why,
			Text: "Next: measure " + path.AtPoint(at) + ": " + why + ".",
		}
	}
	return nil
}

// receiverOf returns the receiver that a step measures behind, or -1.
func receiverOf(p *call.Progress, name string) int {
	for _, r := range p.Call.Path.Receivers() {
		number := fmt.Sprint(p.Call.Path.Number(r))
		switch {
		case name == "receiver_"+number, name == "proof_"+number:
			return r
		case name == "proof" && slices.Contains(p.ToProve(), r):
			return r
		}
	}
	return -1
}

func idAt(c trace.Call, at entry.Point) string {
	if found := c.Path.Find(at); len(found) == 1 {
		return c.Path.Elements[found[0]].ID
	}
	return ""
}

// search words the step of a search for a fault.
func search(p *call.Progress, d Diagnosis, n *next.Next) *next.Next {
	if n == nil || n.Act == "" {
		n = &next.Next{Act: next.ActRead, Read: []string{next.ReadLevel}, Code: next.WhyTells, Why: "no part stands out"}
		if len(p.Spans) > 0 {
			n.Point = p.Call.PointOfSpot(p.Spans[0].Fail)
			n.ID = idAt(p.Call, n.Point)
			n.Text = "Read again " + path.AtPoint(n.Point) + ", level and all: no part stands out."
		}
		return n
	}
	switch n.Act {
	case next.ActRead:
		at := endOfRun(p.Call.Path, n)
		n.Text = "Next: read " + quantities(n.Read) + at + "."
		switch {
		case slices.Contains(n.Read, next.ReadWiggle):
			n.Text = fmt.Sprintf("Next: read %s again while moving each fitting by hand: %s.", at, n.Why)
		case d.stands(n):
			n.Text = "Next: read " + quantities(n.Read) + at + " once more: " + againWhy(n.Why) + "."
		}
	case next.ActRepair:
		what, again := d.mendWords(p, n), "then read "+behindWords(p)+" again"
		switch n.Code {
		case next.WhyAtFault:
			n.Text = fmt.Sprintf("%s, %s.", what, again)
			if d.chance(n.ID) < surely {
				n.Text = fmt.Sprintf("No reading tells more. %s first, %s.", what, again)
			}
		case next.WhyWeak:
			n.Why, n.Text = weakWords(n.Why)
		default:
			n.Text = fmt.Sprintf("%s: that costs less than another reading. %s.", what, upper(again))
		}
	default:
		n.Text = path.Sentence(n.Why)
		switch n.Code {
		case next.WhyUndecided:
			n.Text = "Ask for help before anything is replaced: " + n.Why + "."
		case next.WhyTooWeak:
			n.Text = "Lay a shorter run or thicker cable, or ask for help: " + n.Why + "."
		}
	}
	return n
}

// endOfRun is where a step reads. An end of a cable is told by what the cable
// comes from: nobody counts them.
func endOfRun(coax path.Path, n *next.Next) string {
	i := coax.Index(n.ID)
	if i < 0 || !path.IsRun(coax.Elements[i].Element) {
		return path.AtPoint(n.Point)
	}
	return "at the " + string(n.Point.Side) + " end of " + coax.The(i)
}

// weakWords parts the reason of the planner, "the signal is weak: check the aim
// of the dish; not while there is rain", into the reason alone and what to do
// for it.
func weakWords(planned string) (why, text string) {
	why, act, _ := strings.Cut(planned, ": ")
	act, held, isHeld := strings.Cut(act, "; ")
	text = upper(act) + ": " + why + "."
	if isHeld {
		text += " " + path.Sentence(held)
	}
	return why, text
}

// Leads returns the element that the next step leads to, -1 for none, and the
// step of the call that its cautions belong to: work on a part with a plug of
// its own is for the mains what testing the outlet is.
func (d Diagnosis) Leads(coax path.Path) (goal int, step string) {
	n := d.Next
	if n == nil {
		return -1, ""
	}
	goal = -1
	if n.ID != "" {
		goal = coax.Index(n.ID)
	}
	if n.Act == next.ActRepair && goal >= 0 && coax.Elements[goal].Element == entry.PowerInserter {
		return goal, "outlet"
	}
	return goal, n.Code
}

// mendWords says what to mend: of a part with several outputs, of which one
// fails alone, that output.
func (d Diagnosis) mendWords(p *call.Progress, n *next.Next) string {
	i := p.Call.Path.Index(n.ID)
	if i < 0 {
		return "Mend the part there"
	}
	for _, s := range p.Spans {
		if s.Elements[0] == i && p.Call.OneOutput(s) {
			if !freeOutput(p.Call.Path, i) {
				return fmt.Sprintf("Mend output %s of %s, or replace it", path.Numeral(s.Fail.Port), p.Call.Path.The(i))
			}
			return fmt.Sprintf("Go to another output of %s, or mend output %s", p.Call.Path.The(i), path.Numeral(s.Fail.Port))
		}
	}
	if p.Call.Path.Elements[i].Element == entry.Dish {
		return "See to the dish and its aim"
	}
	loses := d.mode(n.ID) == level.ModeFlat || d.mode(n.ID) == level.ModeTilt
	if p.Call.Path.Elements[i].Element == entry.PowerInserter && !loses {
		return "See that " + p.Call.Path.The(i) + " gets power, else mend it or its fittings"
	}
	what := "Mend " + p.Call.Path.The(i)
	if e := p.Call.Path.Elements[i].Element; e != entry.Dish && e != entry.LNB && e != entry.Receiver {
		what += " or its fittings"
	}
	return what
}

// freeOutput reports whether a fork has an output on which nothing hangs, as far
// as it is known how many it has.
func freeOutput(coax path.Path, fork int) bool {
	used := map[int]bool{}
	for _, c := range coax.Children(fork) {
		if !coax.Elements[c].Removed && coax.Elements[c].Port > 0 {
			used[coax.Elements[c].Port] = true
		}
	}
	ways := coax.Elements[fork].SaidWays
	return ways == 0 || len(used) < ways
}

// behindWords names the point that proves a repair: behind the receiver that
// the first failing branch feeds.
func behindWords(p *call.Progress) string {
	if len(p.Spans) > 0 && len(p.Spans[0].Feeds) > 0 {
		return path.AtPoint(p.Call.Path.Point(p.Spans[0].Feeds[0], entry.DishSide))
	}
	return "behind the receiver"
}

func quantities(read []string) string {
	words := map[string]string{next.ReadLevel: "the level", next.ReadVolts: "the volts", next.ReadSlots: "every slot"}
	var out []string
	for _, q := range read {
		if w := words[q]; w != "" {
			out = append(out, w)
		}
	}
	if len(out) == 0 {
		return ""
	}
	return path.List(out, "and") + " "
}

// againWhy is why a reading that stands is taken once more, in one clause.
func againWhy(why string) string {
	why = strings.TrimPrefix(why, "read again: ")
	before, _, _ := strings.Cut(why, ":")
	return before
}

// stands reports whether what a step asks to read was read there already.
func (d Diagnosis) stands(n *next.Next) bool {
	what := next.ReadLevel
	if slices.Contains(n.Read, next.ReadVolts) {
		what = next.ReadVolts
	}
	return slices.Contains(d.readNow[what], pointKey(n.Point))
}

// pointKey is a point without what names it, to compare points by.
func pointKey(p entry.Point) entry.Point {
	p.Room = ""
	return p
}
