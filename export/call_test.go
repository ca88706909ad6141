package export

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"downlead/diagnose/call"
	"downlead/diagnose/claim"
	"downlead/diagnose/level"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/export/closeout"
	"downlead/export/exporttest"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// exampleCall builds the records of an invented job, one minute apart.
type exampleCall struct {
	records []record.Record
	at      time.Time
	zone    string
}

func newCall(number string, at time.Time, zone string) *exampleCall {
	c := &exampleCall{at: at, zone: zone}
	c.say(entry.Job{Verb: "start", Number: number}, number)
	return c
}

// say adds an entry and returns its seq.
func (c *exampleCall) say(e entry.Entry, job ...string) int64 {
	number := ""
	if len(job) > 0 {
		number = job[0]
	} else {
		number = c.records[0].Job
	}
	seq := int64(len(c.records) + 1)
	c.records = append(c.records, record.Record{
		Seq: seq,
		Draft: record.Draft{
			Job: number, At: c.at, Zone: c.zone, TimeSource: record.FromClock, Origin: record.Typed,
			Phrase: fmt.Sprintf("phrase of entry %d", seq), Entry: e,
		},
	})
	c.at = c.at.Add(time.Minute)
	return seq
}

// twoFaults is an ordinary call, invented: two receivers behind a splitter,
// two faults, the second seen only after the first repair, proof, closing.
func twoFaults(t testing.TB) closeout.Input {
	c := newCall("4412", time.Date(2026, 11, 17, 9, 0, 0, 0, exporttest.Mountain(t)), "America/Denver")
	c.say(entry.Site{Text: "12 Quarry Lane", Lat: exporttest.Num("39.7"), Lon: exporttest.Num("-104.9"), Reported: "08:10"})
	c.say(entry.Job{Verb: "complaint", Text: "channels missing when it rains"})
	c.say(entry.Time{Mark: "en_route"})
	c.at = c.at.Add(20 * time.Minute)
	c.say(entry.Time{Mark: "arrived"})
	c.say(entry.Setting{Name: "threshold", Value: exporttest.Num("75")})
	c.say(entry.Setting{Name: "weather", Text: "dry"})
	var seqs []int64
	read := func(r entry.Reading) { seqs = append(seqs, c.say(r)) }
	splitterIn, blockOut, blockIn := exporttest.PointAt(entry.Splitter, 1, entry.DishSide), exporttest.PointAt(entry.GroundBlock, 1, entry.ReceiverSide), exporttest.PointAt(entry.GroundBlock, 1, entry.DishSide)
	plate := entry.Point{Element: entry.WallPlate, Number: 1, Side: entry.ReceiverSide, Room: "kitchen"}
	base := exporttest.LevelAt(exporttest.Behind(1), entry.Fail, "-58")
	base.Strength = exporttest.Num("41")
	read(base)
	read(exporttest.LevelAt(plate, entry.Fail, "-57.5"))
	read(exporttest.LevelAt(splitterIn, entry.Fail, "-52"))
	read(exporttest.LevelAt(blockOut, entry.Fail, "-51"))
	read(exporttest.LevelAt(blockIn, entry.Pass, "-41"))
	c.say(entry.Action{Action: "replaced", Element: entry.GroundBlock, Number: 1})
	c.say(entry.Material{Item: "ground_block", Quantity: 1})
	c.say(entry.Material{Item: "fitting", Quantity: 2})
	read(exporttest.LevelAt(blockOut, entry.Pass, "-41.5"))
	read(exporttest.LevelAt(exporttest.Behind(1), entry.Fail, "-52.5"))
	c.say(entry.Action{Action: "replaced", Element: entry.Splitter, Number: 1})
	c.say(entry.Material{Item: "splitter", Quantity: 1})
	c.say(entry.Material{Item: "fitting", Quantity: 2})
	proof := exporttest.LevelAt(exporttest.Behind(1), entry.Pass, "-47")
	proof.Strength = exporttest.Num("84")
	read(proof)
	c.say(entry.Check{Check: "outlet", Verdict: entry.Pass})
	r1 := exporttest.Behind(1)
	c.say(entry.Check{Check: "input_test", Verdict: entry.Pass, Point: &r1})
	read(exporttest.LevelAt(exporttest.Behind(2), entry.Pass, "-46"))
	c.say(entry.Check{Check: "dish", Verdict: entry.Pass})
	c.say(entry.Check{Check: "mount", Verdict: entry.Pass})
	c.say(entry.Check{Check: "cabling", Verdict: entry.Pass})
	c.say(entry.Check{Check: "components", Verdict: entry.Pass})
	c.say(entry.Check{Check: "grounding", Verdict: entry.Fail, Remark: "corroded clamp, customer told"})
	c.say(entry.Check{Check: "education", Verdict: entry.Pass})
	c.say(entry.Code{Code: "7"})
	c.say(entry.Code{Code: "trouble call", Units: exporttest.Num("2")})
	c.say(entry.Miles{Value: exporttest.Num("12")})
	c.say(entry.Photo{SHA256: strings.Repeat("ab", 32), Name: "block.jpg", At: &blockIn, Remark: "corroded inside"})
	c.say(entry.Note{Text: "dog in the yard, call before entering"})
	c.say(entry.Unparsed{Text: "sprinkler output two pass", Reason: "sprinkler is not a word of the vocabulary"})
	c.say(entry.Time{Mark: "departed"})
	c.say(entry.Job{Verb: "close"})
	d := twoFaultsDiagnosis(seqs)
	return closeout.Input{
		Records: c.records, Diagnosis: d, Steps: ordinarySteps(),
		Cautions: []closeout.Caution{
			{Topic: "ladder", Text: "Ladder firm and level, about 1 ft out for 4 ft up, 3 ft above the landing, three points of contact."},
			{Topic: "grounding", Text: "Grounding is only reported, never certified: the local electrical code and a licensed electrician decide."},
		},
		Explanation: []string{
			"The signal from the dish was good as far as the ground block on the outside wall.",
			"The ground block and the splitter behind it lost most of it, so receiver 1 had too little left.",
			"Both were replaced, and both receivers now get a good signal.",
		},
		Head:  record.Hash{0xab, 0xcd, 0xef, 1, 2, 3},
		Count: int64(len(c.records)), Version: "1.0.0-test",
		AsOf: time.Date(2026, 11, 17, 17, 0, 0, 0, time.UTC),
	}
}

func ordinarySteps() []call.Step {
	var steps []call.Step
	for _, s := range []string{"baseline", "tracing", "repairing", "proving", "outlet", "input_test", "other_receivers", "inspection"} {
		steps = append(steps, call.Step{Step: s, State: "done"})
	}
	return steps
}

// twoFaultsDiagnosis places the ten readings of twoFaults.
func twoFaultsDiagnosis(s []int64) claim.Diagnosis {
	in := func(e entry.Element, n int, side entry.Side) entry.Point { return exporttest.PointAt(e, n, side) }
	return claim.Diagnosis{
		Job: "4412", Phase: call.Ready, Healthy: 0.98,
		Path: []path.PathElement{
			{ID: "dish 1", Element: entry.Dish},
			{ID: "lnb 1", Element: entry.LNB, Parent: "dish 1"},
			{ID: "cable 1", Element: entry.Cable, Parent: "lnb 1", LengthFt: 60, Cable: "rg6"},
			{ID: "ground_block 1", Element: entry.GroundBlock, Parent: "cable 1"},
			{ID: "cable 2", Element: entry.Cable, Parent: "ground_block 1", LengthFt: 10, Assumed: true},
			{ID: "splitter 1", Element: entry.Splitter, Parent: "cable 2", Ways: 2},
			{ID: "cable 3", Element: entry.Cable, Parent: "splitter 1", Port: 1, LengthFt: 30},
			{ID: "wall_plate 1", Element: entry.WallPlate, Parent: "cable 3", Room: "kitchen"},
			{ID: "jumper 1", Element: entry.Jumper, Parent: "wall_plate 1", LengthFt: 6},
			{ID: "receiver 1", Element: entry.Receiver, Parent: "jumper 1", Room: "kitchen"},
			{ID: "cable 4", Element: entry.Cable, Parent: "splitter 1", Port: 2, LengthFt: 40},
			{ID: "wall_plate 2", Element: entry.WallPlate, Parent: "cable 4", Assumed: true},
			{ID: "jumper 2", Element: entry.Jumper, Parent: "wall_plate 2", LengthFt: 6, Assumed: true},
			{ID: "receiver 2", Element: entry.Receiver, Parent: "jumper 2"},
		},
		Points: []level.PointState{
			{Point: in(entry.GroundBlock, 1, entry.DishSide), ID: "ground_block 1", Verdict: entry.Pass, Level: exporttest.F(-41), Expected: exporttest.F(-38.2), Margin: exporttest.F(9), Round: 1, Entries: []int64{s[4]}},
			{Point: in(entry.GroundBlock, 1, entry.ReceiverSide), ID: "ground_block 1", Verdict: entry.Pass, Level: exporttest.F(-41.5), Expected: exporttest.F(-38.6), Margin: exporttest.F(8.5), Round: 2, Entries: []int64{s[3], s[5]}},
			{Point: in(entry.Splitter, 1, entry.DishSide), ID: "splitter 1", Verdict: entry.Fail, Level: exporttest.F(-52), Expected: exporttest.F(-39.4), Margin: exporttest.F(-2), Round: 1, Stale: true, Entries: []int64{s[2]}},
			{Point: entry.Point{Element: entry.WallPlate, Number: 1, Side: entry.ReceiverSide, Room: "kitchen"}, ID: "wall_plate 1", Verdict: entry.Fail, Level: exporttest.F(-57.5), Expected: exporttest.F(-46.1), Margin: exporttest.F(-7.5), Round: 1, Stale: true, Entries: []int64{s[1]}},
			{Point: exporttest.Behind(1), ID: "receiver 1", Verdict: entry.Pass, Level: exporttest.F(-47), Expected: exporttest.F(-46.9), Margin: exporttest.F(3), Round: 3, Entries: []int64{s[0], s[6], s[7]}},
			{Point: exporttest.Behind(2), ID: "receiver 2", Verdict: entry.Pass, Level: exporttest.F(-46), Expected: exporttest.F(-47.5), Margin: exporttest.F(4), Round: 3, Entries: []int64{s[8]}},
		},
		Findings: []trace.Finding{{Code: "excess_loss", Text: "3 dB margin behind receiver 1: heavy rain may take it below the floor", Entries: []int64{s[7]}}},
	}
}

// openCall is a call broken off: a failing baseline, no more.
func openCall(t testing.TB) closeout.Input {
	in := twoFaults(t)
	in.Records = in.Records[:9]
	in.Diagnosis.Points = in.Diagnosis.Points[4:5]
	in.Diagnosis.Brackets = []trace.Bracket{{Fail: exporttest.Behind(1), Text: "the fault lies between the dish and receiver 1: nothing on the way passes yet"}}
	in.Diagnosis.Missing = []call.Missing{{Step: "tracing", Detail: "no passing point found yet"}, {Step: "outlet", Detail: "power outlet not tested"}}
	in.Explanation = nil
	return in
}
