package diagnose

import (
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"

	"downlead/diagnose/calltest"
	"downlead/diagnose/fault"
	"downlead/diagnose/level"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// Shares .60 and .45 of 100 closed jobs, 5 of them with both: the faults
// themselves have probabilities 1/9 and 1/12. Independent computation.
func TestRatesFromShares(t *testing.T) {
	got := fault.RatesFromShares([]float64{.60, .45}, .05)
	calltest.Near(t, "first", got[0], .111111111, 1e-9, "independent computation")
	calltest.Near(t, "second", got[1], .083333333, 1e-9, "independent computation")
}

// closedJob is a job in which one part was replaced between a failing and a
// passing reading behind the receiver.
func closedJob(number string, cause entry.Element, seq int64, done bool) []record.Record {
	behind := entry.Point{Element: entry.Receiver, Number: 1, Side: entry.DishSide}
	entries := []entry.Entry{
		entry.Job{Verb: "start", Number: number},
		entry.Reading{Point: behind, Verdict: entry.Fail, Level: decimal(-57)},
		entry.Action{Action: "replaced", Element: cause, Number: 1},
		entry.Reading{Point: behind, Verdict: entry.Pass, Level: decimal(-45)},
	}
	if done {
		entries = append(entries, entry.Job{Verb: "close"})
	}
	var out []record.Record
	for i, e := range entries {
		out = append(out, record.Record{Seq: seq + int64(i), Draft: record.Draft{Job: number, Entry: e}})
	}
	return out
}

func jobs(n int, cause entry.Element, done bool) []record.Record {
	var out []record.Record
	for i := range n {
		out = append(out, closedJob(fmt.Sprintf("%s%d", cause, i), cause, int64(len(out)+1), done)...)
	}
	return out
}

func TestLearnPriors(t *testing.T) {
	base := level.BuiltinTables()
	got := fault.LearnPriors(nil, jobs(60, entry.WallPlate, true))
	if b, g := fault.Total(base.Prior["wall_plate"]), fault.Total(got.Prior["wall_plate"]); g < 1.5*b {
		t.Errorf("sixty jobs with a bad wall plate: its prior goes from %v to %v only", b, g)
	}
	if b, g := fault.Total(base.Prior["ground_block"]), fault.Total(got.Prior["ground_block"]); g >= b {
		t.Errorf("the ground block, never at fault in sixty jobs, goes from %v to %v", b, g)
	}
	if b, g := fault.Total(base.Prior["barrel"]), fault.Total(got.Prior["barrel"]); g != b {
		t.Errorf("a kind on no path goes from %v to %v", b, g)
	}
	if err := got.Check(); err != nil {
		t.Error(err)
	}
}

func TestLearnPriorsTakesConfirmedCausesOnly(t *testing.T) {
	base := level.BuiltinTables()
	for name, records := range map[string][]record.Record{
		"none": nil,
		"open": jobs(20, entry.WallPlate, false),
	} {
		if diff := cmp.Diff(base.Prior, fault.LearnPriors(nil, records).Prior); diff != "" {
			t.Errorf("%s jobs changed the priors:\n%s", name, diff)
		}
	}
	// No proof: the same reading before and after.
	records := jobs(20, entry.WallPlate, true)
	for i := range records {
		if r, ok := records[i].Entry.(entry.Reading); ok {
			r.Verdict, r.Level = entry.Fail, decimal(-57)
			records[i].Entry = r
		}
	}
	if diff := cmp.Diff(base.Prior, fault.LearnPriors(nil, records).Prior); diff != "" {
		t.Errorf("repairs that proved nothing changed the priors:\n%s", diff)
	}
}

// Few jobs move the priors little, and one kind's share never leaves 0 to 1.
func TestLearnPriorsIsGentle(t *testing.T) {
	base, got := level.BuiltinTables(), fault.LearnPriors(nil, jobs(1, entry.Jumper, true))
	for kind, modes := range base.Prior {
		for mode, p := range modes {
			if g := got.Prior[kind][mode]; g > 1.5*p || g < p/1.5 {
				t.Errorf("%s %s goes from %v to %v after one job", kind, mode, p, g)
			}
		}
	}
}
