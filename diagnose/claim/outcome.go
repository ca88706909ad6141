package claim

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"downlead/diagnose/call"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// Outcome is how the call ended, or would end if it were closed now, with the
// entries that it rests on.
type Outcome struct {
	Code    string
	Text    string
	Entries []int64
	When    string   // the appointment, as it was said
	Unread  []string // names of the receivers not read, or not read again
}

// The outcomes. Each has one rule over the entries, in settle.
const (
	Fixed         = "fixed"              // it failed, a repair is proven, every receiver of the path was read after the last repair and passes
	FixedUnread   = "fixed_unread"       // the same, but receivers were not read
	Unexplained   = "passes_unexplained" // a fail became a pass without a proven repair
	NoFault       = "no_fault_found"     // nothing ever failed
	NotReproduced = "not_reproduced"     // trouble was told of that comes and goes, and it could not be made to fail
	NotFixed      = "not_fixed"
	NoAccess      = "no_access"
	Rescheduled   = "rescheduled"
	NeedsHelp     = "needs_help"
	Open          = "open" // the job is not closed
)

// outcome settles how the call ended. While the job is open the code is Open
// and the text says how it stands.
func outcome(p *call.Progress, shown []Shown) Outcome {
	o := settle(p, shown)
	if !p.Closed() && o.Code != Rescheduled && o.Code != NeedsHelp && o.Code != NoAccess {
		return Outcome{Code: Open, Text: "The job is open.", Entries: o.Entries, Unread: o.Unread}
	}
	return o
}

func settle(p *call.Progress, shown []Shown) Outcome {
	c := p.Call
	if said, ok := saidOutcome(c); ok {
		return said
	}
	failed, entries := failures(p)
	unread, again, failing, passing := standing(p)
	left := leftUnread(unread, again)
	unread = append(unread, again...)
	entries = append(entries, passing...)
	switch {
	case p.NoAccess && len(judged(c)) == 0:
		return Outcome{Code: NoAccess, Text: "Nobody was at home: nothing was measured."}
	case len(failed) == 0 && len(judged(c)) == 0:
		return Outcome{Code: NotFixed, Text: "The signal was not measured.", Entries: seqs(c.Observations)}
	case len(failed) == 0 && unsafeNow(p):
		return Outcome{Code: NotFixed, Text: join("Not fixed: the power outlet failed its test, and is for a licensed electrician.", left), Entries: append(judged(c), p.Checks["outlet"].Seq), Unread: unread}
	case len(failed) == 0 && len(c.Symptoms) > 0:
		return Outcome{Code: NotReproduced, Text: join("It could not be made to fail"+tried(p)+".", left), Entries: append(judged(c), told(c)...), Unread: unread}
	case len(failed) == 0:
		text, before := "No fault was found: nothing measured fails.", mendedUnread(c)
		if len(before) > 0 {
			text = "No fault was found: nothing measured fails. Whether anything failed before the work is not known: nothing was measured before it."
		}
		if against := againstWords(p); against != "" {
			text = "No fault was found; " + against
		}
		return Outcome{Code: NoFault, Text: join(text, left), Entries: append(judged(c), before...), Unread: unread}
	case len(failing) > 0 || len(passing) == 0 || !proofRead(p) || len(p.Untested()) > 0:
		return Outcome{Code: NotFixed, Text: notFixedWords(p), Entries: append(entries, failing...), Unread: unread}
	case !slices.ContainsFunc(shown, Shown.Proves):
		return Outcome{Code: Unexplained, Text: join(unexplainedWords(p), left), Entries: entries, Unread: unread}
	}
	for _, s := range shown {
		if s.Proves() {
			entries = append(entries, s.Repair.Seq, s.Before, s.After)
		}
	}
	slices.Sort(entries)
	entries = slices.Compact(entries)
	if left != "" {
		text := "Fixed."
		if len(cutOffNames(p)) > 0 { // a room may be without signal since the repair
			text = "Fixed as far as it was read."
		}
		return Outcome{Code: FixedUnread, Entries: entries, Unread: unread, Text: join(text, left)}
	}
	return Outcome{Code: Fixed, Text: "Fixed: every receiver passes, read after the last repair on its way.", Entries: entries}
}

// againstWords says of which receivers the numbers do not bear out that they
// were said to pass; "" for none.
func againstWords(p *call.Progress) string {
	var out []string
	for _, r := range p.Call.Path.Receivers() {
		s, ok := p.Behind(r)
		if _, why := saidAgainst(p.Call, s, entry.Pass); ok && why != "" && s.Verdict == entry.Pass {
			out = append(out, receiverName(p.Call.Path, r)+" was said to pass, but "+why)
		}
	}
	if len(out) == 0 {
		return ""
	}
	return strings.Join(out, "; ") + "."
}

// mendedUnread lists the repairs with nothing of the signal read before them.
func mendedUnread(c trace.Call) []int64 {
	var out []int64
	first := slices.IndexFunc(c.Observations, func(o trace.Observation) bool { return trace.Judges(o.Reading) })
	for _, r := range c.Repairs {
		if mends(r) && r.Undone == 0 && (first < 0 || r.Seq < c.Observations[first].Seq) {
			out = append(out, r.Seq)
		}
	}
	return out
}

// unsafeNow reports that the last test of a power outlet failed.
func unsafeNow(p *call.Progress) bool {
	k, tested := p.Checks["outlet"]
	return tested && k.Verdict == entry.Fail
}

// leftUnread names the receivers of the path that were not read, and those
// that were not read again after a repair; "" when there are none.
func leftUnread(unread, again []string) string {
	var parts []string
	if len(unread) > 0 {
		parts = append(parts, path.List(unread, "and")+plural2(len(unread), " was", " were")+" not read")
	}
	if len(again) > 0 {
		parts = append(parts, path.List(again, "and")+plural2(len(again), " was", " were")+" not read again after the repair")
	}
	if len(parts) == 0 {
		return ""
	}
	return path.Sentence(upper(strings.Join(parts, "; ")))
}

// notFixedWords says what fails, or that what failed was not read again.
func notFixedWords(p *call.Progress) string {
	var fails, tests, again, retest []string
	for _, r := range p.Call.Path.Receivers() {
		name := receiverName(p.Call.Path, r)
		s, ok := p.Behind(r)
		t, counts := p.InputTest(r)
		switch {
		case ok && !s.Stale && s.Verdict == entry.Fail:
			fails = append(fails, name)
		case counts && t.Verdict == entry.Fail:
			tests = append(tests, name)
		case slices.Contains(p.ToProve(), r) && !p.Passes(r):
			again = append(again, name+s.LeftWords())
		case slices.Contains(p.Untested(), r):
			retest = append(retest, name)
		}
	}
	var parts []string
	if len(fails) > 0 {
		parts = append(parts, path.List(fails, "and")+plural2(len(fails), " fails", " fail"))
	}
	if len(tests) > 0 {
		parts = append(parts, path.List(tests, "and")+plural2(len(tests), " fails its own test", " fail their own tests"))
	}
	if len(again) > 0 {
		parts = append(parts, path.List(again, "and")+plural2(len(again), " was", " were")+" not read again after the repair")
	}
	if len(retest) > 0 {
		parts = append(parts, path.List(retest, "and")+plural2(len(retest), " failed its own test, and was", " failed their own tests, and were")+" not tested again since")
	}
	switch {
	case len(parts) > 0 && len(fails)+len(tests) == 0 && len(p.Spans) == 0:
		return "Not shown to be fixed: " + strings.Join(parts, "; ") + "."
	case len(parts) > 0:
		return "Not fixed: " + strings.Join(parts, "; ") + "."
	case len(p.Spans) > 0:
		return "Not fixed: it fails " + path.AtPoint(p.Call.PointOfSpot(p.Spans[0].Fail)) + "."
	}
	return "Not fixed."
}

// unexplainedWords says what failed, and passes now.
func unexplainedWords(p *call.Progress) string {
	for i, o := range p.Call.Observations {
		if trace.Judges(o.Reading) && trace.Counts(o.Reading, p.Call.Settings) == entry.Fail {
			passes := func(q trace.Observation) bool { return trace.Counts(q.Reading, p.Call.Settings) == entry.Pass }
			if k := slices.IndexFunc(p.Call.Observations[i:], passes); k > 0 && pluggedBetween(p.Call, o.Seq, p.Call.Observations[i+k].Seq) {
				return fmt.Sprintf("It failed %s (%s) and passes since a receiver was plugged in or started anew; nothing was mended.", path.AtPoint(p.Call.PointOf(o)), readingWords(p.Call, o))
			}
			return fmt.Sprintf("It failed %s (%s) and passes now, and no repair is shown to be why: it may come back.", path.AtPoint(p.Call.PointOf(o)), readingWords(p.Call, o))
		}
	}
	for _, r := range p.Call.Path.Receivers() {
		tests := p.InputTests(r)
		if slices.ContainsFunc(tests, func(k call.Checked) bool { return k.Verdict == entry.Fail }) {
			return fmt.Sprintf("%s failed its own test and passes it now, and no repair is shown to be why: it may come back.", upper(receiverName(p.Call.Path, r)))
		}
	}
	return "It passes now, and no repair is shown to be why: it may come back."
}

// told lists the entries that tell of trouble nobody measured.
func told(c trace.Call) []int64 {
	var out []int64
	for _, s := range c.Symptoms {
		out = append(out, s.Seq)
	}
	return out
}

func plural2(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// saidOutcome is the outcome that the technician gave, where the readings
// cannot: an appointment, or that help is needed.
func saidOutcome(c trace.Call) (out Outcome, ok bool) {
	for _, r := range c.Records {
		switch e := r.Entry.(type) {
		case entry.Outcome:
			switch e.Outcome {
			case Rescheduled:
				out, ok = Outcome{Code: Rescheduled, When: e.When, Text: "Rescheduled" + when(e.When) + ".", Entries: []int64{r.Seq}}, true
			case NeedsHelp:
				out, ok = Outcome{Code: NeedsHelp, When: e.When, Text: "It needs a second technician" + when(e.When) + ".", Entries: []int64{r.Seq}}, true
			}
		case entry.Time:
			if e.Mark == "arrived" { // work went on after all
				ok = false
			}
		case entry.Action:
			ok = ok && !isRepairAction(e)
		}
	}
	return out, ok
}

func when(s string) string {
	if s == "" {
		return ""
	}
	words := strings.Fields(s)
	for i, w := range words {
		for day := time.Sunday; day <= time.Saturday; day++ {
			if strings.EqualFold(w, day.String()) {
				words[i] = day.String()
			}
		}
	}
	return ", " + strings.Join(words, " ")
}

// failures lists the joints that failed at any time and what says so; a
// receiver's own failing test counts too.
func failures(p *call.Progress) (failed []trace.JointKey, entries []int64) {
	for _, o := range p.Call.Observations {
		if trace.Judges(o.Reading) && trace.Counts(o.Reading, p.Call.Settings) == entry.Fail {
			failed, entries = append(failed, p.Call.JointOf(o)), append(entries, o.Seq)
		}
	}
	for _, r := range p.Call.Records {
		if k, ok := r.Entry.(entry.Check); ok && k.Check == "input_test" && k.Verdict == entry.Fail {
			failed, entries = append(failed, trace.JointKey{Reach: -1}), append(entries, r.Seq)
		}
	}
	return failed, entries
}

// standing parts the receivers of the path by how they stand now: names of
// those never read, and of those not read since the last repair on their way,
// and the readings behind
// those that fail and those that pass. What fails anywhere else on the path,
// or a receiver's own test, counts as failing.
func standing(p *call.Progress) (unread, again []string, failing, passing []int64) {
	for _, r := range p.Call.Path.Receivers() {
		s, ok := p.Behind(r)
		switch {
		case !ok:
			unread = append(unread, receiverName(p.Call.Path, r))
		case s.Stale:
			again = append(again, receiverName(p.Call.Path, r))
		case s.Verdict == entry.Pass:
			passing = append(passing, seqs(s.Now)...)
			if left := s.LeftWords(); left != "" {
				again = append(again, receiverName(p.Call.Path, r)+left)
			}
		default:
			failing = append(failing, seqs(s.Now)...)
		}
		if t, counts := p.InputTest(r); counts && t.Verdict == entry.Fail {
			failing = append(failing, t.Seq)
		}
	}
	for _, s := range p.Spans {
		failing = append(failing, seqs(s.Fail.Now)...)
	}
	return unread, again, failing, passing
}

// proofRead reports whether every receiver that failed was read again after
// the last repair on its way.
func proofRead(p *call.Progress) bool {
	for _, r := range p.ToProve() {
		if !p.Passes(r) {
			return false
		}
	}
	return true
}
