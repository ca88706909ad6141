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
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// A home of three rooms, each with cable, a wall plate and a jumper of its own.
// Receivers and jumpers change places, parts are put back, the splitter is left
// out. Everything that the claims are held against is reckoned here anew from
// the entries, in the test's own words.

const rooms = 3

// roomsCall makes a random call in it.
type roomsCall struct {
	*rand.Rand
	out bool // the splitter is left out
}

func (r *roomsCall) call() []entry.Entry {
	all := []entry.Entry{calltest.ChainOf("dish, lnb, cable 60, ground_block, cable 30, splitter /4")}
	for n := 1; n <= rooms; n++ {
		all = append(all, calltest.ChainOf(fmt.Sprintf("splitter :%d, cable 40, wall_plate #%d, jumper 6 #%d, receiver #%d", n, n, n, n)))
	}
	all = append(all, entry.Setting{Name: "threshold", Value: entry.NewDecimal(75, 0)})
	for range 5 + r.IntN(9) {
		if r.IntN(3) == 0 {
			all = append(all, r.work())
		} else if r.IntN(6) == 0 {
			test := calltest.Check("input_test", []string{"pass", "fail"}[r.IntN(2)])
			test.Point = calltest.Ptr(calltest.At(fmt.Sprintf("receiver #%d", r.room())))
			all = append(all, test)
		} else {
			all = append(all, r.reading())
		}
	}
	if r.IntN(2) == 0 { // it is mended, and looked at everywhere
		all = append(all, entry.Action{Action: "replaced", Element: entry.GroundBlock})
		for n := 1; n <= rooms-r.IntN(2); n++ {
			all = append(all, calltest.Read(fmt.Sprintf("receiver #%d", n), "pass", fmt.Sprint(-40-r.IntN(5))))
			if r.IntN(2) == 0 {
				test := calltest.Check("input_test", "pass")
				test.Point = calltest.Ptr(calltest.At(fmt.Sprintf("receiver #%d", n)))
				all = append(all, test)
			}
		}
	}
	return append(all, entry.Job{Verb: "close"})
}

func (r *roomsCall) room() int { return 1 + r.IntN(rooms) }

func (r *roomsCall) reading() entry.Reading {
	points := []string{"ground_block dish", "ground_block receiver", fmt.Sprintf("wall_plate #%d dish", r.room())}
	if !r.out {
		points = append(points, "splitter dish", fmt.Sprintf("splitter :%d", r.room()))
	}
	point := points[r.IntN(len(points))]
	if r.IntN(3) > 0 {
		point = fmt.Sprintf("receiver #%d", r.room())
	}
	read, strength := calltest.Read(point, "pass"), 78+r.IntN(17)
	dBm := -36 - r.IntN(13)
	if r.IntN(2) == 0 {
		read.Verdict, dBm, strength = entry.Fail, -52-r.IntN(18), 40+r.IntN(30)
	}
	switch r.IntN(4) {
	case 0:
		read.Strength = entry.NewDecimal(int64(strength), 0)
	case 1:
		read.Strength = entry.NewDecimal(int64(strength), 0)
		fallthrough
	case 2:
		read.Level = entry.NewDecimal(int64(dBm), 0)
	}
	return read
}

func (r *roomsCall) work() entry.Entry {
	a, b := r.room(), 0
	for b = r.room(); b == a; b = r.room() {
	}
	switch r.IntN(9) {
	case 0:
		return entry.Action{Action: "swapped", Element: entry.Receiver, Number: a, With: &entry.Point{Element: entry.Receiver, Number: b}}
	case 1:
		return entry.Action{Action: "swapped", Element: entry.Jumper, Number: a, With: &entry.Point{Element: entry.Jumper, Number: b}}
	case 2:
		return entry.Action{Action: "replaced", Element: entry.Receiver, Number: a}
	case 3:
		return entry.Action{Action: "replaced", Element: entry.Jumper, At: &entry.Point{Element: entry.Receiver, Number: a}}
	case 4:
		return entry.Action{Action: "restored", Element: entry.GroundBlock}
	case 5:
		if r.out {
			r.out = false
			return entry.Action{Action: []string{"restored", "replaced"}[r.IntN(2)], Element: entry.Splitter}
		}
		r.out = true
		return entry.Action{Action: "bypassed", Element: entry.Splitter, With: &entry.Point{Element: entry.Barrel}}
	case 6:
		return entry.Action{Action: "replaced", Element: entry.WallPlate, Number: a}
	}
	return entry.Action{Action: "replaced", Element: entry.GroundBlock}
}

// ledger is what the entries of such a call come to.
type ledger struct {
	seat  map[int]int // the outlet that each receiver hangs on
	reads []ledgerRead
	works []ledgerWork
	tests []ledgerTest
}

type ledgerRead struct {
	seq   int64
	point entry.Point // receivers by outlet
	pass  bool
	level float64 // 0: none
}

type ledgerWork struct {
	seq   int64
	parts []string // "ground_block", "jumper 2" by outlet, "box 2" for a receiver itself
	mends bool
	put   bool  // an old part was put back
	back  int64 // the entry that undid it
}

type ledgerTest struct {
	seq          int64
	box, outlet  int
	pass, counts bool // counts: nothing happened to it since
}

func ledgerOf(current []record.Record) *ledger {
	l := &ledger{seat: map[int]int{1: 1, 2: 2, 3: 3}}
	for _, rec := range current {
		switch e := rec.Entry.(type) {
		case entry.Reading:
			if e.Point.Element == entry.Receiver {
				e.Point.Number = l.seat[e.Point.Number]
			}
			x := ledgerRead{seq: rec.Seq, point: e.Point, pass: e.Verdict == entry.Pass}
			if e.Level.Said() {
				x.level = e.Level.Float()
			}
			l.reads = append(l.reads, x)
		case entry.Check:
			l.tests = append(l.tests, ledgerTest{seq: rec.Seq, box: e.Point.Number, outlet: l.seat[e.Point.Number], pass: e.Verdict == entry.Pass, counts: true})
		case entry.Action:
			l.act(rec.Seq, e)
		}
	}
	return l
}

func (l *ledger) act(seq int64, e entry.Action) {
	w := ledgerWork{seq: seq, mends: e.Action != "swapped" && e.Action != "restored", put: e.Action == "restored"}
	switch {
	case e.Action == "swapped" && e.Element == entry.Receiver:
		for i, t := range l.tests {
			l.tests[i].counts = t.counts && t.box != e.Number && t.box != e.With.Number
		}
		l.seat[e.Number], l.seat[e.With.Number] = l.seat[e.With.Number], l.seat[e.Number]
		return
	case e.Action == "swapped":
		w.parts = []string{fmt.Sprint("jumper ", e.Number), fmt.Sprint("jumper ", e.With.Number)}
	case e.Element == entry.Receiver:
		w.parts = []string{fmt.Sprint("box ", e.Number)}
	case e.Element == entry.Jumper:
		w.parts = []string{fmt.Sprint("jumper ", l.seat[e.At.Number])}
	case e.Element == entry.WallPlate:
		w.parts = []string{fmt.Sprint("plate ", e.Number)}
	default:
		w.parts = []string{string(e.Element)}
	}
	if w.put {
		for i := len(l.works) - 1; i >= 0; i-- {
			if q := &l.works[i]; q.mends && q.back == 0 && q.parts[0] == w.parts[0] {
				q.back = seq
				break
			}
		}
	}
	for i, t := range l.tests {
		l.tests[i].counts = t.counts && !w.touches(append(ahead(entry.Point{Element: entry.Receiver, Number: l.seat[t.box]}), fmt.Sprint("box ", t.box)))
	}
	l.works = append(l.works, w)
}

func (w ledgerWork) touches(parts []string) bool {
	return slices.ContainsFunc(w.parts, func(p string) bool { return slices.Contains(parts, p) })
}

// ahead names the parts that work is done on between the dish and a point.
func ahead(p entry.Point) []string {
	var out []string
	switch {
	case p.Element == entry.GroundBlock && p.Side == entry.DishSide:
		return nil
	case p.Element == entry.GroundBlock, p.Element == entry.Splitter && p.Port == 0:
		return []string{"ground_block"}
	case p.Element == entry.Receiver:
		out = []string{fmt.Sprint("plate ", p.Number), fmt.Sprint("jumper ", p.Number)}
	}
	return append(out, "ground_block", "splitter")
}

func (l *ledger) worked(p entry.Point, after, before int64, mends bool) (out []ledgerWork) {
	for _, w := range l.works {
		if w.seq > after && w.seq < before && (w.mends || !mends) && w.touches(ahead(p)) {
			out = append(out, w)
		}
	}
	return out
}

// stands says how the outlet of a receiver stands.
func (l *ledger) stands(outlet int) string {
	at := entry.Point{Element: entry.Receiver, Number: outlet}
	code := claim.Unread
	for _, r := range l.reads {
		switch {
		case r.point != at:
		case len(l.worked(at, r.seq, ever, false)) > 0:
			code = claim.NotReadAgain
		case r.pass:
			code = claim.Passes
		default:
			code = claim.Fails
		}
	}
	return code
}

// turned reports that a piece of work, and nothing else on the way, lies
// between a fail and a pass of one point, or of one receiver's test.
func (l *ledger) turned(w ledgerWork) bool {
	for _, a := range l.reads {
		for _, b := range l.reads {
			if a.point == b.point && !a.pass && b.pass && a.seq < w.seq && b.seq > w.seq && w.touches(ahead(a.point)) {
				return true
			}
		}
	}
	return l.testTurned(w)
}

func (l *ledger) testTurned(w ledgerWork) bool {
	for _, a := range l.tests {
		for _, b := range l.tests {
			if a.box != b.box || a.pass || !b.pass || a.seq > w.seq || b.seq < w.seq {
				continue
			}
			on := append(ahead(entry.Point{Element: entry.Receiver, Number: b.outlet}), fmt.Sprint("box ", b.box))
			if w.touches(on) && (a.outlet == b.outlet || l.goodThere(a.outlet, a.seq)) {
				return true
			}
		}
	}
	return false
}

// goodThere reports whether another receiver passed its test at an outlet later.
func (l *ledger) goodThere(outlet int, since int64) bool {
	return slices.ContainsFunc(l.tests, func(t ledgerTest) bool { return t.outlet == outlet && t.pass && t.seq > since })
}

// TestRoomsAreBorneOut makes such calls and holds what is claimed, at moments of
// each and at its end, against the ledger.
func TestRoomsAreBorneOut(t *testing.T) {
	calls := 150
	if n, err := strconv.Atoi(os.Getenv("DOWNLEAD_SIMULATE")); err == nil {
		calls = n
	}
	counts := map[string]int{}
	for n := range calls {
		r := &roomsCall{Rand: rand.New(rand.NewPCG(20261126, uint64(n)))}
		records := calltest.RecordsOf(r.call()...)
		for k := 6 + r.IntN(4); ; k += 2 + r.IntN(4) {
			k = min(k, len(records))
			holdRooms(t, NewJob(records[:k], level.Options{}), counts)
			if k == len(records) || t.Failed() {
				records = records[:k]
				break
			}
		}
		if t.Failed() {
			for _, rec := range records[rooms+2:] {
				t.Logf("call %d: %d %s", n, rec.Seq, entry.Say(rec.Entry))
			}
			return
		}
	}
	for _, code := range []string{claim.Proven, claim.Together, claim.NotShown, claim.Lapsed, claim.Fixed, claim.FixedUnread, claim.Unexplained, claim.NotFixed, trace.FindingCutOff} {
		if calls >= 150 && counts[code] == 0 {
			t.Errorf("the calls do not try %s", code)
		}
	}
	t.Logf("%d calls, claims checked: %v", calls, counts)
}

func holdRooms(t *testing.T, j *Job, counts map[string]int) {
	t.Helper()
	d, current := j.Diagnosis(), j.Current()
	l := ledgerOf(current)
	said := map[string][]string{}
	for _, c := range d.Claims {
		counts[c.Code]++
		said[c.Subject] = append(said[c.Subject], c.Code)
		l.holdClaim(t, c)
	}
	for box := 1; box <= rooms; box++ {
		want := l.stands(l.seat[box])
		var got []string
		for _, code := range said[fmt.Sprintf("receiver %d", box)] {
			if slices.Contains([]string{claim.Passes, claim.Fails, claim.Unread}, code) {
				got = append(got, code)
			}
		}
		if want == claim.NotReadAgain && len(got) > 0 || want != claim.NotReadAgain && !slices.Equal(got, []string{want}) {
			t.Errorf("receiver %d: said %v, its entries say %s", box, got, want)
		}
	}
	l.holdOutcome(t, d)
	l.holdCustomer(t, j)
	checkNext(t, d, current)
	for _, s := range strings.SplitAfter(j.Answer(), ". ") {
		if n := len(strings.Fields(s)); n > 25 {
			t.Errorf("%d words in one spoken sentence: %q", n, s)
		}
	}
	if n := d.Next; n != nil && strings.Contains(n.Text, "after the repair") && n.Act == next.ActRead && len(l.worked(l.outletOf(n.Point), 0, ever, false)) == 0 {
		t.Errorf("nothing was done on the way, and next is %q", n.Text)
	}
}

// outletOf is a point with its receiver's outlet for the receiver.
func (l *ledger) outletOf(p entry.Point) entry.Point {
	if p.Element == entry.Receiver {
		p.Number = l.seat[p.Number]
	}
	return entry.Point{Element: p.Element, Side: p.Side, Number: p.Number, Port: p.Port}
}

func (l *ledger) work(seqs []int64) (out []ledgerWork) {
	for _, w := range l.works {
		if slices.Contains(seqs, w.seq) {
			out = append(out, w)
		}
	}
	return out
}

func (l *ledger) holdClaim(t *testing.T, c claim.Claim) {
	t.Helper()
	bad := func(why string) { t.Errorf("%s of %v, %s: %q", c.Code, c.Entries, why, c.Text) }
	works := l.work(c.Entries)
	mends := slices.DeleteFunc(slices.Clone(works), func(w ledgerWork) bool { return !w.mends })
	switch c.Code {
	case claim.Proven, claim.Together:
		for _, w := range mends {
			levels := slices.DeleteFunc(slices.Clone(l.reads), func(r ledgerRead) bool { return r.level == 0 || !slices.Contains(c.Entries, r.seq) })
			if !l.turned(w) && len(levels) < 4 {
				bad("and nothing turned from fail to pass over it")
			}
			if strings.Contains(c.Text, "undone since") && w.back > 0 && l.passesAfter(c.Entries, w) {
				bad("and it passes without it")
			}
		}
		if len(mends) == 0 {
			bad("and nothing was mended")
		}
	case claim.NotShown:
		if w := mends[0]; w.back == 0 && l.plainly(w) {
			bad("and it alone turned a fail into a pass")
		}
	case claim.TestPassed, claim.TestFailed:
		k := slices.IndexFunc(l.tests, func(x ledgerTest) bool { return x.seq == c.Entries[0] })
		later := slices.ContainsFunc(l.tests[k+1:], func(x ledgerTest) bool { return x.box == l.tests[k].box })
		if x := l.tests[k]; !x.counts || later || x.pass != (c.Code == claim.TestPassed) || c.Subject != fmt.Sprintf("receiver %d", x.box) {
			bad("and it is not the last that counts")
		}
	case trace.FindingCutOff:
		w := works[0]
		again := func(q ledgerWork) bool { return q.seq > w.seq && q.parts[0] == "splitter" } // a new one, or the old one
		if w.parts[0] != "splitter" || slices.ContainsFunc(l.works, again) {
			bad("and the splitter is in its place")
		}
	case claim.Improved:
		a, b := l.read(c.Entries[0]), l.read(c.Entries[1])
		joint := a.point.Element == entry.Splitter && a.point.Port == 0 // what stands in for the splitter is joined there
		if a.point != b.point || !joint && (len(l.worked(a.point, 0, a.seq, true)) > 0 || len(l.worked(a.point, b.seq, ever, true)) > 0 || len(l.worked(a.point, a.seq, b.seq, true)) == 0) {
			bad("and they are not before and after all work")
		}
	case trace.FindingUnsteady:
		a, b := l.read(c.Entries[0]), l.read(c.Entries[1])
		if a.point != b.point || a.pass == b.pass || len(l.worked(a.point, a.seq, ever, false)) > 0 {
			bad("and they are no turn with nothing done")
		}
	case trace.FindingApart:
		a, b := l.read(c.Entries[0]), l.read(c.Entries[1])
		if a.point != b.point || !a.pass || !b.pass || len(l.worked(a.point, a.seq, ever, false)) > 0 {
			bad("and they are not two passes of one point")
		}
	}
}

func (l *ledger) read(seq int64) ledgerRead {
	i := slices.IndexFunc(l.reads, func(r ledgerRead) bool { return r.seq == seq })
	if i < 0 {
		return ledgerRead{}
	}
	return l.reads[i]
}

// passesAfter reports that a point named among entries passes, in its last
// reading, after a piece of work was undone and with nothing else done since.
func (l *ledger) passesAfter(entries []int64, w ledgerWork) bool {
	for _, a := range l.reads {
		if !slices.Contains(entries, a.seq) || !a.pass {
			continue
		}
		var last ledgerRead
		for _, b := range l.reads {
			if b.point == a.point && b.seq > w.back {
				last = b
			}
		}
		if last.pass && len(l.worked(a.point, w.seq, last.seq, false)) == 1 { // what put it back
			return true
		}
	}
	return false
}

// plainly reports that a point failed right before a piece of work and passes
// ever since, with no other work on the way, and had never come by itself.
func (l *ledger) plainly(w ledgerWork) bool {
	for _, a := range l.reads {
		if a.pass || a.seq > w.seq || !w.touches(ahead(a.point)) {
			continue
		}
		after, steady := 0, true
		for _, b := range l.reads {
			switch {
			case b.seq < w.seq && b.pass: // it may have come and gone before
				steady = false
			case b.seq > w.seq && !b.pass: // somewhere it fails still
				steady = false
			case b.seq > w.seq && b.point == a.point:
				after++
			}
		}
		if steady && after > 0 && len(l.works) == 1 {
			return true
		}
	}
	return false
}

func (l *ledger) holdOutcome(t *testing.T, d claim.Diagnosis) {
	t.Helper()
	bad := func(why string) { t.Errorf("outcome %s, %s: %q", d.Outcome.Code, why, d.Outcome.Text) }
	failed := slices.ContainsFunc(l.reads, func(r ledgerRead) bool { return !r.pass })
	tests := slices.ContainsFunc(l.tests, func(x ledgerTest) bool { return !x.pass })
	all, fails := true, false
	for o := 1; o <= rooms; o++ {
		s := l.stands(o)
		all, fails = all && s == claim.Passes, fails || s == claim.Fails
	}
	for i, x := range l.tests {
		later := slices.ContainsFunc(l.tests[i+1:], func(y ledgerTest) bool { return y.box == x.box })
		fails = fails || !later && !x.pass
	}
	standing := slices.ContainsFunc(l.works, func(w ledgerWork) bool { return w.mends && w.back == 0 && l.turned(w) })
	switch d.Outcome.Code {
	case claim.Fixed, claim.FixedUnread:
		excess := slices.ContainsFunc(d.Claims, func(c claim.Claim) bool { return c.Code == claim.Proven && strings.Contains(c.Text, "of loss") })
		if !failed && !tests || fails || !standing && !excess || (d.Outcome.Code == claim.Fixed) != all {
			bad(fmt.Sprintf("failed %v, fails now %v, work that turned it stands %v, all read and passing %v", failed || tests, fails, standing, all))
		}
	case claim.NoFault:
		if failed || tests {
			bad("and something failed")
		}
	case claim.Unexplained:
		if !failed && !tests || fails {
			bad(fmt.Sprintf("failed %v, fails now %v", failed || tests, fails))
		}
	}
}

// holdCustomer holds what the customer is told.
func (l *ledger) holdCustomer(t *testing.T, j *Job) {
	t.Helper()
	text := strings.Join(claim.CustomerExplanation(j.Progress(), j.Diagnosis()), " ")
	mended, passes, fails := false, false, false
	for _, w := range l.works {
		mended = mended || w.mends && w.back == 0
	}
	for o := 1; o <= rooms; o++ {
		passes, fails = passes || l.stands(o) == claim.Passes, fails || l.stands(o) == claim.Fails
	}
	if strings.Contains(text, "No part of the dish or the cables was changed") && mended && !l.onlyBoxes() {
		t.Errorf("something was changed, and the customer is told %q", text)
	}
	if strings.Contains(text, "measured good after that") && (!passes || fails) {
		t.Errorf("passes %v, fails %v, and the customer is told %q", passes, fails, text)
	}
	if strings.Contains(text, "at every place where it was measured") && slices.ContainsFunc(l.reads, func(r ledgerRead) bool { return !r.pass }) {
		t.Errorf("something failed, and the customer is told %q", text)
	}
}

// onlyBoxes reports that nothing but receivers was mended.
func (l *ledger) onlyBoxes() bool {
	return !slices.ContainsFunc(l.works, func(w ledgerWork) bool { return w.mends && w.back == 0 && !strings.HasPrefix(w.parts[0], "box") })
}
