package diagnose

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"downlead/diagnose/claim"
	"downlead/diagnose/next"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// witness checks the claims of one call by what its entries say, with the
// home's path as numbers: how many parts from the dish the signal has come.
type witness struct {
	*testing.T
	current []record.Record
	d       claim.Diagnosis
}

// depth is how far the signal has come at a point of the test's home, and the
// branch it is on, 0 on the trunk.
func depth(p entry.Point) (far, branch int) {
	switch {
	case p.Element == entry.Receiver:
		return 7, p.Number
	case p.Element == entry.Splitter:
		return 4, 0
	case p.Element == entry.GroundBlock && p.Side == entry.DishSide:
		return 2, 0
	case p.Element == entry.GroundBlock:
		return 3, 0
	}
	return 1, 0
}

// places is how far from the dish each part that the test mends lies.
var places = map[entry.Element]int{entry.LNB: 1, entry.GroundBlock: 3, entry.Splitter: 5}

func (w *witness) reading(seq int64) (entry.Reading, bool) {
	e, ok := w.at(seq).(entry.Reading)
	return e, ok
}

func (w *witness) at(seq int64) entry.Entry {
	for _, r := range w.current {
		if r.Seq == seq {
			return r.Entry
		}
	}
	return nil
}

// mendedAhead counts the repairs ahead of a point between two seqs.
func (w *witness) mendedAhead(p entry.Point, after, before int64) []int64 {
	far, _ := depth(p)
	var out []int64
	for _, r := range w.current {
		if a, ok := r.Entry.(entry.Action); ok && a.Action != "swapped" && r.Seq > after && r.Seq < before && places[a.Element] <= far {
			out = append(out, r.Seq)
		}
	}
	return out
}

const ever = int64(1) << 40

// stands reports that a reading is the last of its point and no repair ahead
// of it came after.
func (w *witness) stands(seq int64) bool {
	e, ok := w.reading(seq)
	return ok && len(w.mendedAhead(e.Point, seq, ever)) == 0
}

// check holds every claim against its rule.
func (w *witness) check() {
	w.Helper()
	codes := map[string]int{}
	for _, c := range w.d.Claims {
		codes[c.Code]++
		if !slices.IsSorted(c.Entries) || len(slices.Compact(slices.Clone(c.Entries))) != len(c.Entries) {
			w.Errorf("%s: entries %v are not in order, each once", c.Code, c.Entries)
		}
		if c.Text == "" || !strings.HasSuffix(c.Text, ".") && !strings.HasSuffix(c.Text, "\n") {
			w.Errorf("%s says %q: no sentence", c.Code, c.Text)
		}
		w.rule(c)
	}
	where := codes[claim.Explains] + codes[claim.WeakAhead] + codes[claim.SupplyLost]
	if where > 1 || where == 1 && codes[claim.Bracketed] > 0 {
		w.Errorf("more than one answer to where: %v", codes)
	}
	if (codes[claim.Fixed] > 0 || codes[claim.NoFault] > 0) && codes[claim.Fails]+codes[claim.Bracketed]+where > 0 {
		w.Errorf("mended or sound, and failing: %v", codes)
	}
	w.form()
}

func (w *witness) rule(c claim.Claim) {
	w.Helper()
	verdicts := map[entry.Verdict][]entry.Reading{}
	var levels, acts, volts []int64
	for _, seq := range c.Entries {
		switch e := w.at(seq).(type) {
		case entry.Reading:
			verdicts[e.Verdict] = append(verdicts[e.Verdict], e)
			if e.Level.Said() {
				levels = append(levels, seq)
			}
			if e.Volts.Said() {
				volts = append(volts, seq)
			}
		case entry.Action:
			acts = append(acts, seq)
		}
	}
	ok := true
	switch c.Code {
	case claim.Proven:
		tested := w.testsTurned(c.Entries, acts[0])
		ok = len(acts) == 1 && (w.failThenPass(c.Entries, acts, 1) || len(levels) >= 3 || tested) && (tested || !w.tooSoon(acts[0]))
	case claim.Together:
		ok = len(acts) > 1 && w.failThenPass(c.Entries, acts, len(acts))
	case claim.Helped:
		ok = len(acts) >= 1 && slices.Equal(acts, w.mendedAhead(verdicts[entry.Fail][0].Point, w.firstOf(c.Entries), w.lastOf(c.Entries))) && len(verdicts[entry.Fail]) == 2 && c.Figures["gain_db"] > 2
	case claim.Lapsed:
		last := c.Entries[len(c.Entries)-1]
		e, read := w.reading(last)
		ok = len(acts) >= 1 && read && e.Verdict == entry.Fail && len(verdicts[entry.Fail]) == 2 && len(verdicts[entry.Pass]) == 1 &&
			len(w.mendedAhead(e.Point, w.firstOf(c.Entries[slices.Index(c.Entries, acts[len(acts)-1])+1:]), last)) == 0
	case claim.TestPassed, claim.TestFailed:
		k, is := w.at(c.Entries[0]).(entry.Check)
		want := map[string]entry.Verdict{claim.TestPassed: entry.Pass, claim.TestFailed: entry.Fail}[c.Code]
		ok = len(c.Entries) == 1 && is && k.Verdict == want && c.Subject == fmt.Sprintf("receiver %d", k.Point.Number) && w.lastTest(k.Point.Number) == c.Entries[0] && !w.exchangedAfter(c.Entries[0], k.Point.Number) &&
			len(w.mendedAhead(entry.Point{Element: entry.Receiver}, c.Entries[0], ever)) == 0
	case claim.WentWith, claim.Stayed:
		ok = w.swapTells(c) && !slices.ContainsFunc(w.d.Claims, func(o claim.Claim) bool { // in a part and not in it
			return o.Code == claim.WentWith && c.Code == claim.Stayed && o.Subject == c.Subject && slices.Equal(o.Entries, c.Entries)
		})
	case trace.FindingOutlet:
		ok = w.lastOutlets() == [2]entry.Verdict{entry.Fail, entry.Fail}
	case trace.FindingOtherOutlet:
		ok = w.lastOutlets() == [2]entry.Verdict{entry.Fail, entry.Pass}
	case trace.FindingUnsteady:
		a, isA := w.reading(c.Entries[0])
		b, isB := w.reading(c.Entries[1])
		ok = isA && isB && len(c.Entries) == 2 && a.Point == b.Point && (a.Verdict != b.Verdict || len(volts) == 2) && w.stands(c.Entries[0])
	case trace.FindingApart:
		a, b := w.entries2(c)
		gap := a.Level.Float() - b.Level.Float()
		ok = a.Verdict == entry.Pass && b.Verdict == entry.Pass && a.Point == b.Point && w.stands(c.Entries[0]) && (gap > 4 || gap < -4)
	case trace.FindingRises:
		a, b := w.entries2(c)
		one, two := a, b
		if da, _ := depth(a.Point); da == 7 {
			one, two = b, a
		} else if db, _ := depth(b.Point); db < da {
			one, two = b, a
		}
		ok = two.Level.Float()-one.Level.Float() > 4 && w.stands(c.Entries[0]) && w.stands(c.Entries[1])
	case claim.NotShown:
		ok = len(acts) == 1 && (!w.anyTurn(acts[0]) || w.tooSoon(acts[0]))
	case claim.Improved:
		ok = len(c.Entries) == 2 && w.samePoint(c.Entries) && len(w.mendedAhead(w.point(c.Entries[0]), -1, c.Entries[0])) == 0 && w.stands(c.Entries[1])
	case claim.NotReadAgain:
		ok = len(c.Entries) == 1+len(acts) && len(acts) > 0 && acts[0] > c.Entries[0] && !w.stands(c.Entries[0])
	case claim.Bracketed, claim.Explains, claim.WeakAhead:
		ok = len(verdicts[entry.Fail]) > 0
		for _, seq := range c.Entries {
			ok = ok && (w.stands(seq) || c.Code != claim.Bracketed)
		}
		for _, p := range verdicts[entry.Pass] {
			for _, f := range verdicts[entry.Fail] {
				a, on := depth(p.Point)
				b, at := depth(f.Point)
				ok = ok && (on != at || a < b || p.Point == f.Point)
			}
		}
		ok = ok && (c.Code != claim.Explains || c.Figures["excess_db"] > 0 && len(levels) == 3)
		ok = ok && (c.Code != claim.WeakAhead || c.Figures["short_db"] >= 3 && len(levels) > 0)
	case claim.SupplyLost:
		ok = len(volts) == 2
	case claim.Suspected:
		ok = c.Figures["p"] >= 0.05 && c.Figures["p"] <= 1 && len(w.fails()) > 0
	case claim.Disagree:
		ok = len(c.Entries) == 2 && len(verdicts[entry.Fail]) == 1 && len(verdicts[entry.Pass]) == 1 && !w.toldToComeAndGo() || len(acts) > 1
	case claim.Seen:
		_, ok = w.at(c.Entries[0]).(entry.Sighting)
	case trace.FindingNoSupply, trace.FindingLowSupply:
		ok = len(volts) > 0
	case trace.FindingExcess:
		ok = len(levels) == 2
	case trace.FindingMarginal:
		e, _ := w.reading(c.Entries[0])
		ok = w.stands(c.Entries[0]) && e.Level.Float() > -50.01 && e.Level.Float() < -46.99
	}
	if !ok {
		w.Errorf("%s of %v is not borne out: %q", c.Code, c.Entries, c.Text)
	}
}

// entries2 are the two readings that a claim rests on.
func (w *witness) entries2(c claim.Claim) (a, b entry.Reading) {
	w.Helper()
	if len(c.Entries) != 2 {
		w.Errorf("%s rests on %v, not on two readings", c.Code, c.Entries)
		return a, b
	}
	a, _ = w.reading(c.Entries[0])
	b, _ = w.reading(c.Entries[1])
	return a, b
}

// firstOf and lastOf are the first and the last reading among entries.
func (w *witness) firstOf(seqs []int64) int64 {
	return seqs[slices.IndexFunc(seqs, func(s int64) bool { _, is := w.reading(s); return is })]
}

func (w *witness) lastOf(seqs []int64) int64 {
	back := slices.Clone(seqs)
	slices.Reverse(back)
	return w.firstOf(back)
}

// lastTest is the last input test of a receiver.
func (w *witness) lastTest(number int) (seq int64) {
	for _, r := range w.current {
		if k, ok := r.Entry.(entry.Check); ok && k.Check == "input_test" && k.Point.Number == number {
			seq = r.Seq
		}
	}
	return seq
}

// lastOutlets is the worst and the last result of the outlet's test.
func (w *witness) lastOutlets() (out [2]entry.Verdict) {
	for _, r := range w.current {
		if k, ok := r.Entry.(entry.Check); ok && k.Check == "outlet" {
			out[1] = k.Verdict
			if out[0] != entry.Fail {
				out[0] = k.Verdict
			}
		}
	}
	return out
}

// swapTells holds what exchanges of receivers are said to tell, one by one: one
// of the two failed its test where it hung before; after it, and before either
// is exchanged again, the same one fails, or it passes, or the other fails.
func (w *witness) swapTells(c claim.Claim) bool {
	involves := func(e entry.Entry, number int) bool {
		a, is := e.(entry.Action)
		return is && a.Action == "swapped" && (a.Number == number || a.With.Number == number)
	}
	// result is the last test of a receiver next to an exchange, on the side asked for.
	result := func(swap int64, number int, later bool) (v entry.Verdict) {
		from, to := int64(0), ever
		for _, r := range w.current {
			switch {
			case !involves(r.Entry, number):
			case r.Seq < swap:
				from = r.Seq
			case r.Seq > swap:
				to = min(to, r.Seq)
			}
		}
		if later {
			from = swap
		} else {
			to = swap
		}
		for _, r := range w.current {
			if k, is := r.Entry.(entry.Check); is && k.Check == "input_test" && k.Point.Number == number && r.Seq > from && r.Seq < to {
				v = k.Verdict
			}
		}
		return v
	}
	swaps := 0
	for _, seq := range c.Entries {
		a, is := w.at(seq).(entry.Action)
		if !is || a.Action != "swapped" {
			continue
		}
		swaps++
		holds := false
		for _, pair := range [][2]int{{a.Number, a.With.Number}, {a.With.Number, a.Number}} {
			is, other := result(seq, pair[0], true), result(seq, pair[1], true)
			if result(seq, pair[1], false) == entry.Fail {
				other = "" // it failed where it hung before, too: that tells nothing of the place
			}
			if strings.Contains(c.Text, "passes its own test since") && w.lastTest(pair[0]) == c.Entries[len(c.Entries)-1] {
				is = entry.Fail // it failed there, and was started anew
			}
			if result(seq, pair[0], false) == entry.Fail {
				holds = holds || c.Code == claim.WentWith && is == entry.Fail || c.Code == claim.Stayed && is != entry.Fail && (is == entry.Pass || other == entry.Fail)
			}
		}
		if !holds {
			return false
		}
	}
	return swaps > 0
}

// toldToComeAndGo reports whether trouble was told of that a pass does not
// answer: what this test says of symptoms is of that kind.
func (w *witness) toldToComeAndGo() bool {
	return slices.ContainsFunc(w.current, func(r record.Record) bool { _, is := r.Entry.(entry.Symptom); return is })
}

// tooSoon reports whether nothing can be shown of a repair yet: the trouble had
// gone by itself before it, or somebody said that it does, and fewer than three
// readings in a row have passed since.
func (w *witness) tooSoon(act int64) bool {
	a, _ := w.at(act).(entry.Action)
	went := w.toldToComeAndGo()
	var failed []int64 // failing readings ahead of the repair's time
	inRow := 0
	for _, r := range w.current {
		e, is := r.Entry.(entry.Reading)
		if far, _ := depth(e.Point); !is || far < places[a.Element] || e.Verdict == "" {
			continue
		}
		switch {
		case r.Seq > act && e.Verdict == entry.Fail:
			inRow = 0
		case r.Seq > act:
			inRow++
		case e.Verdict == entry.Fail:
			failed = append(failed, r.Seq)
		default:
			for i := len(failed) - 1; i >= 0; i-- {
				if f, _ := w.reading(failed[i]); f.Point == e.Point {
					near := f.Level.Said() && e.Level.Said() && e.Level.Float()-f.Level.Float() < 2.9 // the meter's own spread
					went = went || !near && len(w.mendedAhead(e.Point, failed[i], r.Seq)) == 0
					break
				}
			}
		}
	}
	return went && inRow > 0 && inRow < 3
}

// exchangedAfter reports whether a receiver was exchanged after an entry.
func (w *witness) exchangedAfter(seq int64, number int) bool {
	return slices.ContainsFunc(w.current, func(r record.Record) bool {
		a, is := r.Entry.(entry.Action)
		return is && a.Action == "swapped" && r.Seq > seq && (a.Number == number || a.With.Number == number)
	})
}

// turns holds what is next after another turn of the call: no reading once it
// is left to another day or technician, and nothing plugged in where the
// outlet failed.
func (w *witness) turns() {
	w.Helper()
	n := w.d.Next
	if n == nil {
		return
	}
	code := w.d.Outcome.Code
	if (code == claim.Rescheduled || code == claim.NeedsHelp || code == claim.NoAccess) && n.Act == next.ActRead && len(w.d.Contradictions) == 0 {
		w.Errorf("%s, and next is a reading: %q", code, n.Text)
	}
	if code == claim.NeedsHelp && n.Act != next.ActCall && len(w.d.Contradictions) == 0 {
		w.Errorf("help is needed, and next is %q", n.Text)
	}
	if w.lastOutlets()[1] == entry.Fail && strings.Contains(n.Text, "plug") {
		w.Errorf("the outlet failed, and next is %q", n.Text)
	}
}

func (w *witness) point(seq int64) entry.Point {
	e, _ := w.reading(seq)
	return e.Point
}

func (w *witness) samePoint(seqs []int64) bool {
	a, b := w.point(seqs[0]), w.point(seqs[1])
	return a == b
}

// fails lists the points that fail as the call stands.
func (w *witness) fails() []int64 {
	var out []int64
	for _, r := range w.current {
		if e, ok := r.Entry.(entry.Reading); ok && e.Verdict == entry.Fail && w.stands(r.Seq) {
			out = append(out, r.Seq)
		}
	}
	return out
}

// failThenPass reports that among the entries a point fails and then passes,
// with so many repairs ahead of it between, all of them named.
func (w *witness) failThenPass(entries, acts []int64, n int) bool {
	for _, b := range entries {
		was, ok := w.reading(b)
		if !ok || was.Verdict != entry.Fail {
			continue
		}
		for _, a := range entries {
			is, ok := w.reading(a)
			between := w.mendedAhead(was.Point, b, a)
			if ok && a > b && is.Verdict == entry.Pass && is.Point == was.Point && len(between) == n && slices.Equal(between, acts) {
				return true
			}
		}
	}
	return false
}

// testsTurned reports that a receiver's own test failed before a repair and
// passes after it.
func (w *witness) testsTurned(entries []int64, act int64) bool {
	before, after := false, false
	for _, seq := range entries {
		if k, ok := w.at(seq).(entry.Check); ok && k.Check == "input_test" {
			before = before || seq < act && k.Verdict == entry.Fail
			after = after || seq > act && k.Verdict == entry.Pass
		}
	}
	return before && after
}

// anyTurn reports that some point beyond a repair failed in its last reading
// before it and passes in its first one after it.
func (w *witness) anyTurn(act int64) bool {
	a, _ := w.at(act).(entry.Action)
	last := map[entry.Point]entry.Verdict{}
	done := map[entry.Point]bool{}
	for _, r := range w.current {
		e, ok := r.Entry.(entry.Reading)
		if far, _ := depth(e.Point); !ok || e.Verdict == "" || far < places[a.Element] || done[e.Point] {
			continue
		}
		switch was := last[e.Point]; {
		case r.Seq < act:
			last[e.Point] = e.Verdict
		case was == entry.Fail && e.Verdict == entry.Pass:
			return true
		default:
			done[e.Point] = true
		}
	}
	return false
}

// form holds the machine form against its names.
func (w *witness) form() {
	w.Helper()
	var got struct {
		Path []struct {
			ID string `json:"id"`
		} `json:"path"`
		Suspects []struct {
			Elements []string `json:"elements"`
			P        float64  `json:"p"`
		} `json:"suspects"`
		Next *struct {
			Act   string      `json:"act"`
			Read  []string    `json:"read"`
			Point entry.Point `json:"point"`
			ID    string      `json:"id"`
			Why   string      `json:"why"`
		} `json:"next"`
		Claims []map[string]any `json:"claims"`
	}
	raw, err := json.Marshal(w.d)
	if err == nil {
		err = json.Unmarshal(raw, &got)
	}
	if err != nil {
		w.Error(err)
		return
	}
	ids := []string{"job"}
	for _, e := range got.Path {
		ids = append(ids, e.ID)
	}
	for _, c := range got.Claims {
		for _, name := range []string{"code", "subject", "entries", "text"} {
			if c[name] == nil {
				w.Errorf("claim without %q: %v", name, c)
			}
		}
		if s, _ := c["subject"].(string); !slices.Contains(ids, s) {
			w.Errorf("claim of %q, which is no part of the path", s)
		}
	}
	sum := 0.0
	for _, s := range got.Suspects {
		sum += s.P
		for _, id := range s.Elements {
			if !slices.Contains(ids, id) {
				w.Errorf("suspect %q is no part of the path", id)
			}
		}
	}
	if sum > 1.0001 {
		w.Errorf("the odds of the suspects add up to %f", sum)
	}
	n := got.Next
	if n == nil {
		return
	}
	quantities := []string{next.ReadVerdict, next.ReadLevel, next.ReadVolts, next.ReadSlots, next.ReadWiggle}
	unknown := slices.ContainsFunc(n.Read, func(q string) bool { return !slices.Contains(quantities, q) })
	if !slices.Contains([]string{"read", "repair", "step", "call"}, n.Act) || n.Why == "" || unknown {
		w.Errorf("next: %+v", *n)
	}
	if (n.Act == "read") != (len(n.Read) > 0) || n.Act == "read" && n.Point.Element == "" || n.Act == "repair" && !slices.Contains(ids, n.ID) {
		w.Errorf("next does not say what: %+v", *n)
	}
}
