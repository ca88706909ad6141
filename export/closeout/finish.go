package closeout

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"time"

	"downlead/diagnose/claim"
	"downlead/diagnose/visit"
	"downlead/grammar/entry"
)

// finish computes what needs all records to be there.
func (b *Builder) finish(d claim.Diagnosis) {
	c := &b.C
	slices.SortStableFunc(c.Times, func(x, y TimeMark) int { return x.At.Compare(y.At) })
	for _, f := range d.Findings {
		c.Findings = append(c.Findings, Finding{Code: f.Code, Text: f.Text, Entries: f.Entries})
	}
	c.Brackets = d.Where()
	b.points(d)
	for _, a := range c.Actions {
		if slices.ContainsFunc(d.Repairs, func(s claim.Shown) bool { return s.Repair.Seq == a.Entry }) {
			c.Causes = append(c.Causes, b.cause(a, d))
		}
	}
	c.Claims = d.Claims
	c.Outcome = Outcome(d.Outcome.Code)
	b.reportedAt()
	b.open(d)
	c.Complete = len(c.Open) == 0 && c.Closed != nil
	c.Durations = b.durations()
}

// causeStates are the states of a cause by what is claimed of the repair.
var causeStates = map[string]CauseState{claim.Proven: Proven, claim.Together: Proven, claim.Helped: Improved, claim.Lapsed: Improved}

// cause says of a repair what the readings show of it.
func (b *Builder) cause(a Action, d claim.Diagnosis) Cause {
	c := Cause{Action: a.Entry, Element: a.Element, Text: a.Text, State: Unproven}
	for _, s := range d.Repairs {
		if s.Repair.Seq != a.Entry {
			continue
		}
		c.Claim = s.Text
		switch state, ok := causeStates[s.Code]; {
		case ok:
			c.State = state
		case s.Before > 0:
			c.State = NoChange
		}
		if s.Before > 0 {
			c.Point, c.Before, c.After = b.names.Point(s.Point, ""), s.Before, s.After
			c.Gain = minus(b.level(s.After), b.level(s.Before))
		}
	}
	return c
}

// level returns the level of a reading by its seq.
func (b *Builder) level(seq int64) entry.Decimal {
	for _, r := range b.C.Readings {
		if r.Entry == seq {
			return r.Level
		}
	}
	return entry.Decimal{}
}

// behindReceivers returns the last reading of everything measured behind a receiver.
func (b *Builder) behindReceivers() map[sameThing]Reading {
	latest := map[sameThing]Reading{}
	for _, r := range b.C.Readings {
		if r.Point.Element == entry.Receiver && r.Point.Side != entry.ReceiverSide {
			latest[keyOf(r)] = r
		}
	}
	return latest
}

// reportedAt dates the spoken clock time of the fault report: the last such
// time at or before the job's first record.
func (b *Builder) reportedAt() {
	first := b.C.Opened
	if first == nil && len(b.C.Times) > 0 {
		first = &b.C.Times[0].At
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
	b.C.Site.ReportedAt = &at
}

// open lists what is missing, with the reason given at closing.
func (b *Builder) open(d claim.Diagnosis) {
	c := &b.C
	if c.Closed == nil {
		c.Open = append(c.Open, OpenItem{What: "job_open", Detail: "the job has not been closed"})
	}
	for _, m := range d.Missing {
		c.Open = append(c.Open, OpenItem{What: m.Step, Detail: m.Detail, Why: c.Reason})
	}
	for _, x := range d.Contradictions {
		c.Open = append(c.Open, OpenItem{What: "contradiction", Detail: x.Text, Why: c.Reason})
	}
	if c.Counts.Unconfirmed > 0 {
		c.Open = append(c.Open, OpenItem{
			What: "unconfirmed", Why: c.Reason,
			Detail: fmt.Sprintf("%d heard but not confirmed: entries %s", c.Counts.Unconfirmed, b.unconfirmed()),
		})
	}
}

func (b *Builder) unconfirmed() string {
	var seqs []string
	for _, u := range b.C.Unparsed {
		if strings.HasPrefix(u.Reason, "heard but not confirmed") {
			seqs = append(seqs, fmt.Sprint(u.Entry))
		}
	}
	return strings.Join(seqs, ", ")
}

// durations derives the named intervals.
func (b *Builder) durations() Durations {
	none := Durations{Travel: -1, OnSite: -1, Breaks: -1, ReportToClear: -1, ArriveToClear: -1, ActiveRepair: -1}
	visits := visit.Of(b.C.Job, b.marks)
	seconds := func(d time.Duration, ok bool) int64 {
		if !ok {
			return -1
		}
		return int64(d / time.Second)
	}
	d := none
	d.Travel, d.OnSite = seconds(visit.Total(visits, visit.Travel)), seconds(visit.OnSite(visits))
	if len(b.C.Times) > 0 {
		d.Breaks = max(0, seconds(visit.Total(visits, visit.Break)))
	}
	if !b.C.Outcome.Mended() || len(b.C.Readings) == 0 {
		return d
	}
	proof := b.proofAt()
	since := func(from *time.Time) int64 {
		if from == nil || proof.Before(*from) {
			return -1
		}
		return int64(proof.Sub(*from) / time.Second)
	}
	d.ReportToClear = since(b.C.Site.ReportedAt)
	if at, ok := visit.First(visits, "arrived"); ok {
		d.ArriveToClear = since(&at)
	}
	first := b.C.Readings[0].At
	if d.ActiveRepair = since(&first); d.ActiveRepair >= 0 {
		d.ActiveRepair -= int64(visit.Within(visits, visit.Break, first, proof) / time.Second)
	}
	return d
}

// proofAt is when the last receiver that had failed was first seen to pass
// for good; where none was seen to fail, when one first passed after the last
// repair.
func (b *Builder) proofAt() time.Time {
	var proof, other time.Time
	failed := map[sameThing]bool{}
	since := map[sameThing]time.Time{}
	failing := map[sameThing]map[string]Reading{} // by place, what still fails there
	for _, r := range b.C.Readings {
		k := keyOf(r)
		at := k.place()
		if failing[at] == nil {
			failing[at] = map[string]Reading{}
		}
		switch old, general := failing[at][""]; {
		case r.Verdict != entry.Pass:
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
		if r.ActionsBefore == len(b.C.Actions) && (other.IsZero() || at.Before(other)) {
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
