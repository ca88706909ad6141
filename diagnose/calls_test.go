package diagnose

import (
	"slices"
	"strings"
	"sync"
	"testing"

	"downlead/diagnose/call"
	"downlead/diagnose/calltest"
	"downlead/diagnose/claim"
	"downlead/diagnose/level"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// callState is what is concluded after a step.
type callState struct {
	call trace.Call
	claim.Diagnosis
}

// concluded runs the invented calls step by step, once for all tests.
var concluded = sync.OnceValue(func() map[string][]callState {
	out := map[string][]callState{}
	for name, steps := range invented() {
		var said []entry.Entry
		for _, s := range steps {
			said = append(said, s.entry)
			c := trace.ReplayCurrent(calltest.RecordsOf(said...))
			out[name] = append(out[name], callState{c, claim.Conclude(call.NewProgress(c), level.Options{})})
		}
	}
	return out
})

func TestSixCalls(t *testing.T) {
	for name, steps := range invented() {
		t.Run(name, func(t *testing.T) {
			states := concluded()[name]
			for i, s := range steps {
				d := states[i].Diagnosis
				answer := claim.Answer(d)
				t.Logf("%-14s %-60.60s | %s", d.Phase, describe(s.entry), answer)
				if d.Phase != s.phase {
					t.Errorf("step %d: phase %q, want %q", i+1, d.Phase, s.phase)
				}
				if !strings.Contains(answer, s.answer) {
					t.Errorf("step %d: answer %q, want %q in it", i+1, answer, s.answer)
				}
				if d.Phase != call.Ready && d.Phase != call.Closed && countState(call.NewProgress(states[i].call), call.StepNow) != 1 {
					t.Errorf("step %d: want exactly one step now", i+1)
				}
			}
			if last := states[len(states)-1]; len(last.Missing) > 0 {
				t.Errorf("a whole call leaves nothing missing, got %v", last.Missing)
			}
		})
	}
}

func countState(p *call.Progress, state string) int {
	steps, _ := p.Plan()
	n := 0
	for _, s := range steps {
		if s.State == state {
			n++
		}
	}
	return n
}

func describe(e entry.Entry) string {
	b, err := entry.Encode(e)
	if err != nil {
		return err.Error()
	}
	return string(b)
}

func TestInputTestOfAnotherReceiver(t *testing.T) {
	second := calltest.Check("input_test", "fail")
	second.Point = calltest.Ptr(calltest.At("receiver #2"))
	p := call.NewProgress(trace.ReplayCurrent(calltest.RecordsOf(append(calltest.TwoRooms(), calltest.Read("receiver #1", "pass"), calltest.Read("receiver #2", "pass"), calltest.Check("outlet", "pass"), calltest.Check("input_test", "pass"), second)...)))
	steps, phase := p.Plan()
	i := slices.IndexFunc(steps, func(s call.Step) bool { return s.Step == "receiver_2" })
	if phase != call.OtherReceivers || i < 0 || steps[i].State != call.StepNow || !strings.Contains(steps[i].Detail, "not the coax") {
		t.Errorf("phase %s, %+v", phase, steps)
	}
}

func TestClosingWithAReason(t *testing.T) {
	steps := call.Plan(calltest.RecordsOf(calltest.Read("receiver #1", "pass"), entry.Job{Verb: "close", Text: "customer had to leave"}))
	last := steps[len(steps)-1]
	if last.Step != "close" || last.State != call.StepDone || last.Detail != "customer had to leave" {
		t.Errorf("got %+v", last)
	}
	if left := call.MissingOf(steps); len(left) == 0 || left[0].Step != "arrive" {
		t.Errorf("what is missing stands on: %+v", left)
	}
	if call.PhaseOf(calltest.RecordsOf(entry.Job{Verb: "close"}, entry.Job{Verb: "reopen"})) != call.Baseline {
		t.Error("a reopened job goes on")
	}
}

// Assume one trouble, find it, then the rest (US Army, IT0338, 1996).
func TestOneTroubleIsMendedBeforeTheNextIsLookedFor(t *testing.T) {
	found := append(calltest.TwoRooms(), calltest.Read("receiver #1", "fail"), calltest.Read("receiver #2", "fail"), calltest.Read("splitter :1", "pass"), calltest.Read("splitter :2", "pass"), calltest.Read("wall_plate #1 dish", "fail"))
	if phase := call.PhaseOf(calltest.RecordsOf(found...)); phase != call.Repairing {
		t.Errorf("one of two faults found: phase %s", phase)
	}
	mended := append(found, entry.Action{Action: "replaced", Element: entry.Cable, At: calltest.Ptr(calltest.At("splitter :1")), To: calltest.Ptr(calltest.At("wall_plate #1"))})
	if phase := call.PhaseOf(calltest.RecordsOf(mended...)); phase != call.Tracing {
		t.Errorf("the other one still fails: phase %s", phase)
	}
}

// calls are six invented calls. Each line is one entry, the phase after it,
// and a part of the spoken answer after it. What the steps of a call are is
// common practice, no source.
type callStep struct {
	entry  entry.Entry
	phase  call.Phase
	answer string
}

func inspectionOf(phase call.Phase) []callStep {
	return []callStep{
		{calltest.Check("dish", "pass"), call.Inspection, "Still to do: mount"},
		{calltest.Check("mount", "pass"), call.Inspection, "cabling"},
		{calltest.Check("cabling", "pass"), call.Inspection, "components"},
		{calltest.Check("components", "pass"), call.Inspection, "grounding"},
		{calltest.Check("grounding", "pass"), call.Inspection, "education"},
		{calltest.Check("education", "pass"), phase, ""},
	}
}

func invented() map[string][]callStep {
	start := entry.Job{Verb: "start", Number: "4412"}
	arrived := entry.Time{Mark: "arrived"}
	single := "dish, lnb, cable 60, ground_block, cable 40, wall_plate, jumper 6, receiver #1"
	noSignal := calltest.Read("receiver #1", "fail")
	noSignal.NoSignal = true
	lnbDead := calltest.Read("lnb", "fail")
	lnbDead.NoSignal = true
	closing := callStep{entry.Job{Verb: "close"}, call.Closed, "closed"}
	return map[string][]callStep{
		"single fault": append(append([]callStep{
			{start, call.Baseline, "behind the receiver"},
			{entry.Time{Mark: "en_route"}, call.Baseline, ""},
			{arrived, call.Baseline, ""},
			{calltest.ChainOf(single), call.Baseline, "behind the receiver"},
			{calltest.Read("receiver #1 dish", "fail", "-57"), call.Tracing, "between the dish and the receiver"},
			{calltest.Read("wall_plate dish", "fail", "-55"), call.Tracing, "between the dish and the wall plate"},
			{calltest.Read("ground_block dish", "pass", "-38"), call.Tracing, "between the ground block and the wall plate"},
			{calltest.Read("ground_block receiver", "fail", "-51"), call.Repairing, "in the ground block or its fittings"},
			{calltest.Replaced("ground_block"), call.Proving, "measure behind the receiver again, after the repair"},
			{calltest.Read("receiver #1 dish", "pass", "-44"), call.Outlet, "power outlet"},
			{calltest.Check("outlet", "pass"), call.InputTest, "input test"},
			{calltest.Check("input_test", "pass"), call.Inspection, "dish"},
		}, inspectionOf(call.Ready)...), closing),
		"double fault": append(append([]callStep{
			{start, call.Baseline, ""},
			{arrived, call.Baseline, ""},
			{calltest.ChainOf(single), call.Baseline, ""},
			{calltest.InsertOf("ground_block, splitter /2"), call.Baseline, ""},
			{calltest.ChainOf("splitter :2, cable 50, receiver #2 @kitchen"), call.Baseline, "receiver that fails"},
			{calltest.Read("receiver #1 dish", "fail", "-60"), call.Tracing, "dish and receiver one"},
			{calltest.Read("ground_block receiver", "fail", "-52"), call.Tracing, "dish and the ground block"},
			{calltest.Read("ground_block dish", "pass", "-38"), call.Repairing, "in the ground block"},
			{calltest.Replaced("ground_block"), call.Proving, "behind receiver one again"},
			{calltest.Read("receiver #1 dish", "fail", "-54"), call.Tracing, "ground block and receiver one"},
			{calltest.Read("ground_block receiver", "pass", "-39"), call.Tracing, "ground block and receiver one"},
			{calltest.Read("splitter :1", "pass", "-44"), call.Tracing, "between splitter output one and receiver one"},
			{calltest.Read("wall_plate dish", "pass", "-47"), call.Tracing, "wall plate and receiver one"},
			{calltest.Read("wall_plate receiver", "fail", "-53"), call.Repairing, "in the wall plate"},
			{calltest.Replaced("wall_plate"), call.Proving, "behind receiver one again"},
			{calltest.Read("receiver #1 dish", "pass", "-46"), call.Outlet, "power outlet"},
			{calltest.Check("outlet", "pass"), call.InputTest, ""},
			{calltest.Check("input_test", "pass"), call.OtherReceivers, "receiver two in the kitchen"},
			{calltest.Read("receiver #2", "pass", "-45"), call.Inspection, "dish"},
		}, inspectionOf(call.Ready)...), closing),
		"receiver at fault": append(append([]callStep{
			{start, call.Baseline, ""},
			{arrived, call.Baseline, ""},
			{calltest.Read("receiver #1 dish", "pass", "-42"), call.Outlet, "power outlet"},
			{calltest.Check("outlet", "pass"), call.InputTest, "input test"},
			{calltest.Check("input_test", "fail"), call.InputTest, "not the coax"},
			{calltest.Replaced("receiver"), call.InputTest, "input test again"},
			{calltest.Check("input_test", "pass"), call.Inspection, ""},
		}, inspectionOf(call.Ready)...), closing),
		"no signal at the dish": append(append([]callStep{
			{start, call.Baseline, ""},
			{arrived, call.Baseline, ""},
			{noSignal, call.Tracing, "between the dish and the receiver"},
			{calltest.Read("ground_block dish", "fail", "-66"), call.Tracing, "between the dish and the ground block"},
			{lnbDead, call.Repairing, "at the dish or the LNB"},
			{entry.Action{Action: "re_aimed", Element: entry.Dish}, call.Proving, "behind the receiver again"},
			{calltest.Read("receiver #1 dish", "fail", "-62"), call.Tracing, "between the dish and the receiver"},
			{calltest.Read("lnb", "fail", "-55"), call.Repairing, "at the dish or the LNB"},
			{calltest.Replaced("lnb"), call.Proving, "behind the receiver again"},
			{calltest.Read("receiver #1 dish", "pass", "-43"), call.Outlet, ""},
			{calltest.Check("outlet", "pass"), call.InputTest, ""},
			{calltest.Check("input_test", "pass"), call.Inspection, ""},
		}, inspectionOf(call.Ready)...), closing),
		"failing outlet": append(append([]callStep{
			{start, call.Baseline, ""},
			{arrived, call.Baseline, ""},
			{calltest.Read("receiver #1 dish", "fail", "-52"), call.Tracing, ""},
			{calltest.Read("wall_plate dish", "pass", "-44"), call.Tracing, "between the wall plate and the receiver"},
			{calltest.Read("wall_plate receiver", "pass", "-44.5"), call.Repairing, "in the jumper between the wall plate and the receiver"},
			{calltest.Replaced("jumper"), call.Proving, ""},
			{calltest.Read("receiver #1 dish", "pass", "-45"), call.Outlet, ""},
			{calltest.Check("outlet", "fail", "open ground"), call.Inspection, "licensed electrician"},
		}, inspectionOf(call.Ready)...), closing),
		"customer not home": {
			{start, call.Baseline, ""},
			{arrived, call.Baseline, ""},
			{entry.Time{Mark: "no_access"}, call.Ready, "Customer not home"},
			{entry.Time{Mark: "departed"}, call.Ready, "closed"},
			closing,
		},
	}
}
