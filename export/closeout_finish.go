package export

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"time"

	"downlead/diagnose"
	"downlead/diagnose/visit"
	"downlead/grammar"
)

// ImprovedDB is the least rise across a repair that is called an improvement
// while the point still fails: a doubling of power, 10*log10(2) = 3.01 dB.
const ImprovedDB = 3

// finish computes what needs all records to be there.
func (b *builder) finish(d diagnose.Diagnosis) {
	c := &b.c
	slices.SortStableFunc(c.Times, func(x, y TimeMark) int { return x.At.Compare(y.At) })
	for _, f := range d.Findings {
		c.Findings = append(c.Findings, Finding{Code: f.Code, Text: f.Text, Entries: f.Entries})
	}
	for _, k := range d.Brackets {
		c.Brackets = append(c.Brackets, k.Text)
	}
	b.points(d)
	for i, a := range c.Actions {
		c.Causes = append(c.Causes, b.cause(i, a))
	}
	c.Outcome = b.outcome(d)
	b.reportedAt()
	b.open(d)
	c.Complete = len(c.Open) == 0 && c.Closed != nil
	c.Durations = b.durations()
}

// cause looks at every point read on both sides of the repair, with no other
// repair between, and keeps the best that it shows.
func (b *builder) cause(n int, a Action) Cause {
	c := Cause{Action: a.Entry, Element: a.Element, Text: a.Text, State: Unproven}
	rank := map[CauseState]int{Unproven: 0, NoChange: 1, Improved: 2, Proven: 3}
	last := lastReadings{}
	for _, r := range b.c.Readings {
		if r.ActionsBefore == n {
			last.take(r)
			continue
		}
		before, ok := last.like(r)
		if r.ActionsBefore != n+1 || !ok {
			continue
		}
		gain := minus(r.Level, before.Level)
		state := NoChange
		switch {
		case before.Verdict == grammar.Fail && r.Verdict == grammar.Pass:
			state = Proven
		case gain.Micro() >= ImprovedDB*micro, before.NoSignal && !r.NoSignal:
			state = Improved
		}
		if rank[state] > rank[c.State] || state == c.State && gain.Micro() > c.Gain.Micro() {
			c.State, c.Point, c.Gain = state, r.Name, gain
			c.Before, c.After = before.Entry, r.Entry
		}
	}
	return c
}

// lastReadings are the last readings before a repair. Under a key without
// slot, transponder and polarity stands the worst of those at the point.
type lastReadings map[sameThing]Reading

func (l lastReadings) take(r Reading) {
	k := keyOf(r)
	l[k] = r
	if k.what == "" {
		return
	}
	old, ok := l[k.place()]
	if !ok || keyOf(old) == k || worse(r, old) {
		l[k.place()] = r
	}
}

// like returns the reading that r is compared with: of the same slot,
// transponder and polarity, or, where only one of the two named any, at the
// same point.
func (l lastReadings) like(r Reading) (Reading, bool) {
	k := keyOf(r)
	if before, ok := l[k]; ok {
		return before, true
	}
	before, ok := l[k.place()]
	return before, ok && keyOf(before).what == ""
}

// outcome applies the definition that stands at Outcome.
func (b *builder) outcome(d diagnose.Diagnosis) Outcome {
	c := b.c
	failed := false
	for _, r := range c.Readings {
		failed = failed || r.Verdict == grammar.Fail
	}
	for _, k := range c.Checks {
		if k.Check == "input_test" {
			failed = failed || k.Verdict == grammar.Fail
		}
	}
	switch {
	case len(c.Readings) == 0 && slices.ContainsFunc(c.Times, func(t TimeMark) bool { return t.Mark == "no_access" }):
		return NoAccess
	case c.Closed == nil:
		return StillOpen
	case !failed && len(c.Readings) > 0:
		return NoFault
	case b.proven(d):
		return Fixed
	}
	return NotFixed
}

// proven reports whether every receiver that was read passes now, by a
// reading newer than the last repair on its way, and no input test fails.
func (b *builder) proven(d diagnose.Diagnosis) bool {
	for _, k := range b.c.Checks {
		if k.Check == "input_test" && k.Current && k.Verdict == grammar.Fail {
			return false
		}
	}
	read := 0
	for _, p := range d.Points {
		if p.Point.Element == grammar.Receiver && p.Point.Side != grammar.ReceiverSide {
			read++
			if p.Stale || p.Verdict != grammar.Pass {
				return false
			}
		}
	}
	if read > 0 {
		return true
	}
	latest := b.behindReceivers() // no diagnosis placed them
	for _, r := range latest {
		if r.Verdict != grammar.Pass {
			return false
		}
	}
	return len(latest) > 0
}

// behindReceivers returns the last reading of everything measured behind a receiver.
func (b *builder) behindReceivers() map[sameThing]Reading {
	latest := map[sameThing]Reading{}
	for _, r := range b.c.Readings {
		if r.Point.Element == grammar.Receiver && r.Point.Side != grammar.ReceiverSide {
			latest[keyOf(r)] = r
		}
	}
	return latest
}

// reportedAt dates the spoken clock time of the fault report: the last such
// time at or before the job's first record.
func (b *builder) reportedAt() {
	first := b.c.Opened
	if first == nil && len(b.c.Times) > 0 {
		first = &b.c.Times[0].At
	}
	if b.reported == "" || first == nil {
		return
	}
	clock, err := time.Parse("15:04", b.reported)
	if err != nil {
		return
	}
	y, m, d := first.Date()
	at := time.Date(y, m, d, clock.Hour(), clock.Minute(), 0, 0, first.Location())
	if at.After(*first) {
		at = time.Date(y, m, d-1, clock.Hour(), clock.Minute(), 0, 0, first.Location())
	}
	b.c.Site.ReportedAt = &at
}

// open lists what is missing, with the reason given at closing.
func (b *builder) open(d diagnose.Diagnosis) {
	c := &b.c
	if c.Closed == nil {
		c.Open = append(c.Open, OpenItem{What: "job_open", Detail: "the job has not been closed"})
	}
	for _, m := range d.Missing {
		c.Open = append(c.Open, OpenItem{What: m.Step, Detail: m.Detail, Why: b.reason})
	}
	for _, x := range d.Contradictions {
		c.Open = append(c.Open, OpenItem{What: "contradiction", Detail: x.Text, Why: b.reason})
	}
	if c.Counts.Unconfirmed > 0 {
		c.Open = append(c.Open, OpenItem{
			What: "unconfirmed", Why: b.reason,
			Detail: fmt.Sprintf("%d heard but not confirmed: entries %s", c.Counts.Unconfirmed, b.unconfirmed()),
		})
	}
}

func (b *builder) unconfirmed() string {
	var seqs []string
	for _, u := range b.c.Unparsed {
		if strings.HasPrefix(u.Reason, "heard but not confirmed") {
			seqs = append(seqs, fmt.Sprint(u.Entry))
		}
	}
	return strings.Join(seqs, ", ")
}

// durations derives the named intervals.
func (b *builder) durations() Durations {
	none := Durations{Travel: -1, OnSite: -1, Breaks: -1, ReportToClear: -1, ArriveToClear: -1, ActiveRepair: -1}
	visits := visit.Of(b.c.Job, b.marks)
	seconds := func(d time.Duration, ok bool) int64 {
		if !ok {
			return -1
		}
		return int64(d / time.Second)
	}
	d := none
	d.Travel, d.OnSite = seconds(visit.Total(visits, visit.Travel)), seconds(visit.OnSite(visits))
	if len(b.c.Times) > 0 {
		d.Breaks = max(0, seconds(visit.Total(visits, visit.Break)))
	}
	if b.c.Outcome != Fixed {
		return d
	}
	proof := b.proofAt()
	since := func(from *time.Time) int64 {
		if from == nil || proof.Before(*from) {
			return -1
		}
		return int64(proof.Sub(*from) / time.Second)
	}
	d.ReportToClear = since(b.c.Site.ReportedAt)
	if at, ok := visit.First(visits, "arrived"); ok {
		d.ArriveToClear = since(&at)
	}
	first := b.c.Readings[0].At
	if d.ActiveRepair = since(&first); d.ActiveRepair >= 0 {
		d.ActiveRepair -= int64(visit.Within(visits, visit.Break, first, proof) / time.Second)
	}
	return d
}

// proofAt is when the last receiver that had failed was first seen to pass
// for good; where none was seen to fail, when one first passed after the last
// repair.
func (b *builder) proofAt() time.Time {
	var proof, other time.Time
	failed := map[sameThing]bool{}
	since := map[sameThing]time.Time{}
	failing := map[sameThing]map[string]Reading{} // by place, what still fails there
	for _, r := range b.c.Readings {
		k := keyOf(r)
		at := k.place()
		if failing[at] == nil {
			failing[at] = map[string]Reading{}
		}
		switch old, general := failing[at][""]; {
		case r.Verdict != grammar.Pass:
			failed[at] = true
			failing[at][k.what] = r
		case k.what == "":
			clear(failing[at])
		case general && old.ActionsBefore < r.ActionsBefore:
			delete(failing[at], "")
			fallthrough
		default:
			delete(failing[at], k.what)
		}
		if len(failing[at]) > 0 {
			delete(since, at)
		} else if _, ok := since[at]; !ok {
			since[at] = r.At
		}
	}
	for k, r := range b.behindReceivers() {
		k = k.place()
		at := since[k]
		if failed[k] && at.After(proof) {
			proof = at
		}
		if r.ActionsBefore == len(b.c.Actions) && (other.IsZero() || at.Before(other)) {
			other = at
		}
	}
	if proof.IsZero() {
		return other
	}
	return proof
}

// fill makes every list of the closeout an empty list where it is nil, so
// that a reader of the JSON never meets null for a list.
func (c *Closeout) fill() { fillLists(reflect.ValueOf(c).Elem()) }

func fillLists(v reflect.Value) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Field(i); f.CanSet() {
				fillLists(f)
			}
		}
	case reflect.Slice:
		if v.IsNil() {
			v.Set(reflect.MakeSlice(v.Type(), 0, 0))
		}
		for i := range v.Len() {
			fillLists(v.Index(i))
		}
	case reflect.Pointer:
		if !v.IsNil() {
			fillLists(v.Elem())
		}
	}
}
