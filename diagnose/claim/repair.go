package claim

import (
	"math"
	"slices"

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
	Points   float64 // the meter's strength rose by there; 0 where it was not read twice
	NoSignal bool    // there was no signal before
	Text     string

	again int64   // a reading in the round of After that fails again; 0 for none
	ahead []int64 // the readings ahead of the part, where the loss across it shows it
	why   string  // why nothing is shown
	whyBy []int64 // the readings that say so

	without []int64 // the seqs of repairs that it passes without, and of what undid them
	rose    bool    // it passed before, and the level rose

	ownTest bool        // a receiver's own test shows it
	from    entry.Point // the other end of the stretch that lost too much
}

// isRepairAction reports whether an action changes the path of the signal: swaps
// and what is done to a receiver's plug tell something and mend nothing.
func isRepairAction(a entry.Action) bool {
	switch a.Action {
	case "swapped", "restored":
		return false
	case "reset", "plugged_in":
		return a.Feeds()
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
		if again := failsAgain(c, s); again > 0 {
			s = lasting(c, t, s, seen, again)
		}
		if s.Code != Proven && excessGone(c, t, r, &s) || s.Code == NotShown && ownTestPassed(p, r, &s) {
			s.Code, s.With = Proven, nil
		}
		if s.again = failsAgain(c, s); s.again > 0 {
			s.Code = Lapsed
		}
		needless := passesWithout(c, s)
		if needless {
			s.Code, s.With = NotShown, nil
		}
		few := tooFew(c, t, s)
		if few != "" {
			s.Code, s.With = NotShown, nil
		}
		if s.why, s.whyBy = risen(c, t, r, seen); s.why == "" || s.Code != NotShown {
			s.why, s.whyBy = whyNotShown(c, r, seen)
		} else {
			s.rose = true
		}
		switch {
		case few != "":
			s.why, s.rose, s.whyBy = few, false, []int64{s.Before, s.After}
		case needless:
			s.why, s.whyBy = "it passes "+path.AtPoint(s.Point)+" without it too", []int64{s.Before, s.After}
		case s.Code == NotShown && r.Action.Element == entry.Receiver && slices.ContainsFunc(p.Untested(), func(e int) bool { return slices.Contains(r.Elements, e) }):
			s.why = "the receiver's own test was not run since"
		case s.Code == NotShown && testStillFails(p, r):
			s.why = "the receiver still failed its own test after it"
		}
		out = append(out, s)
	}
	alone(out)
	for i := range out {
		out[i].Text = out[i].claim(c).Text
	}
	return out
}

// lasting is what a repair shows at the points that passed once more after
// another point beyond it failed again: there is another fault beyond them, and
// the repair holds. Without any it is what was shown.
func lasting(c trace.Call, t *level.Tables, shown Shown, seen []sides, again int64) Shown {
	s := Shown{Repair: shown.Repair, Code: NotShown, Gain: math.NaN()}
	for _, pr := range seen {
		passes := false
		for o := range readSince(c, pr.after, pr.after.Seq-1) {
			passes = o.Seq > again && trace.Counts(o.Reading, c.Settings) == entry.Pass
		}
		if passes {
			s.take(c, t, pr)
		}
	}
	if s.Code != Proven && s.Code != Together {
		return shown
	}
	return s
}

// alone takes out of what is proven together the repairs that it passes
// without: what is left of them is proven by itself.
func alone(all []Shown) {
	needless := func(seq int64) bool {
		return slices.ContainsFunc(all, func(s Shown) bool { return s.Repair.Seq == seq && s.Repair.Undone > 0 && s.Code == NotShown })
	}
	undone := func(seq int64) int64 {
		i := slices.IndexFunc(all, func(s Shown) bool { return s.Repair.Seq == seq })
		return all[i].Repair.Undone
	}
	for i := range all {
		s := &all[i]
		if s.Code != Together {
			continue
		}
		for _, seq := range s.With {
			if needless(seq) {
				s.without = append(s.without, seq, undone(seq))
			}
		}
		s.With = slices.DeleteFunc(slices.Clone(s.With), needless)
		if len(s.With) <= 1 {
			s.Code, s.With = Proven, nil
		}
	}
}

// Proves reports that a repair is why something passes now.
func (s Shown) Proves() bool {
	return (s.Code == Proven || s.Code == Together) && s.Repair.Undone == 0
}

// testStillFails reports whether a receiver that was worked on failed its own
// test after it.
func testStillFails(p *call.Progress, r trace.Repair) bool {
	return r.Action.Element == entry.Receiver && slices.ContainsFunc(r.Elements, func(e int) bool {
		t, tested := p.InputTest(e)
		return tested && t.Seq > r.Seq && t.Verdict == entry.Fail
	})
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
		if slices.ContainsFunc(p.Call.Repairs, between) || p.ElsewhereSince(receiver, before.Seq, after.Seq) {
			continue
		}
		s.Point, s.Before, s.After, s.ownTest = p.Call.Path.Point(receiver, entry.DishSide), before.Seq, after.Seq, true
		return true
	}
	return false
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
	points := 0.0
	if p.before.Reading.Strength.Said() && p.after.Reading.Strength.Said() {
		points = p.after.Reading.Strength.Float() - p.before.Reading.Strength.Float()
	}
	stronger := points > 2*math.Sqrt2*t.Meter.StrengthSD
	switch {
	case !slices.Contains(p.between, s.Repair.Seq): // it was not enough, and more was mended
	case was == entry.Fail && is == entry.Pass && len(p.between) > 1:
		code = Together
	case was == entry.Fail && is == entry.Pass:
		code = Proven
	case is == entry.Fail && (gain > 2*spread || stronger || p.before.Reading.NoSignal && p.after.Reading.Level.Said()):
		code = Helped
	}
	better := rank[code] > rank[s.Code] || rank[code] == rank[s.Code] &&
		(s.Before == 0 || code == Together && len(p.between) < len(s.With) || (code != Together || len(p.between) == len(s.With)) && gain > s.Gain)
	if !better {
		return
	}
	s.Code, s.Gain, s.With = code, gain, nil
	s.Point, s.Before, s.After = c.PointOf(p.after), p.before.Seq, p.after.Seq
	s.NoSignal, s.Points = p.before.Reading.NoSignal, 0
	if stronger {
		s.Points = points
	}
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
			meter := math.Sqrt2 * t.Meter.LevelSD // spread of the difference between the two losses
			if a1.Seq != a2.Seq {
				meter *= math.Sqrt2
			}
			if was > 2*sd && is <= 2*sd && was-is > 2*meter {
				s.Point, s.Before, s.After = c.PointOf(p.after), p.before.Seq, p.after.Seq
				s.Gain = was - is
				s.ahead, s.from = []int64{a1.Seq, a2.Seq}, c.PointOf(a1)
				return true
			}
		}
	}
	return false
}
