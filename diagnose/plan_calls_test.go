package diagnose

import (
	"slices"
	"strings"
	"sync"
	"testing"

	"downlead/grammar"
)

// callState is what is concluded after a step.
type callState struct {
	call Call
	Diagnosis
}

// concluded runs the invented calls step by step, once for all tests.
var concluded = sync.OnceValue(func() map[string][]callState {
	out := map[string][]callState{}
	for name, steps := range invented() {
		var said []grammar.Entry
		for _, s := range steps {
			said = append(said, s.entry)
			c := replay(recordsOf(said...))
			out[name] = append(out[name], callState{c, diagnose(c, Options{})})
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
				answer := Answer(d)
				t.Logf("%-14s %-60.60s | %s", d.Phase, describe(s.entry), answer)
				if d.Phase != s.phase {
					t.Errorf("step %d: phase %q, want %q", i+1, d.Phase, s.phase)
				}
				if !strings.Contains(answer, s.answer) {
					t.Errorf("step %d: answer %q, want %q in it", i+1, answer, s.answer)
				}
				if d.Phase != Ready && d.Phase != Closed && countState(newProgress(states[i].call), stepNow) != 1 {
					t.Errorf("step %d: want exactly one step now", i+1)
				}
			}
			if last := states[len(states)-1]; len(last.Missing) > 0 {
				t.Errorf("a whole call leaves nothing missing, got %v", last.Missing)
			}
		})
	}
}

func countState(p *progress, state string) int {
	steps, _ := p.plan()
	n := 0
	for _, s := range steps {
		if s.State == state {
			n++
		}
	}
	return n
}

func describe(e grammar.Entry) string {
	b, err := grammar.Encode(e)
	if err != nil {
		return err.Error()
	}
	return string(b)
}

func TestInputTestOfAnotherReceiver(t *testing.T) {
	second := check("input_test", "fail")
	second.Point = ptr(at("receiver #2"))
	p := newProgress(replay(recordsOf(append(twoRooms(), read("receiver #1", "pass"), read("receiver #2", "pass"), check("outlet", "pass"), check("input_test", "pass"), second)...)))
	steps, phase := p.plan()
	i := slices.IndexFunc(steps, func(s Step) bool { return s.Step == "receiver_2" })
	if phase != OtherReceivers || i < 0 || steps[i].State != stepNow || !strings.Contains(steps[i].Detail, "not the coax") {
		t.Errorf("phase %s, %+v", phase, steps)
	}
}

func TestClosingWithAReason(t *testing.T) {
	steps := Plan(recordsOf(read("receiver #1", "pass"), grammar.Job{Verb: "close", Text: "customer had to leave"}))
	last := steps[len(steps)-1]
	if last.Step != "close" || last.State != stepDone || last.Detail != "customer had to leave" {
		t.Errorf("got %+v", last)
	}
	if left := missing(steps); len(left) == 0 || left[0].Step != "arrive" {
		t.Errorf("what is missing stands on: %+v", left)
	}
	if PhaseOf(recordsOf(grammar.Job{Verb: "close"}, grammar.Job{Verb: "reopen"})) != Baseline {
		t.Error("a reopened job goes on")
	}
}

// Assume one trouble, find it, then the rest (US Army, IT0338, 1996).
func TestOneTroubleIsMendedBeforeTheNextIsLookedFor(t *testing.T) {
	found := append(twoRooms(), read("receiver #1", "fail"), read("receiver #2", "fail"), read("splitter :1", "pass"), read("splitter :2", "pass"), read("wall_plate #1 dish", "fail"))
	if phase := PhaseOf(recordsOf(found...)); phase != Repairing {
		t.Errorf("one of two faults found: phase %s", phase)
	}
	mended := append(found, grammar.Action{Action: "replaced", Element: grammar.Cable, At: ptr(at("splitter :1")), To: ptr(at("wall_plate #1"))})
	if phase := PhaseOf(recordsOf(mended...)); phase != Tracing {
		t.Errorf("the other one still fails: phase %s", phase)
	}
}

// calls are six invented calls. Each line is one entry, the phase after it,
// and a part of the spoken answer after it. What the steps of a call are is
// common practice, no source.
type callStep struct {
	entry  grammar.Entry
	phase  Phase
	answer string
}

func inspectionOf(phase Phase) []callStep {
	return []callStep{
		{check("dish", "pass"), Inspection, "Still to do: mount"},
		{check("mount", "pass"), Inspection, "cabling"},
		{check("cabling", "pass"), Inspection, "components"},
		{check("components", "pass"), Inspection, "grounding"},
		{check("grounding", "pass"), Inspection, "education"},
		{check("education", "pass"), phase, ""},
	}
}

func invented() map[string][]callStep {
	start := grammar.Job{Verb: "start", Number: "4412"}
	arrived := grammar.Time{Mark: "arrived"}
	single := "dish, lnb, cable 60, ground_block, cable 40, wall_plate, jumper 6, receiver #1"
	noSignal := read("receiver #1", "fail")
	noSignal.NoSignal = true
	lnbDead := read("lnb", "fail")
	lnbDead.NoSignal = true
	closing := callStep{grammar.Job{Verb: "close"}, Closed, "closed"}
	return map[string][]callStep{
		"single fault": append(append([]callStep{
			{start, Baseline, "behind the receiver"},
			{grammar.Time{Mark: "en_route"}, Baseline, ""},
			{arrived, Baseline, ""},
			{chainOf(single), Baseline, "behind the receiver"},
			{read("receiver #1 dish", "fail", "-57"), Tracing, "between the dish and the receiver"},
			{read("wall_plate dish", "fail", "-55"), Tracing, "between the dish and the wall plate"},
			{read("ground_block dish", "pass", "-38"), Tracing, "between the ground block and the wall plate"},
			{read("ground_block receiver", "fail", "-51"), Repairing, "in the ground block or its fittings"},
			{replaced("ground_block"), Proving, "Measure behind the receiver again, after the repair"},
			{read("receiver #1 dish", "pass", "-44"), Outlet, "power outlet"},
			{check("outlet", "pass"), InputTest, "input test"},
			{check("input_test", "pass"), Inspection, "dish"},
		}, inspectionOf(Ready)...), closing),
		"double fault": append(append([]callStep{
			{start, Baseline, ""},
			{arrived, Baseline, ""},
			{chainOf(single), Baseline, ""},
			{insertOf("ground_block, splitter /2"), Baseline, ""},
			{chainOf("splitter :2, cable 50, receiver #2 @kitchen"), Baseline, "receiver that fails"},
			{read("receiver #1 dish", "fail", "-60"), Tracing, "dish and receiver one"},
			{read("ground_block receiver", "fail", "-52"), Tracing, "dish and the ground block"},
			{read("ground_block dish", "pass", "-38"), Repairing, "in the ground block"},
			{replaced("ground_block"), Proving, "behind receiver one again"},
			{read("receiver #1 dish", "fail", "-54"), Tracing, "ground block and receiver one"},
			{read("ground_block receiver", "pass", "-39"), Tracing, "ground block and receiver one"},
			{read("splitter :1", "pass", "-44"), Tracing, "between splitter output one and receiver one"},
			{read("wall_plate dish", "pass", "-47"), Tracing, "wall plate and receiver one"},
			{read("wall_plate receiver", "fail", "-53"), Repairing, "in the wall plate"},
			{replaced("wall_plate"), Proving, "behind receiver one again"},
			{read("receiver #1 dish", "pass", "-46"), Outlet, "power outlet"},
			{check("outlet", "pass"), InputTest, ""},
			{check("input_test", "pass"), OtherReceivers, "receiver two in the kitchen"},
			{read("receiver #2", "pass", "-45"), Inspection, "dish"},
		}, inspectionOf(Ready)...), closing),
		"receiver at fault": append(append([]callStep{
			{start, Baseline, ""},
			{arrived, Baseline, ""},
			{read("receiver #1 dish", "pass", "-42"), Outlet, "power outlet"},
			{check("outlet", "pass"), InputTest, "input test"},
			{check("input_test", "fail"), InputTest, "not the coax"},
			{replaced("receiver"), InputTest, "input test again"},
			{check("input_test", "pass"), Inspection, ""},
		}, inspectionOf(Ready)...), closing),
		"no signal at the dish": append(append([]callStep{
			{start, Baseline, ""},
			{arrived, Baseline, ""},
			{noSignal, Tracing, "between the dish and the receiver"},
			{read("ground_block dish", "fail", "-66"), Tracing, "between the dish and the ground block"},
			{lnbDead, Repairing, "at the dish or the LNB"},
			{grammar.Action{Action: "re_aimed", Element: grammar.Dish}, Proving, "behind the receiver again"},
			{read("receiver #1 dish", "fail", "-62"), Tracing, "between the dish and the receiver"},
			{read("lnb", "fail", "-55"), Repairing, "at the dish or the LNB"},
			{replaced("lnb"), Proving, "behind the receiver again"},
			{read("receiver #1 dish", "pass", "-43"), Outlet, ""},
			{check("outlet", "pass"), InputTest, ""},
			{check("input_test", "pass"), Inspection, ""},
		}, inspectionOf(Ready)...), closing),
		"failing outlet": append(append([]callStep{
			{start, Baseline, ""},
			{arrived, Baseline, ""},
			{read("receiver #1 dish", "fail", "-52"), Tracing, ""},
			{read("wall_plate dish", "pass", "-44"), Tracing, "between the wall plate and the receiver"},
			{read("wall_plate receiver", "pass", "-44.5"), Repairing, "in the jumper between the wall plate and the receiver"},
			{replaced("jumper"), Proving, ""},
			{read("receiver #1 dish", "pass", "-45"), Outlet, ""},
			{check("outlet", "fail", "open ground"), Inspection, "licensed electrician"},
		}, inspectionOf(Ready)...), closing),
		"customer not home": {
			{start, Baseline, ""},
			{arrived, Baseline, ""},
			{grammar.Time{Mark: "no_access"}, Ready, "Customer not home"},
			{grammar.Time{Mark: "departed"}, Ready, "closed"},
			closing,
		},
	}
}
