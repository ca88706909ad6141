package diagnose

import (
	"slices"
	"testing"

	"downlead/diagnose/calltest"
	"downlead/diagnose/level"
	"downlead/diagnose/next"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

func replayOf(entries ...entry.Entry) trace.Call {
	return trace.ReplayCurrent(calltest.RecordsOf(entries...))
}

// What is seen is seen of the part named, of the parts on both sides of a
// fitting, and of the dish where it is the mount.
func TestSightingsFindTheirParts(t *testing.T) {
	chain := calltest.ChainOf("dish, lnb, cable 60, ground_block, cable 40, wall_plate, jumper, receiver")
	plate := calltest.At("wall_plate dish")
	for _, tt := range []struct {
		seen entry.Sighting
		want []string
	}{
		{entry.Sighting{Element: entry.Fitting, Condition: "wet", At: &plate}, []string{"wall_plate 1", "cable 2"}},
		{entry.Sighting{Element: entry.Mount, Condition: "loose"}, []string{"dish 1"}},
		{entry.Sighting{Element: entry.GroundBlock, Condition: "corroded"}, []string{"ground_block 1"}},
		{entry.Sighting{Element: entry.GroundWire, Condition: "loose"}, nil},
	} {
		c := replayOf(chain, tt.seen)
		var got []string
		for _, s := range c.Sightings {
			for _, e := range s.Elements {
				got = append(got, c.Path.Elements[e].ID)
			}
		}
		if !slices.Equal(got, tt.want) {
			t.Errorf("%+v: seen at %v, want %v", tt.seen, got, tt.want)
		}
		if len(c.Repairs) > 0 {
			t.Errorf("%+v counts as a repair", tt.seen)
		}
	}
}

// After "swapped receivers one and two" each is found at the other's outlet,
// and the input tests say what the fault went with.
func TestSwapFollowsOrStays(t *testing.T) {
	two := calltest.At("receiver #2")
	swap := entry.Action{Action: "swapped", Element: entry.Receiver, Number: 1, With: &two}
	test := func(n string, v entry.Verdict) entry.Check {
		p := calltest.At("receiver #" + n)
		return entry.Check{Check: "input_test", Verdict: v, Point: &p}
	}
	home := append(calltest.TwoRooms(), calltest.Read("receiver #1", "pass", "-45"), calltest.Read("receiver #2", "pass", "-46"))
	base := replayOf(home...)
	seatOne := base.Observations[0].Element
	for _, tt := range []struct {
		name    string
		after   []entry.Entry
		told    bool
		follows bool
	}{
		{"the first fails again", []entry.Entry{test("1", entry.Fail)}, true, true},
		{"the first passes, the second fails", []entry.Entry{test("1", entry.Pass), test("2", entry.Fail)}, true, false},
		{"nothing was tested again", nil, false, false},
	} {
		c := replayOf(append(append(slices.Clone(home), test("1", entry.Fail), swap), append(tt.after, calltest.Read("receiver #1", "pass", "-47"))...)...)
		if (len(c.Swaps) == 1) != tt.told {
			t.Fatalf("%s: %+v", tt.name, c.Swaps)
		}
		if tt.told && (c.Swaps[0].Follows != tt.follows || c.Swaps[0].Outlet != seatOne || c.Swaps[0].Receiver == seatOne) {
			t.Errorf("%s: %+v, the outlet is %d", tt.name, c.Swaps[0], seatOne)
		}
		last := c.Observations[len(c.Observations)-1]
		if last.Element == seatOne || c.Path.Elements[last.Element].ID != "receiver 1" {
			t.Errorf("%s: after the swap receiver one was read at %s", tt.name, c.Path.Elements[last.Element].ID)
		}
		if len(c.Repairs) > 0 {
			t.Errorf("%s: a swap counts as a repair", tt.name)
		}
	}
}

// A branch that moved to another output was on the first one before.
func TestMoveChangesTheOutput(t *testing.T) {
	out := calltest.At("splitter")
	out.Port = 4
	c := replayOf(append(calltest.TwoRooms(), calltest.Read("receiver #2", "fail", "-60"),
		entry.Action{Action: "moved", Element: entry.Receiver, Number: 2, To: &out}, calltest.Read("receiver #2", "pass", "-45"))...)
	if len(c.Moves) != 1 || len(c.Repairs) != 1 {
		t.Fatalf("moves %+v, repairs %+v", c.Moves, c.Repairs)
	}
	at := c.Moves[0].Element
	before, after := c.Port(at, c.Observations[0]), c.Port(at, c.Observations[1])
	if before == 4 || after != 4 {
		t.Errorf("on output %d before and %d after, want 4", before, after)
	}
	if c.Observations[0].Round == c.Observations[1].Round {
		t.Error("the reading before the move stands for the branch after it")
	}
}

// What bypasses a part is in the path from then on, and the part is not.
func TestBypassTakesThePlace(t *testing.T) {
	barrel := entry.Point{Element: entry.Barrel}
	c := replayOf(calltest.ChainOf("dish, lnb, cable 60, splitter, cable 40, wall_plate, jumper, receiver"),
		calltest.Read("receiver", "fail", "-58"),
		entry.Action{Action: "bypassed", Element: entry.Splitter, With: &barrel},
		calltest.Read("receiver", "pass", "-44"))
	s, b := c.Path.Index("splitter 1"), c.Path.Index("barrel 1")
	if s < 0 || b < 0 {
		t.Fatalf("the path is %+v", c.Path.Elements)
	}
	first, last := c.Observations[0].Versions, c.Observations[1].Versions
	if first[s] != 0 || first[b] != trace.Absent || last[s] != trace.Absent || last[b] != 0 {
		t.Errorf("splitter and barrel are %d and %d before, %d and %d after", first[s], first[b], last[s], last[b])
	}
}

// "Put the old LNB back" ends the repair that it undoes: the part is the one
// that was there before, with what was read through it.
func TestRestoredUndoesTheRepair(t *testing.T) {
	c := replayOf(calltest.ChainOf("dish, lnb, cable 60, ground_block, cable 40, wall_plate, jumper, receiver"),
		calltest.Read("receiver", "fail", "-58"), calltest.Replaced("lnb"), calltest.Read("receiver", "fail", "-58"),
		entry.Action{Action: "restored", Element: entry.LNB}, calltest.Read("receiver", "fail", "-58"), calltest.Replaced("lnb"))
	lnb := c.Path.Index("lnb 1")
	var versions []int
	for _, o := range c.Observations {
		versions = append(versions, o.Versions[lnb])
	}
	if !slices.Equal(versions, []int{0, 1, 0}) || c.Versions[lnb] != 2 {
		t.Errorf("the LNB was version %v when read, and is %d; want [0 1 0] and 2", versions, c.Versions[lnb])
	}
	if c.Repairs[0].Undone != 5 || c.Repairs[2].Undone != 0 {
		t.Errorf("repairs %+v: the first was undone by the fifth record, the last stands", c.Repairs)
	}
}

// It passes, and it was noticed to come and go: the fittings are moved by hand
// while it is read, some times, and nobody is sent to mend on a guess.
func TestStressPlan(t *testing.T) {
	pass := calltest.Read("receiver", "pass", "-43")
	pass.Strength = calltest.Dec("85")
	call := []entry.Entry{
		calltest.ChainOf("dish, lnb, cable 60, ground_block, cable 40, wall_plate, jumper, receiver"),
		entry.Symptom{Symptom: "intermittent"},
		pass,
	}
	var done int
	for ; done < 6; done++ {
		n := next.Infer(replayOf(call...), level.Options{}).Next
		if n == nil {
			break
		}
		if n.Act != next.ActRead || n.Code != next.WhyStress || !slices.Contains(n.Read, next.ReadWiggle) {
			t.Fatalf("after %d readings next is %+v", done+1, n)
		}
		call = append(call, pass)
	}
	if done != 2 {
		t.Errorf("%d readings under stress after the first, want 2", done)
	}
}
