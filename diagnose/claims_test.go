package diagnose

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"downlead/diagnose/calltest"
	"downlead/diagnose/claim"
	"downlead/diagnose/level"
	"downlead/diagnose/next"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// A home of this test: a splitter with up to three receivers, each on a cable
// of its own; what is upstream of what is written down here by hand, so that
// the rules are checked without the path's own code.
var (
	points  = []string{"ground_block dish", "ground_block receiver", "splitter dish"}
	mending = []entry.Element{entry.GroundBlock, entry.Splitter, entry.LNB}
)

// invent makes a random call: readings, repairs, corrections, in any order.
func invent(r *rand.Rand, receivers int) []entry.Entry {
	out := []entry.Entry{calltest.ChainOf("dish, lnb, cable 60, ground_block, cable 30, splitter /4")}
	for n := 1; n <= receivers; n++ {
		out = append(out, calltest.ChainOf(fmt.Sprintf("splitter :%d, cable 40, receiver #%d", n, n)))
	}
	for range 3 + r.IntN(8) {
		switch r.IntN(10) {
		case 0, 1:
			out = append(out, entry.Action{Action: "replaced", Element: mending[r.IntN(len(mending))]})
		case 2:
			out = append(out, aside(r, receivers))
		default:
			point := points[r.IntN(len(points))]
			if r.IntN(2) == 0 {
				point = fmt.Sprintf("receiver #%d", 1+r.IntN(receivers))
			}
			verdict, dBm := "pass", -35-r.IntN(14)
			if r.IntN(2) == 0 {
				verdict, dBm = "fail", -52-r.IntN(20)
			}
			reading := calltest.Read(point, verdict)
			if r.IntN(3) > 0 {
				reading.Level = entry.NewDecimal(int64(dBm), 0)
			}
			out = append(out, reading)
		}
	}
	if r.IntN(2) == 0 {
		out = append(out, entry.Job{Verb: "close"})
	}
	return out
}

// aside is what is said beside readings and repairs.
func aside(r *rand.Rand, receivers int) entry.Entry {
	switch r.IntN(12) {
	case 0:
		return entry.Symptom{Symptom: "dropouts", When: "wind"}
	case 1:
		return entry.Sighting{Element: entry.GroundBlock, Condition: "corroded"}
	case 2:
		volts := calltest.Read(points[r.IntN(len(points))], "")
		volts.Volts = entry.NewDecimal(int64(18*r.IntN(2)), 0)
		return volts
	case 3:
		test := calltest.Check("input_test", []string{"pass", "fail"}[r.IntN(2)])
		test.Point = calltest.Ptr(calltest.At(fmt.Sprintf("receiver #%d", 1+r.IntN(receivers))))
		return test
	case 4:
		return entry.Outcome{Outcome: []string{"rescheduled", "needs_help", "no_fault_found"}[r.IntN(3)], When: "monday"}
	case 5:
		return entry.Time{Mark: []string{"no_access", "arrived"}[r.IntN(2)]}
	case 6, 7:
		return calltest.Check("outlet", []string{"pass", "fail"}[r.IntN(2)])
	case 8, 9:
		if receivers > 1 {
			a := 1 + r.IntN(receivers)
			return entry.Action{Action: "swapped", Element: entry.Receiver, Number: a, With: &entry.Point{Element: entry.Receiver, Number: 1 + a%receivers}}
		}
	}
	return entry.Correction{Verb: "scratch", Count: 1}
}

// receiverHistory is what counts behind one receiver, by the entries alone:
// every repair of this home lies ahead of every receiver.
type receiverHistory struct {
	verdicts   []entry.Verdict
	seqs       []int64
	lastRepair int64
}

func historyOf(current []record.Record, number int) receiverHistory {
	var h receiverHistory
	for _, rec := range current {
		switch e := rec.Entry.(type) {
		case entry.Reading:
			if e.Point.Element == entry.Receiver && e.Point.Number == number {
				if e.Verdict == "" {
					continue
				}
				h.verdicts, h.seqs = append(h.verdicts, e.Verdict), append(h.seqs, rec.Seq)
			}
		case entry.Action:
			if e.Action != "swapped" {
				h.lastRepair = rec.Seq
			}
		}
	}
	return h
}

// stands is how a receiver stands: the code of the claim that may be made of it.
func (h receiverHistory) stands() string {
	switch last := len(h.seqs) - 1; {
	case last < 0:
		return claim.Unread
	case h.seqs[last] < h.lastRepair:
		return claim.NotReadAgain
	case h.verdicts[last] == entry.Pass:
		return claim.Passes
	}
	return claim.Fails
}

// TestClaimsAreBorneOut makes random calls and checks each claim by rules
// written again here, over the entries.
func TestClaimsAreBorneOut(t *testing.T) {
	calls := 60
	if n, err := strconv.Atoi(os.Getenv("DOWNLEAD_SIMULATE")); err == nil {
		calls = n
	}
	r := rand.New(rand.NewPCG(20261126, 9))
	counts := map[string]int{}
	for n := range calls {
		receivers := 1 + r.IntN(3)
		records := calltest.RecordsOf(invent(r, receivers)...)
		j := NewJob(records, level.Options{})
		for k := 0; k < len(records); k += 1 + r.IntN(4) { // at some moments of the call, and at its end
			checkClaims(t, NewJob(records[:k+1], level.Options{}), receivers, counts)
		}
		checkClaims(t, j, receivers, counts)
		if t.Failed() {
			for _, rec := range records {
				t.Logf("call %d: %d %s", n, rec.Seq, entry.Say(rec.Entry))
			}
			return
		}
	}
	t.Logf("%d calls, claims checked: %v", calls, counts)
}

func checkClaims(t *testing.T, j *Job, receivers int, counts map[string]int) {
	t.Helper()
	d, current := j.Diagnosis(), j.Current()
	counted := map[int64]entry.Entry{}
	for _, rec := range current {
		counted[rec.Seq] = rec.Entry
	}
	groundless := []string{claim.Unread, claim.Open, claim.NotFixed, claim.NoAccess, "next"}
	for _, c := range d.Claims {
		counts[c.Code]++
		if len(c.Entries) == 0 && !slices.Contains(groundless, c.Code) {
			t.Errorf("%s has no grounds: %q", c.Code, c.Text)
		}
		for _, seq := range c.Entries {
			if counted[seq] == nil {
				t.Errorf("%s rests on %d, which does not count", c.Code, seq)
			}
		}
	}
	current, seat := atOutlets(current)
	for _, e := range j.Call().Path.Receivers() {
		id := j.Call().Path.Elements[e].ID
		number, _ := strconv.Atoi(strings.TrimPrefix(id, "receiver "))
		number = seat[number]
		var said []string
		for _, c := range d.Claims {
			if c.Subject == id && slices.Contains([]string{claim.Passes, claim.Fails, claim.Unread}, c.Code) {
				said = append(said, c.Code)
			}
		}
		want := historyOf(current, number).stands()
		if want == claim.NotReadAgain {
			if len(said) > 0 {
				t.Errorf("%s: said %v of it, though a repair came after its reading", id, said)
			}
			continue
		}
		if !slices.Equal(said, []string{want}) {
			t.Errorf("%s: said %v, its entries say %s", id, said, want)
		}
	}
	w := &witness{T: t, current: current, d: d}
	w.check()
	w.turns()
	said := 0
	for _, rec := range current {
		if _, ok := rec.Entry.(entry.Path); ok {
			said++
		}
	}
	if said == receivers+1 { // no part of the path was scratched
		checkOutcome(t, d, current, receivers, seat)
	}
	checkNext(t, d, current)
	for _, s := range strings.SplitAfter(j.Answer(), ". ") {
		if n := len(strings.Fields(s)); n > 25 {
			t.Errorf("%d words in one spoken sentence: %q", n, s)
		}
	}
}

// atOutlets rewrites the readings behind receivers to the outlets that those
// hung on at the time: an exchange of two receivers changes no coax. seat is
// the outlet that each receiver hangs on in the end.
func atOutlets(current []record.Record) (out []record.Record, seat map[int]int) {
	seat = map[int]int{1: 1, 2: 2, 3: 3}
	for _, rec := range current {
		switch e := rec.Entry.(type) {
		case entry.Reading:
			if e.Point.Element == entry.Receiver {
				e.Point.Number = seat[e.Point.Number]
				rec.Entry = e
			}
		case entry.Action:
			if e.Action == "swapped" {
				seat[e.Number], seat[e.With.Number] = seat[e.With.Number], seat[e.Number]
			}
		}
		out = append(out, rec)
	}
	return out, seat
}

// checkOutcome holds the outcome against the entries: fixed needs a fail, a
// repair after it, and every receiver read and passing after the last repair.
func checkOutcome(t *testing.T, d claim.Diagnosis, current []record.Record, receivers int, seat map[int]int) {
	t.Helper()
	failed, repaired, closed, told := false, false, false, false
	turn, away, measured, outlet := "", false, false, entry.Verdict("")
	for _, rec := range current {
		switch e := rec.Entry.(type) {
		case entry.Outcome:
			if e.Outcome != "no_fault_found" {
				turn = e.Outcome
			}
		case entry.Time:
			if away = e.Mark == "no_access"; !away {
				turn = ""
			}
		case entry.Action:
			away = false
			if e.Action != "swapped" {
				turn = ""
			}
		case entry.Reading:
			away, measured = false, measured || e.Verdict != ""
		case entry.Check:
			away = false
			if e.Check == "outlet" {
				outlet = e.Verdict
			}
		}
	}
	if turn != "" || d.Outcome.Code == claim.Rescheduled || d.Outcome.Code == claim.NeedsHelp {
		if d.Outcome.Code != turn {
			t.Errorf("outcome %s, though it was said to be %q", d.Outcome.Code, turn)
		}
		return
	}
	if test := false; away || d.Outcome.Code == claim.NoAccess {
		for _, rec := range current {
			k, is := rec.Entry.(entry.Check)
			test = test || is && k.Check == "input_test" && k.Verdict == entry.Fail
		}
		if want := away && !measured; want != (d.Outcome.Code == claim.NoAccess) {
			t.Errorf("outcome %s: nobody at home and nothing done since %v, measured %v, a test failed %v", d.Outcome.Code, away, measured, test)
		}
		if away && !measured {
			return
		}
	}
	if outlet == entry.Fail && d.Outcome.Code == claim.NoFault {
		t.Error("no fault found, though the outlet failed")
	}
	for _, rec := range current {
		switch e := rec.Entry.(type) {
		case entry.Reading:
			failed = failed || e.Verdict == entry.Fail
		case entry.Check:
			failed = failed || e.Check == "input_test" && e.Verdict == entry.Fail
		case entry.Symptom:
			told = true
		case entry.Action:
			repaired = repaired || failed && e.Action != "swapped"
		case entry.Job:
			closed = closed || e.Verb == "close"
		}
	}
	all := true
	for n := 1; n <= receivers; n++ {
		all = all && historyOf(current, n).stands() == claim.Passes
	}
	switch d.Outcome.Code {
	case claim.Open:
		if closed {
			t.Error("the job is closed, and called open")
		}
	case claim.Fixed:
		if !failed || !repaired || !all {
			t.Errorf("called fixed: failed %v, repaired %v, every receiver read and passing %v", failed, repaired, all)
		}
	case claim.FixedUnread:
		if !failed || !repaired || all {
			t.Errorf("called fixed with receivers unread: failed %v, repaired %v, all read %v", failed, repaired, all)
		}
	case claim.NoFault, claim.NotReproduced:
		if failed || told != (d.Outcome.Code == claim.NotReproduced) {
			t.Errorf("%s: failed %v, told of %v", d.Outcome.Code, failed, told)
		}
	case claim.Unexplained:
		if !failed {
			t.Error("nothing failed that could pass unexplained")
		}
	}
}

// checkNext holds that a reading that stands is not asked for again without a
// reason, and that nothing is mended that cannot be at fault.
func checkNext(t *testing.T, d claim.Diagnosis, current []record.Record) {
	t.Helper()
	n := d.Next
	if n == nil || len(current) == 0 {
		return
	}
	if n.Text == "" || n.Act == "" {
		t.Errorf("next says nothing to do: %+v", n)
	}
	last, ok := current[len(current)-1].Entry.(entry.Reading)
	again := strings.Contains(n.Text, "again") || strings.Contains(n.Text, "once more")
	if ok && n.Act == next.ActRead && last.Level.Said() && n.Point.Element == last.Point.Element && n.Point.Side == last.Point.Side &&
		n.Point.Number == last.Point.Number && n.Point.Element == entry.Receiver && !again {
		t.Errorf("next is the point just read: %q", n.Text)
	}
}

// TestExchangesAreBorneOut makes calls that exchange receivers several times,
// with tests and readings between, and checks each claim.
func TestExchangesAreBorneOut(t *testing.T) {
	r := rand.New(rand.NewPCG(20261126, 16))
	counts := map[string]int{}
	for n := range 500 {
		receivers := 2 + r.IntN(2)
		entries := invent(rand.New(rand.NewPCG(1, 1)), receivers)[:1+receivers]
		for range 4 + r.IntN(6) {
			a := 1 + r.IntN(receivers)
			switch r.IntN(5) {
			case 0, 1:
				entries = append(entries, entry.Action{Action: "swapped", Element: entry.Receiver, Number: a, With: &entry.Point{Element: entry.Receiver, Number: 1 + a%receivers}})
			case 2:
				reading := calltest.Read(fmt.Sprintf("receiver #%d", a), "pass")
				reading.Level = entry.NewDecimal(-44, 0)
				entries = append(entries, reading)
			default:
				test := calltest.Check("input_test", []string{"pass", "fail"}[r.IntN(2)])
				test.Point = calltest.Ptr(calltest.At(fmt.Sprintf("receiver #%d", a)))
				entries = append(entries, test)
			}
		}
		records := calltest.RecordsOf(entries...)
		checkClaims(t, NewJob(records, level.Options{}), receivers, counts)
		if t.Failed() {
			for _, rec := range records {
				t.Logf("call %d: %d %s", n, rec.Seq, entry.Say(rec.Entry))
			}
			return
		}
	}
	if counts[claim.WentWith] == 0 || counts[claim.Stayed] == 0 {
		t.Errorf("the calls do not try all that exchanges tell: %v", counts)
	}
	turns := invent(rand.New(rand.NewPCG(1, 1)), 2)[:3] // it goes with the receiver, and back at its outlet it passes
	turns = append(turns, calltest.Read("receiver #1", "pass", "-44"), calltest.Read("receiver #2", "pass", "-44"))
	for k, verdict := range []string{"fail", "fail", "pass"} {
		if k > 0 {
			turns = append(turns, entry.Action{Action: "swapped", Element: entry.Receiver, Number: 1, With: &entry.Point{Element: entry.Receiver, Number: 2}})
		}
		test := calltest.Check("input_test", verdict)
		test.Point = calltest.Ptr(calltest.At("receiver #1"))
		turns = append(turns, test)
	}
	both := map[string]int{}
	checkClaims(t, NewJob(calltest.RecordsOf(turns...), level.Options{}), 2, both)
	if both[claim.Disagree] != 1 || both[claim.WentWith]+both[claim.Stayed] > 0 {
		t.Errorf("two exchanges that contradict each other: %v", both)
	}
	t.Logf("claims checked: %v", counts)
}
