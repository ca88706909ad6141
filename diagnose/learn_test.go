package diagnose

import (
	"fmt"
	"testing"

	"downlead/grammar"
	"downlead/journal"

	"github.com/google/go-cmp/cmp"
)

// Shares .60 and .45 of 100 closed jobs, 5 of them with both: the faults
// themselves have probabilities 1/9 and 1/12. Independent computation.
func TestRatesFromShares(t *testing.T) {
	got := ratesFromShares([]float64{.60, .45}, .05)
	near(t, "first", got[0], .111111111, 1e-9, "independent computation")
	near(t, "second", got[1], .083333333, 1e-9, "independent computation")
}

// closedJob is a job in which one part was replaced between a failing and a
// passing reading behind the receiver.
func closedJob(number string, cause grammar.Element, seq int64, done bool) []journal.Record {
	behind := grammar.Point{Element: grammar.Receiver, Number: 1, Side: grammar.DishSide}
	entries := []grammar.Entry{
		grammar.Job{Verb: "start", Number: number},
		grammar.Reading{Point: behind, Verdict: grammar.Fail, Level: decimal(-57)},
		grammar.Action{Action: "replaced", Element: cause, Number: 1},
		grammar.Reading{Point: behind, Verdict: grammar.Pass, Level: decimal(-45)},
	}
	if done {
		entries = append(entries, grammar.Job{Verb: "close"})
	}
	var out []journal.Record
	for i, e := range entries {
		out = append(out, journal.Record{Seq: seq + int64(i), Draft: journal.Draft{Job: number, Entry: e}})
	}
	return out
}

func jobs(n int, cause grammar.Element, done bool) []journal.Record {
	var out []journal.Record
	for i := range n {
		out = append(out, closedJob(fmt.Sprintf("%s%d", cause, i), cause, int64(len(out)+1), done)...)
	}
	return out
}

func TestLearnPriors(t *testing.T) {
	base := BuiltinTables()
	got := LearnPriors(nil, jobs(60, grammar.WallPlate, true))
	if b, g := base.Prior["wall_plate"].total(), got.Prior["wall_plate"].total(); g < 1.5*b {
		t.Errorf("sixty jobs with a bad wall plate: its prior goes from %v to %v only", b, g)
	}
	if b, g := base.Prior["ground_block"].total(), got.Prior["ground_block"].total(); g >= b {
		t.Errorf("the ground block, never at fault in sixty jobs, goes from %v to %v", b, g)
	}
	if b, g := base.Prior["barrel"].total(), got.Prior["barrel"].total(); g != b {
		t.Errorf("a kind on no path goes from %v to %v", b, g)
	}
	if err := got.check(); err != nil {
		t.Error(err)
	}
}

func TestLearnPriorsTakesConfirmedCausesOnly(t *testing.T) {
	base := BuiltinTables()
	for name, records := range map[string][]journal.Record{
		"none": nil,
		"open": jobs(20, grammar.WallPlate, false),
	} {
		if diff := cmp.Diff(base.Prior, LearnPriors(nil, records).Prior); diff != "" {
			t.Errorf("%s jobs changed the priors:\n%s", name, diff)
		}
	}
	// No proof: the same reading before and after.
	records := jobs(20, grammar.WallPlate, true)
	for i := range records {
		if r, ok := records[i].Entry.(grammar.Reading); ok {
			r.Verdict, r.Level = grammar.Fail, decimal(-57)
			records[i].Entry = r
		}
	}
	if diff := cmp.Diff(base.Prior, LearnPriors(nil, records).Prior); diff != "" {
		t.Errorf("repairs that proved nothing changed the priors:\n%s", diff)
	}
}

// Few jobs move the priors little, and one kind's share never leaves 0 to 1.
func TestLearnPriorsIsGentle(t *testing.T) {
	base, got := BuiltinTables(), LearnPriors(nil, jobs(1, grammar.Jumper, true))
	for kind, modes := range base.Prior {
		for mode, p := range modes {
			if g := got.Prior[kind][mode]; g > 1.5*p || g < p/1.5 {
				t.Errorf("%s %s goes from %v to %v after one job", kind, mode, p, g)
			}
		}
	}
}
