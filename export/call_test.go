package export

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"downlead/diagnose"
	"downlead/grammar"
	"downlead/journal"
)

// call builds the records of an invented job, one minute apart.
type call struct {
	records []journal.Record
	at      time.Time
	zone    string
}

func newCall(number string, at time.Time, zone string) *call {
	c := &call{at: at, zone: zone}
	c.say(grammar.Job{Verb: "start", Number: number}, number)
	return c
}

// say adds an entry and returns its seq.
func (c *call) say(e grammar.Entry, job ...string) int64 {
	number := ""
	if len(job) > 0 {
		number = job[0]
	} else {
		number = c.records[0].Job
	}
	seq := int64(len(c.records) + 1)
	c.records = append(c.records, journal.Record{
		Seq: seq,
		Draft: journal.Draft{
			Job: number, At: c.at, Zone: c.zone, TimeSource: journal.FromClock, Origin: journal.Typed,
			Phrase: fmt.Sprintf("phrase of entry %d", seq), Entry: e,
		},
	})
	c.at = c.at.Add(time.Minute)
	return seq
}

// twoFaults is an ordinary call, invented: two receivers behind a splitter,
// two faults, the second seen only after the first repair, proof, closing.
func twoFaults(t testing.TB) Input {
	c := newCall("4412", time.Date(2026, 11, 17, 9, 0, 0, 0, mountain(t)), "America/Denver")
	c.say(grammar.Site{Text: "12 Quarry Lane", Lat: num("39.7"), Lon: num("-104.9"), Reported: "08:10"})
	c.say(grammar.Job{Verb: "complaint", Text: "channels missing when it rains"})
	c.say(grammar.Time{Mark: "en_route"})
	c.at = c.at.Add(20 * time.Minute)
	c.say(grammar.Time{Mark: "arrived"})
	c.say(grammar.Setting{Name: "threshold", Value: num("75")})
	c.say(grammar.Setting{Name: "weather", Text: "dry"})
	var seqs []int64
	read := func(r grammar.Reading) { seqs = append(seqs, c.say(r)) }
	splitterIn, blockOut, blockIn := point(grammar.Splitter, 1, grammar.DishSide), point(grammar.GroundBlock, 1, grammar.ReceiverSide), point(grammar.GroundBlock, 1, grammar.DishSide)
	plate := grammar.Point{Element: grammar.WallPlate, Number: 1, Side: grammar.ReceiverSide, Room: "kitchen"}
	base := level(behind(1), grammar.Fail, "-58")
	base.Strength = num("41")
	read(base)
	read(level(plate, grammar.Fail, "-57.5"))
	read(level(splitterIn, grammar.Fail, "-52"))
	read(level(blockOut, grammar.Fail, "-51"))
	read(level(blockIn, grammar.Pass, "-41"))
	c.say(grammar.Action{Action: "replaced", Element: grammar.GroundBlock, Number: 1})
	c.say(grammar.Material{Item: "ground_block", Quantity: 1})
	c.say(grammar.Material{Item: "fitting", Quantity: 2})
	read(level(blockOut, grammar.Pass, "-41.5"))
	read(level(behind(1), grammar.Fail, "-52.5"))
	c.say(grammar.Action{Action: "replaced", Element: grammar.Splitter, Number: 1})
	c.say(grammar.Material{Item: "splitter", Quantity: 1})
	c.say(grammar.Material{Item: "fitting", Quantity: 2})
	proof := level(behind(1), grammar.Pass, "-47")
	proof.Strength = num("84")
	read(proof)
	c.say(grammar.Check{Check: "outlet", Verdict: grammar.Pass})
	r1 := behind(1)
	c.say(grammar.Check{Check: "input_test", Verdict: grammar.Pass, Point: &r1})
	read(level(behind(2), grammar.Pass, "-46"))
	c.say(grammar.Check{Check: "dish", Verdict: grammar.Pass})
	c.say(grammar.Check{Check: "mount", Verdict: grammar.Pass})
	c.say(grammar.Check{Check: "cabling", Verdict: grammar.Pass})
	c.say(grammar.Check{Check: "components", Verdict: grammar.Pass})
	c.say(grammar.Check{Check: "grounding", Verdict: grammar.Fail, Remark: "corroded clamp, customer told"})
	c.say(grammar.Check{Check: "education", Verdict: grammar.Pass})
	c.say(grammar.Code{Code: "7"})
	c.say(grammar.Code{Code: "trouble call", Units: num("2")})
	c.say(grammar.Miles{Value: num("12")})
	c.say(grammar.Photo{SHA256: strings.Repeat("ab", 32), Name: "block.jpg", At: &blockIn, Remark: "corroded inside"})
	c.say(grammar.Note{Text: "dog in the yard, call before entering"})
	c.say(grammar.Unparsed{Text: "sprinkler output two pass", Reason: "sprinkler is not a word of the vocabulary"})
	c.say(grammar.Time{Mark: "departed"})
	c.say(grammar.Job{Verb: "close"})
	d := twoFaultsDiagnosis(seqs)
	return Input{
		Records: c.records, Diagnosis: d, Steps: ordinarySteps(),
		Cautions: []Caution{
			{Topic: "ladder", Text: "Ladder firm and level, about 1 ft out for 4 ft up, 3 ft above the landing, three points of contact."},
			{Topic: "grounding", Text: "Grounding is only reported, never certified: the local electrical code and a licensed electrician decide."},
		},
		Explanation: []string{
			"The signal from the dish was good as far as the ground block on the outside wall.",
			"The ground block and the splitter behind it lost most of it, so receiver 1 had too little left.",
			"Both were replaced, and both receivers now get a good signal.",
		},
		Head:  journal.Hash{0xab, 0xcd, 0xef, 1, 2, 3},
		Count: int64(len(c.records)), Version: "1.0.0-test",
		AsOf: time.Date(2026, 11, 17, 17, 0, 0, 0, time.UTC),
	}
}

func ordinarySteps() []diagnose.Step {
	var steps []diagnose.Step
	for _, s := range []string{"baseline", "tracing", "repairing", "proving", "outlet", "input_test", "other_receivers", "inspection"} {
		steps = append(steps, diagnose.Step{Step: s, State: "done"})
	}
	return steps
}

// twoFaultsDiagnosis places the ten readings of twoFaults.
func twoFaultsDiagnosis(s []int64) diagnose.Diagnosis {
	in := func(e grammar.Element, n int, side grammar.Side) grammar.Point { return point(e, n, side) }
	return diagnose.Diagnosis{
		Job: "4412", Phase: diagnose.Ready, Healthy: 0.98,
		Path: []diagnose.PathElement{
			{ID: "dish 1", Element: grammar.Dish},
			{ID: "lnb 1", Element: grammar.LNB, Parent: "dish 1"},
			{ID: "cable 1", Element: grammar.Cable, Parent: "lnb 1", LengthFt: 60, Cable: "rg6"},
			{ID: "ground_block 1", Element: grammar.GroundBlock, Parent: "cable 1"},
			{ID: "cable 2", Element: grammar.Cable, Parent: "ground_block 1", LengthFt: 10, Assumed: true},
			{ID: "splitter 1", Element: grammar.Splitter, Parent: "cable 2", Ways: 2},
			{ID: "cable 3", Element: grammar.Cable, Parent: "splitter 1", Port: 1, LengthFt: 30},
			{ID: "wall_plate 1", Element: grammar.WallPlate, Parent: "cable 3", Room: "kitchen"},
			{ID: "jumper 1", Element: grammar.Jumper, Parent: "wall_plate 1", LengthFt: 6},
			{ID: "receiver 1", Element: grammar.Receiver, Parent: "jumper 1", Room: "kitchen"},
			{ID: "cable 4", Element: grammar.Cable, Parent: "splitter 1", Port: 2, LengthFt: 40},
			{ID: "wall_plate 2", Element: grammar.WallPlate, Parent: "cable 4", Assumed: true},
			{ID: "jumper 2", Element: grammar.Jumper, Parent: "wall_plate 2", LengthFt: 6, Assumed: true},
			{ID: "receiver 2", Element: grammar.Receiver, Parent: "jumper 2"},
		},
		Points: []diagnose.PointState{
			{Point: in(grammar.GroundBlock, 1, grammar.DishSide), ID: "ground_block 1", Verdict: grammar.Pass, Level: f(-41), Expected: f(-38.2), Margin: f(9), Round: 1, Entries: []int64{s[4]}},
			{Point: in(grammar.GroundBlock, 1, grammar.ReceiverSide), ID: "ground_block 1", Verdict: grammar.Pass, Level: f(-41.5), Expected: f(-38.6), Margin: f(8.5), Round: 2, Entries: []int64{s[3], s[5]}},
			{Point: in(grammar.Splitter, 1, grammar.DishSide), ID: "splitter 1", Verdict: grammar.Fail, Level: f(-52), Expected: f(-39.4), Margin: f(-2), Round: 1, Stale: true, Entries: []int64{s[2]}},
			{Point: grammar.Point{Element: grammar.WallPlate, Number: 1, Side: grammar.ReceiverSide, Room: "kitchen"}, ID: "wall_plate 1", Verdict: grammar.Fail, Level: f(-57.5), Expected: f(-46.1), Margin: f(-7.5), Round: 1, Stale: true, Entries: []int64{s[1]}},
			{Point: behind(1), ID: "receiver 1", Verdict: grammar.Pass, Level: f(-47), Expected: f(-46.9), Margin: f(3), Round: 3, Entries: []int64{s[0], s[6], s[7]}},
			{Point: behind(2), ID: "receiver 2", Verdict: grammar.Pass, Level: f(-46), Expected: f(-47.5), Margin: f(4), Round: 3, Entries: []int64{s[8]}},
		},
		Findings: []diagnose.Finding{{Code: "excess_loss", Text: "3 dB margin behind receiver 1: heavy rain may take it below the floor", Entries: []int64{s[7]}}},
	}
}

// openCall is a call broken off: a failing baseline, no more.
func openCall(t testing.TB) Input {
	in := twoFaults(t)
	in.Records = in.Records[:9]
	in.Diagnosis.Points = in.Diagnosis.Points[4:5]
	in.Diagnosis.Brackets = []diagnose.Bracket{{Fail: behind(1), Text: "the fault lies between the dish and receiver 1: nothing on the way passes yet"}}
	in.Diagnosis.Missing = []diagnose.Missing{{Step: "tracing", Detail: "no passing point found yet"}, {Step: "outlet", Detail: "power outlet not tested"}}
	in.Explanation = nil
	return in
}
