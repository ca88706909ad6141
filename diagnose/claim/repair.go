package claim

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"downlead/diagnose/call"
	"downlead/diagnose/level"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// Shown is what the readings show of a repair.
type Shown struct {
	Repair   trace.Repair
	Code     string      // Proven, Together, Helped, Lapsed or NotShown
	With     []int64     // the seqs of the repairs that are proven together with it
	Point    entry.Point // where it was shown
	Gain     float64     // dB the level rose there; NaN where it was not read twice
	Before   int64       // seqs of the readings that show it; 0 when none do
	After    int64
	NoSignal bool // there was no signal before
	Text     string

	again int64   // a reading in the round of After that fails again; 0 for none
	ahead []int64 // the readings ahead of the part, where the loss across it shows it
	why   string  // why nothing is shown
	rose  bool    // it passed before, and the level rose

	ownTest bool        // a receiver's own test shows it
	from    entry.Point // the other end of the stretch that lost too much
}

// isRepair reports whether an action changes the path of the signal: swaps and
// what is done to a receiver's plug tell something and mend nothing.
func isRepairAction(a entry.Action) bool {
	switch a.Action {
	case "swapped", "reset", "plugged_in", "restored":
		return false
	}
	return true
}

// mends is isRepairAction of a repair on the path; an exchange with a part
// that is not of this path brought another part in, and is one.
func mends(r trace.Repair) bool {
	return isRepairAction(r.Action) || r.Action.Action == "swapped" && len(r.Elements) == 1
}

// repairs judges every repair: it is proven when a point on its receiver side
// failed before it and passes after it with no other repair between, or when
// the excess loss across it is gone; several without a reading between them
// are proven together; it helped when the level rose by more than two spreads
// and still fails. A receiver's own test is a point beyond everything.
func repairs(p *call.Progress, t *level.Tables) []Shown {
	var out []Shown
	c := p.Call
	for _, r := range c.Repairs {
		if !mends(r) {
			continue
		}
		s := Shown{Repair: r, Code: NotShown, Gain: math.NaN()}
		seen := bothSides(c, r)
		for _, pr := range seen {
			s.take(c, t, pr)
		}
		if s.Code != Proven && excessGone(c, t, r, &s) || s.Code == NotShown && ownTestPassed(p, r, &s) {
			s.Code, s.With = Proven, nil
		}
		if s.again = failsAgain(c, s); s.again > 0 {
			s.Code = Lapsed
		}
		if passesWithout(c, s) {
			s.Code, s.With = NotShown, nil
		}
		if s.why = risen(c, t, r, seen); s.why == "" || s.Code != NotShown {
			s.why = whyNotShown(c, r, seen)
		} else {
			s.rose = true
		}
		switch {
		case s.Code == NotShown && passesWithout(c, s):
			s.why = "it passes " + path.AtPoint(s.Point) + " without it too"
		case s.Code == NotShown && r.Action.Element == entry.Receiver && slices.ContainsFunc(p.Untested(), func(e int) bool { return slices.Contains(r.Elements, e) }):
			s.why = "the receiver's own test was not run since"
		case s.Code == NotShown && testStillFails(p, r):
			s.why = "the receiver still failed its own test after it"
		}
		s.Text = s.claim(c).Text
		out = append(out, s)
	}
	return out
}

// proves reports that a repair is why something passes now.
func (s Shown) proves() bool {
	return (s.Code == Proven || s.Code == Together) && s.Repair.Undone == 0
}

// failsAgain returns the last reading of the point where a repair was shown,
// where that fails with nothing mended on its way since; 0 otherwise.
func failsAgain(c trace.Call, s Shown) int64 {
	if s.Code != Proven && s.Code != Together || s.ownTest {
		return 0
	}
	i := slices.IndexFunc(c.Observations, func(o trace.Observation) bool { return o.Seq == s.After })
	if i < 0 {
		return 0
	}
	after, last := c.Observations[i], int64(0)
	for _, o := range c.Observations[i+1:] {
		if c.JointOf(o) != c.JointOf(after) || !trace.Judges(o.Reading) || signalOf(o.Reading) != signalOf(after.Reading) || workedOn(c, after, o, false) {
			continue
		}
		last = 0
		if trace.Counts(o.Reading, c.Settings) == entry.Fail {
			last = o.Seq
		}
	}
	return last
}

// passesWithout reports whether the point where a repair showed passes after
// the repair was undone too, with nothing else mended on the way since.
func passesWithout(c trace.Call, s Shown) bool {
	i := slices.IndexFunc(c.Observations, func(o trace.Observation) bool { return o.Seq == s.After })
	if s.Repair.Undone == 0 || i < 0 {
		return false
	}
	out := false
	for _, o := range c.Observations[i:] {
		other := func(r trace.Repair) bool {
			return r.Seq > s.Repair.Seq && r.Seq != s.Repair.Undone && r.Seq < o.Seq && beyond(c, r, o)
		}
		if o.Seq > s.Repair.Undone && c.JointOf(o) == c.JointOf(c.Observations[i]) && trace.Judges(o.Reading) && !slices.ContainsFunc(c.Repairs, other) {
			out = trace.Counts(o.Reading, c.Settings) == entry.Pass
		}
	}
	return out
}

// testStillFails reports whether a receiver that was worked on failed its own
// test after it.
func testStillFails(p *call.Progress, r trace.Repair) bool {
	return r.Action.Element == entry.Receiver && slices.ContainsFunc(r.Elements, func(e int) bool {
		t, tested := p.InputTest(e)
		return tested && t.Seq > r.Seq && t.Verdict == entry.Fail
	})
}

// whyNotShown says what the readings lack, or say, that a repair is not shown
// to have helped.
func whyNotShown(c trace.Call, r trace.Repair, seen []sides) string {
	before, after := false, false
	for _, o := range c.Observations {
		if trace.Judges(o.Reading) && beyond(c, r, o) {
			before, after = before || o.Seq < r.Seq, after || o.Seq > r.Seq
		}
	}
	switch {
	case !before && !after:
		return "nothing beyond it was read"
	case !before:
		return "nothing beyond it was read before"
	case !after:
		return "nothing beyond it was read since"
	case len(seen) == 0:
		return "no point was read both before and after"
	}
	for _, pr := range seen {
		if i := failedAfter(c, r, pr.after); i >= 0 {
			return "it still failed " + path.AtPoint(c.PointOf(c.Observations[i])) + " after it"
		}
	}
	worst := seen[0]
	for _, pr := range seen {
		if trace.Counts(pr.after.Reading, c.Settings) == entry.Fail {
			worst = pr
		}
	}
	where := path.AtPoint(c.PointOf(worst.after))
	if trace.Counts(worst.after.Reading, c.Settings) == entry.Fail {
		return "it still failed " + where + " after it"
	}
	return "it passed " + where + " before it already"
}

// risen words a level that rose by more than two spreads where it passed
// before already; "" where it did not.
func risen(c trace.Call, t *level.Tables, r trace.Repair, seen []sides) string {
	for _, p := range seen {
		b, a := p.before.Reading.Level, p.after.Reading.Level
		if b.Said() && a.Said() && len(p.between) == 1 && p.between[0] == r.Seq && trace.Counts(p.after.Reading, c.Settings) == entry.Pass && a.Float()-b.Float() > 2*math.Sqrt2*t.Meter.LevelSD {
			return fmt.Sprintf("it passed %s before it already, and the level there rose by %.1f dB", path.AtPoint(c.PointOf(p.after)), a.Float()-b.Float())
		}
	}
	return ""
}

// ownTestPassed reports whether a receiver beyond a repair failed its own test
// before it and passes it after, with no other repair on the way between.
func ownTestPassed(p *call.Progress, r trace.Repair, s *Shown) bool {
	for _, receiver := range p.Call.Path.Receivers() {
		on := func(q trace.Repair) bool {
			return p.Call.OnWay(q, trace.JointKey{Reach: receiver})
		}
		if !on(r) {
			continue
		}
		var before, after *call.Checked
		for _, k := range p.InputTests(receiver) {
			switch {
			case k.Seq < r.Seq:
				before = &k
			case after == nil:
				after = &k
			}
		}
		if before == nil || after == nil || before.Verdict != entry.Fail || after.Verdict != entry.Pass {
			continue
		}
		between := func(q trace.Repair) bool {
			return mends(q) && q.Seq != r.Seq && q.Seq > before.Seq && q.Seq < after.Seq && on(q)
		}
		if slices.ContainsFunc(p.Call.Repairs, between) {
			continue
		}
		s.Point, s.Before, s.After, s.ownTest = p.Call.Path.Point(receiver, entry.DishSide), before.Seq, after.Seq, true
		return true
	}
	return false
}

// sides are two readings of one signal at one joint, one before a repair and
// the next one after it, and every repair on their way between the two.
type sides struct {
	before, after trace.Observation
	between       []int64
}

// bothSides lists, for every signal at every joint beyond a repair, its last
// reading before the repair and its first one after it.
func bothSides(c trace.Call, r trace.Repair) []sides {
	type signal struct {
		trace.JointKey
		of string
	}
	last := map[signal]trace.Observation{}
	done := map[signal]bool{}
	var out []sides
	for _, o := range c.Observations {
		if !trace.Judges(o.Reading) || !beyond(c, r, o) {
			continue
		}
		k := signal{c.JointOf(o), signalOf(o.Reading)}
		if o.Seq < r.Seq {
			last[k] = o
			continue
		}
		before, ok := last[k]
		for q, was := range last { // of one that names more or less, a fail before a pass, then the later
			a, b := trace.Counts(was.Reading, c.Settings) == entry.Fail, trace.Counts(before.Reading, c.Settings) == entry.Fail
			better := before.Seq == 0 || a && !b || a == b && was.Seq > before.Seq
			if _, exact := last[k]; !exact && q.JointKey == k.JointKey && alike(was.Reading, o.Reading) && better {
				before, ok = was, true
			}
		}
		if !ok || done[k] {
			continue
		}
		done[k] = true
		s := sides{before: before, after: o}
		for _, q := range c.Repairs {
			if mends(q) && q.Seq > before.Seq && q.Seq < o.Seq && beyond(c, q, o) && failedAfter(c, q, o) < 0 {
				s.between = append(s.between, q.Seq)
			}
		}
		out = append(out, s)
	}
	return out
}

// alike reports whether two readings may be of one signal: they name no
// two slots, transponders or polarities that differ.
func alike(a, b entry.Reading) bool {
	differ := func(x, y int) bool { return x > 0 && y > 0 && x != y }
	return !differ(a.Slot, b.Slot) && !differ(a.Transponder, b.Transponder) && (a.Polarity == "" || b.Polarity == "" || a.Polarity == b.Polarity)
}

// failedAfter is the observation that shows that a repair was not enough for a
// reading: after it a point on the way there still failed, and more was mended
// before the reading. -1 for none.
func failedAfter(c trace.Call, r trace.Repair, o trace.Observation) int {
	reach := c.Path.Reach(o.Element, o.Side)
	return slices.IndexFunc(c.Observations, func(f trace.Observation) bool {
		more := func(q trace.Repair) bool {
			return mends(q) && q.Seq > f.Seq && q.Seq < o.Seq && beyond(c, q, f)
		}
		return f.Seq > r.Seq && f.Seq < o.Seq && trace.Judges(f.Reading) && trace.Counts(f.Reading, c.Settings) == entry.Fail && beyond(c, r, f) &&
			c.Path.Above(c.Path.Reach(f.Element, f.Side), reach) && slices.ContainsFunc(c.Repairs, more)
	})
}

// beyond reports whether a repair is on the way from the dish to a reading.
func beyond(c trace.Call, r trace.Repair, o trace.Observation) bool {
	return c.OnWay(r, c.JointOf(o))
}

var rank = map[string]int{NotShown: 0, Helped: 1, Together: 2, Proven: 3}

// take weighs one pair of readings.
func (s *Shown) take(c trace.Call, t *level.Tables, p sides) {
	code, gain := NotShown, math.NaN()
	was, is := trace.Counts(p.before.Reading, c.Settings), trace.Counts(p.after.Reading, c.Settings)
	if p.before.Reading.Level.Said() && p.after.Reading.Level.Said() {
		gain = p.after.Reading.Level.Float() - p.before.Reading.Level.Float()
	}
	spread := math.Sqrt2 * t.Meter.LevelSD // of the difference of two readings
	switch {
	case is == entry.Pass && !slices.Contains(p.between, s.Repair.Seq): // it was not enough, and more was mended
	case was == entry.Fail && is == entry.Pass && len(p.between) > 1:
		code = Together
	case was == entry.Fail && is == entry.Pass:
		code = Proven
	case is == entry.Fail && (gain > 2*spread || p.before.Reading.NoSignal && p.after.Reading.Level.Said()):
		code = Helped
	}
	better := rank[code] > rank[s.Code] || rank[code] == rank[s.Code] &&
		(s.Before == 0 || code == Together && len(p.between) < len(s.With) || (code != Together || len(p.between) == len(s.With)) && gain > s.Gain)
	if !better {
		return
	}
	s.Code, s.Gain, s.With = code, gain, nil
	s.Point, s.Before, s.After = c.PointOf(p.after), p.before.Seq, p.after.Seq
	s.NoSignal = p.before.Reading.NoSignal
	if code == Together || code == Helped && len(p.between) > 1 {
		s.With = p.between
	}
}

// excessGone reports whether the stretch across a repaired part lost too much
// before the repair and does not after it, with no other repair in the stretch
// between.
func excessGone(c trace.Call, t *level.Tables, r trace.Repair, s *Shown) bool {
	for _, p := range bothSides(c, r) {
		if !p.before.Reading.Level.Said() || !p.after.Reading.Level.Said() {
			continue
		}
		for _, a1 := range c.Observations {
			a2, ok := aheadAgain(c, r, a1, p)
			if !ok || !sameWork(c, r, a1, p) {
				continue
			}
			mean, sd := level.SegmentLoss(c, t, a1, p.before)
			was := a1.Reading.Level.Float() - p.before.Reading.Level.Float() - mean
			is := a2.Reading.Level.Float() - p.after.Reading.Level.Float() - mean
			if was > 2*sd && is <= 2*sd {
				s.Point, s.Before, s.After = c.PointOf(p.after), p.before.Seq, p.after.Seq
				s.Gain = was - is
				s.ahead, s.from = []int64{a1.Seq, a2.Seq}, c.PointOf(a1)
				return true
			}
		}
	}
	return false
}

// aheadAgain returns the level ahead of a repair that goes with the reading
// after it, where a1 goes with the one before it: both at one joint on the
// way, of the same signal, with no repair on their own way since.
func aheadAgain(c trace.Call, r trace.Repair, a1 trace.Observation, p sides) (trace.Observation, bool) {
	steady := func(a, o trace.Observation) bool {
		lo, hi := min(a.Seq, o.Seq), max(a.Seq, o.Seq)
		return !slices.ContainsFunc(c.Repairs, func(q trace.Repair) bool { return q.Seq > lo && q.Seq < hi && beyond(c, q, a) })
	}
	at, reach := c.Path.Reach(a1.Element, a1.Side), c.Path.Reach(p.before.Element, p.before.Side)
	if !a1.Reading.Level.Said() || signalOf(a1.Reading) != signalOf(p.before.Reading) || at == reach ||
		!c.Path.Above(at, reach) || beyond(c, r, a1) || !steady(a1, p.before) {
		return a1, false
	}
	for i := len(c.Observations) - 1; i >= 0; i-- {
		a2 := c.Observations[i]
		if a2.Reading.Level.Said() && c.JointOf(a2) == c.JointOf(a1) && signalOf(a2.Reading) == signalOf(a1.Reading) && steady(a2, p.after) {
			return a2, true
		}
	}
	return a1, false
}

// sameWork reports that between the two readings nothing else was repaired in
// the stretch from a reading ahead to them.
func sameWork(c trace.Call, r trace.Repair, ahead trace.Observation, p sides) bool {
	return !slices.ContainsFunc(c.Repairs, func(q trace.Repair) bool {
		return mends(q) && q.Seq != r.Seq && q.Seq > p.before.Seq && q.Seq < p.after.Seq && beyond(c, q, p.before) && !beyond(c, q, ahead)
	})
}

// claim words what is shown of a repair.
func (s Shown) claim(c trace.Call) Claim {
	k := Claim{Code: s.Code, Subject: job, Entries: []int64{s.Repair.Seq}}
	if len(s.Repair.Elements) == 1 {
		k.Subject = c.Path.Elements[s.Repair.Elements[0]].ID
	}
	what := upper(didWords(c, s.Repair.Action))
	if s.Repair.Undone > 0 {
		what += ", undone since"
		k.Entries = append(k.Entries, s.Repair.Undone)
	}
	where := path.AtPoint(s.Point)
	gain := ""
	if !math.IsNaN(s.Gain) {
		k.Figures = map[string]float64{"gain_db": trace.Hundredths(s.Gain)}
		gain = fmt.Sprintf(", %.1f dB gained", s.Gain)
		if s.Gain < 0 {
			gain = fmt.Sprintf(", %.1f dB lost", -s.Gain)
		}
	}
	if s.Before > 0 {
		k.Entries = append(k.Entries, s.Before, s.After)
		k.Entries = append(k.Entries, s.ahead...)
	}
	switch {
	case s.Code == Lapsed:
		k.Entries = append(append(k.Entries, s.With...), s.again)
		k.Text = fmt.Sprintf("%s: it passed %s after it, and failed there again with nothing mended between: it did not last, or there is another fault.", what, where)
	case s.Code == Proven && s.ownTest:
		k.Text = fmt.Sprintf("%s: proven, the receiver failed its own test before and passes it after.", what)
	case s.Code == Proven && len(s.ahead) > 0:
		k.Text = fmt.Sprintf("%s: proven, %.1f dB of loss %s is gone.", what, s.Gain, stretchWords(s.from, s.Point))
	case s.Code == Proven:
		k.Text = fmt.Sprintf("%s: proven, it failed %s before and passes after%s.", what, where, gain)
	case s.Code == Together:
		k.Entries = append(k.Entries, s.With...)
		k.Text = fmt.Sprintf("%s: proven together with %s, nothing was read between; it failed %s before and passes after%s.", what, path.List(s.others(c), "and"), where, gain)
	case s.Code == Helped && len(s.With) > 1:
		k.Entries = append(k.Entries, s.With...)
		k.Text = fmt.Sprintf("%s: together with %s it helped and was not all, nothing was read between; it still failed %s after it%s.", what, path.List(s.others(c), "and"), where, gain)
	case s.Code == Helped:
		k.Text = fmt.Sprintf("%s: it helped and was not all, it still failed %s after it%s.", what, where, gain)
	default:
		k.Figures = nil
		k.Text = what + ": not shown to have helped: " + s.why + "."
		if s.rose {
			k.Text = what + ": " + s.why + "."
		}
	}
	slices.Sort(k.Entries)
	k.Entries = slices.Compact(k.Entries)
	return k
}

// others names the repairs that are proven together with this one.
func (s Shown) others(c trace.Call) []string {
	var out []string
	for _, r := range c.Repairs {
		if r.Seq != s.Repair.Seq && slices.Contains(s.With, r.Seq) {
			out = append(out, "\""+didWords(c, r.Action)+"\"")
		}
	}
	return out
}

// didWords says what was done; the only part of its kind needs no number.
func didWords(c trace.Call, a entry.Action) string {
	if len(c.Path.Find(entry.Point{Element: a.Element})) <= 1 {
		a.Number = 0
	}
	return strings.NewReplacer("re terminated", "re-terminated", "re aimed", "re-aimed", "L N B", "LNB").Replace(entry.Say(a))
}
