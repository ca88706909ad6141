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
