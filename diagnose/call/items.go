package call

import (
	"fmt"
	"slices"

	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// items returns every step of the call with its state.
func (p *Progress) items() []item {
	items := []item{p.arrive(), p.baseline()}
	items = append(items, p.trace()...)
	items = append(items, p.power()...)
	items = append(items, p.others()...)
	items = append(items, p.inspection()...)
	if p.NoAccess {
		for i := range items {
			if items[i].state == StepMissing {
				items[i].state, items[i].detail = stepNA, "customer not home"
			}
		}
	}
	if p.closed {
		items = append(items, item{step: "close", phase: Closed, state: StepDone, detail: p.reason})
	}
	return items
}

func (p *Progress) arrive() item {
	if p.arrived {
		return item{step: "arrive", state: StepDone, phase: Ready}
	}
	return item{step: "arrive", state: StepMissing, phase: Ready, detail: "no time of arrival yet: say \"arrived\""}
}

func (p *Progress) baseline() item {
	i := item{step: "baseline", phase: Baseline, state: StepMissing, detail: "measure behind the receiver that fails"}
	if p.first < 0 {
		if len(p.Call.Path.Receivers()) == 1 {
			i.detail = "measure behind the receiver"
		}
		return i
	}
	i.state = StepDone
	for _, o := range p.Call.Observations {
		if o.Element == p.first && trace.Judges(o.Reading) {
			i.detail = path.AtPoint(p.Call.Path.Point(p.first, entry.DishSide)) + ": " + howFar(p.Call, o.Reading)
			break
		}
	}
	return i
}

// howFar says how far a reading is from its limit: a baseline far below it is
// a dead path, a little below it a weak one (common practice, no source).
func howFar(c trace.Call, r entry.Reading) string {
	const deadDB = 15 // far enough that loss alone, without a break, is unlikely; our choice
	verdict := trace.Counts(r, c.Settings)
	below := c.Settings.FloorDBm - r.Level.Float()
	switch {
	case r.NoSignal:
		return "no signal, a dead path"
	case r.Level.Said() && below > deadDB:
		return fmt.Sprintf("%.1f dB below the floor, a dead path", below)
	case r.Level.Said() && below > 0:
		return fmt.Sprintf("%.1f dB below the floor, a weak path", below)
	case r.Level.Said() && verdict == entry.Pass:
		return fmt.Sprintf("passes with %.1f dB to spare", -below)
	case r.Level.Said():
		return fmt.Sprintf("%s at %s dBm", verdictWords(verdict), r.Level)
	}
	return verdictWords(verdict)
}

func verdictWords(v entry.Verdict) string {
	switch v {
	case entry.Pass:
		return "passes"
	case entry.Fail:
		return "fails"
	}
	return "not judged"
}

// trace returns the steps from a fail to its proof.
func (p *Progress) trace() []item {
	trace := item{step: "trace", phase: Tracing, state: StepMissing}
	repair := item{step: "repair", phase: Repairing, state: StepMissing}
	if !p.Traced {
		proof := item{step: "proof", phase: Proving}
		out := []item{trace, repair, proof}
		for i := range out {
			out[i].state, out[i].detail = stepNA, "no reading failed"
		}
		if n := len(p.Call.Repairs); n > 0 {
			out[1].state, out[1].detail = StepDone, repairWords(p.Call, p.Call.Repairs[n-1])
		}
		if s, ok := p.Behind(max(p.first, 0)); ok && p.first >= 0 && s.Stale {
			out[2].state = StepMissing
			out[2].detail = "measure " + path.AtPoint(p.Call.Path.Point(p.first, entry.DishSide)) + " again: work was done on its way"
		}
		return out
	}
	switch {
	case len(p.Spans) == 0:
		trace.state, trace.detail, repair.state = StepDone, "nothing on the way fails now", StepDone
		if len(p.Call.Repairs) == 0 {
			repair.state, repair.detail = stepNA, "it passes again without a repair: it may come and go"
		} else {
			repair.detail = repairWords(p.Call, p.Call.Repairs[len(p.Call.Repairs)-1])
		}
	case p.found() != nil:
		repair.detail = path.Clause(p.Call.SpanClause(*p.found()))
		if len(p.Spans) == 1 {
			trace.state, trace.detail = StepDone, p.Call.SpanEnds(p.Spans[0])
		}
	default:
		trace.detail, repair.detail = path.Clause(p.Call.Brackets()[0].Clause), "once the trace ends"
	}
	return append([]item{trace, repair}, p.proof()...)
}

// proof returns one step for each receiver that failed.
func (p *Progress) proof() []item {
	var out []item
	receivers := p.ToProve()
	for _, r := range receivers {
		i := item{step: "proof", phase: Proving, state: StepMissing}
		if len(receivers) > 1 {
			i.step = fmt.Sprintf("proof_%d", p.Call.Path.Number(r))
		}
		where := path.AtPoint(p.Call.Path.Point(r, entry.DishSide))
		switch s, ok := p.Behind(r); {
		case ok && !s.Stale && s.Verdict == entry.Pass && len(s.Left) > 0:
			i.detail = "measure " + where + " again" + s.LeftWords() + ", after the repair"
		case p.Passes(r):
			i.state = StepDone
			i.detail = where + ": " + howFar(p.Call, s.Last().Reading)
		case ok && !s.Stale && p.worked(r):
			i.detail = "still fails " + where
		default:
			i.detail = "measure " + where
			if ok {
				i.detail += " again"
			}
			if p.worked(r) {
				i.detail += ", after the repair"
			}
		}
		out = append(out, i)
	}
	return out
}

// worked reports whether anything was done on the way to a receiver.
func (p *Progress) worked(receiver int) bool {
	return slices.ContainsFunc(p.Call.Repairs, func(r trace.Repair) bool {
		return p.Call.OnWay(r, trace.JointKey{Reach: receiver})
	})
}

// power returns the outlet, plugging in, and the receiver's own test.
func (p *Progress) power() []item {
	outlet := item{step: "outlet", phase: Outlet, state: StepMissing, detail: "test the power outlet before plugging in"}
	plug := item{step: "plug_in", phase: InputTest, state: StepMissing, detail: "join the coax and plug the receiver in"}
	test := item{step: "input_test", phase: InputTest, state: StepMissing, detail: "run the receiver's own input test"}
	if o, ok := p.outlet(); ok {
		outlet.state, outlet.detail = StepDone, checkWords(o.Check)
		if o.Verdict == entry.Fail {
			stop := "the outlet failed: do not plug in; it is for a licensed electrician"
			outlet.detail = "failed" + Remark(o.Check) + ": leave it, tell the customer, a licensed electrician must see to it"
			plug.state, plug.detail, test.state, test.detail = stepNA, stop, stepNA, stop
			return []item{outlet, plug, test}
		}
	}
	subject := p.Subject()
	if subject >= 0 && len(p.Call.Path.Receivers()) > 1 {
		which := p.Call.Path.The(subject)
		plug.detail, test.detail = "join the coax and plug in "+which, "run the input test of "+which
	}
	recorded, done := p.InputTest(subject)
	if outlet.state == StepMissing && recorded.Seq > 0 {
		outlet.detail = "test the power outlet, which was not tested before it was used"
	}
	if p.pluggedIn(subject) {
		plug.state, plug.detail = StepDone, ""
	}
	switch {
	case p.NotTheCoax(subject):
		plug.state, plug.detail = StepDone, ""
		test.detail = p.notTheCoaxWords(subject)
	case done && recorded.Verdict == entry.Fail:
		plug.state, plug.detail = StepDone, ""
		test.detail = "failed; measure behind the receiver first"
	case done:
		plug.state, plug.detail = StepDone, ""
		test.state, test.detail = StepDone, checkWords(recorded.Check)
	case recorded.Seq > 0:
		plug.state, plug.detail = StepDone, ""
		test.detail = "run the input test again: something was changed after the last one"
	}
	for _, r := range p.Untested() {
		if test.state == StepDone {
			test.state = StepMissing
			test.detail = "run the input test again, " + path.PointWords(p.Call.Path.Point(r, entry.DishSide)) + ": something was changed after it failed"
		}
	}
	return []item{outlet, plug, test}
}

// pluggedIn reports whether it was said that a receiver was plugged in, with
// nothing read behind it since: for that its coax is parted.
func (p *Progress) pluggedIn(receiver int) bool {
	in := false
	for _, r := range p.Call.Records {
		switch e := r.Entry.(type) {
		case entry.Action:
			if e.Action == "plugged_in" {
				found := p.Call.Path.Find(entry.Point{Element: entry.Receiver, Number: e.Number, Room: e.Room})
				in = in || slices.Contains(found, receiver)
			}
		case entry.Reading:
			behind := func(o trace.Observation) bool { return o.Seq == r.Seq && o.Element == receiver }
			in = in && !slices.ContainsFunc(p.Call.Observations, behind)
		}
	}
	return in
}

// NotTheCoax reports whether a receiver passes behind it and fails its own test.
func (p *Progress) NotTheCoax(receiver int) bool {
	t, counts := p.InputTest(receiver)
	return counts && t.Verdict == entry.Fail && receiver >= 0 && p.Passes(receiver)
}

func (p *Progress) notTheCoaxWords(receiver int) string {
	return fmt.Sprintf("look at the receiver, its wiring to the television and the television, not the coax: the signal passes %s",
		path.AtPoint(p.Call.Path.Point(receiver, entry.DishSide)))
}

// others returns a step for every receiver that has not failed: each found
// weak now saves a second visit.
func (p *Progress) others() []item {
	var out []item
	subject := p.Subject()
	for _, r := range p.Call.Path.Receivers() {
		if r == subject || p.failed[r] || subject < 0 && len(p.Call.Path.Receivers()) == 1 {
			continue
		}
		where := path.AtPoint(p.Call.Path.Point(r, entry.DishSide))
		i := item{step: fmt.Sprintf("receiver_%d", p.Call.Path.Number(r)), phase: OtherReceivers, state: StepMissing, detail: "measure " + where}
		switch s, ok := p.Behind(r); {
		case p.NotTheCoax(r):
			i.detail = p.notTheCoaxWords(r)
		case ok && !s.Stale && s.Verdict == entry.Pass && len(s.Left) > 0:
			i.detail = "measure " + where + " again" + s.LeftWords() + ": a repair on its way came after"
		case p.Passes(r):
			i.state, i.detail = StepDone, where+": "+howFar(p.Call, s.Last().Reading)
		case ok && s.Stale:
			i.detail = "measure " + where + " again: a repair on its way came after"
		}
		out = append(out, i)
	}
	return out
}
