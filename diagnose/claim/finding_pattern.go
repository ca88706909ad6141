package claim

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"downlead/diagnose/level"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// patterns names what the readings of several signals at one point mean.
func patterns(c trace.Call, s trace.Spot, t *level.Tables) []trace.Finding {
	var out []trace.Finding
	type pattern func(trace.Call, trace.Spot, *level.Tables) (trace.Finding, bool)
	for _, find := range []pattern{tiltFinding, polarityFinding, slotFinding, aimFinding, qualityFinding} {
		if f, ok := find(c, s, t); ok {
			out = append(out, f)
		}
	}
	return out
}

// tiltFinding compares the lowest and the highest transponder at a point with
// what a healthy path gives there.
func tiltFinding(c trace.Call, s trace.Spot, t *level.Tables) (trace.Finding, bool) {
	var obs []trace.Observation
	for _, o := range s.Now {
		if o.Reading.Level.Said() && o.Reading.Transponder > 0 {
			obs = append(obs, o)
		}
	}
	if len(obs) < 2 {
		return trace.Finding{}, false
	}
	slices.SortStableFunc(obs, func(a, b trace.Observation) int { return cmp.Compare(a.Reading.Transponder, b.Reading.Transponder) })
	low, high := obs[0], obs[len(obs)-1]
	if low.Reading.Transponder == high.Reading.Transponder {
		return trace.Finding{}, false
	}
	rest := func(o trace.Observation) float64 {
		mean, _ := level.ExpectedLevel(c, t, o)
		return o.Reading.Level.Float() - mean
	}
	slope := rest(high) - rest(low)
	if math.Abs(slope) <= 2*twoReadings(t) {
		return trace.Finding{}, false
	}
	f := trace.Finding{Entries: []int64{low.Seq, high.Seq}}
	where := path.AtPoint(c.PointOfSpot(s))
	if slope < 0 {
		f.Code = trace.FindingTilt
		f.Text = fmt.Sprintf("The loss rises with frequency %s: transponder %d is %.1f dB weaker against transponder %d than it should be. Look for water in the cable, a crushed run, a poor fitting or a barrel not rated for the band.",
			where, high.Reading.Transponder, -slope, low.Reading.Transponder)
		return f, true
	}
	f.Code = trace.FindingLowEnd
	f.Text = fmt.Sprintf("The low transponders are the weak ones %s, by %.1f dB. Look for a centre conductor that does not touch: the high end jumps the gap.", where, slope)
	return f, true
}

// twoReadings is the spread of the difference of two levels at one point, dB.
func twoReadings(t *level.Tables) float64 {
	return math.Sqrt2 * math.Hypot(t.Meter.LevelSD, t.Source.TransponderSD)
}

// polarityOf is the polarisation a reading is about: as said, else from its
// transponder (odd and even are on opposite ones, ITU RR Appendix 30, from memory).
func polarityOf(r entry.Reading) string {
	switch {
	case r.Polarity != "" || r.Transponder == 0:
		return r.Polarity
	case r.Transponder%2 == 1:
		return "odd"
	}
	return "even"
}

// polarityFinding finds one polarisation failing while the other passes.
func polarityFinding(c trace.Call, s trace.Spot, _ *level.Tables) (trace.Finding, bool) {
	good, bad := divide(c, s, func(r entry.Reading) string { return polarityOf(r) })
	if len(good) != 1 || len(bad) != 1 {
		return trace.Finding{}, false
	}
	b := bad[0]
	return trace.Finding{
		Code: trace.FindingPolarity, Entries: entriesOf(good, bad),
		Text: fmt.Sprintf("Only the %s transponders fail %s. One polarisation is lost: look at the LNB, at the supply voltage that switches it, and at a multiswitch or a part that blocks the supply; plain loss in the coax would take both.", b.key, path.AtPoint(c.PointOfSpot(s))),
	}, true
}

// slotFinding finds some slots failing while others pass.
func slotFinding(c trace.Call, s trace.Spot, _ *level.Tables) (trace.Finding, bool) {
	good, bad := divide(c, s, func(r entry.Reading) string {
		if r.Slot == 0 {
			return ""
		}
		return fmt.Sprint(r.Slot)
	})
	if len(good) == 0 || len(bad) == 0 {
		return trace.Finding{}, false
	}
	var names []string
	for _, b := range bad {
		names = append(names, b.key)
	}
	return trace.Finding{
		Code: trace.FindingSlot, Entries: entriesOf(good, bad),
		Text: fmt.Sprintf("Only slot %s fails %s, on coax that the others share. Look at the aim and the skew, at what stands in the way of that slot, at its LNB and at the multiswitch.", path.List(names, "and"), path.AtPoint(c.PointOfSpot(s))),
	}, true
}

// group is the readings of one kind at a point.
type group struct {
	key     string
	entries []int64
	failed  bool
}

// divide sorts the judged readings of a spot by a key into groups that pass
// and groups with a fail.
func divide(c trace.Call, s trace.Spot, key func(entry.Reading) string) (good, bad []group) {
	var all []group
	for _, o := range s.Now {
		k, v := key(o.Reading), trace.Counts(o.Reading, c.Settings)
		if k == "" || v == "" {
			continue
		}
		i := slices.IndexFunc(all, func(g group) bool { return g.key == k })
		if i < 0 {
			all = append(all, group{key: k})
			i = len(all) - 1
		}
		all[i].entries = append(all[i].entries, o.Seq)
		all[i].failed = all[i].failed || v == entry.Fail
	}
	for _, g := range all {
		if g.failed {
			bad = append(bad, g)
		} else {
			good = append(good, g)
		}
	}
	return good, bad
}

func entriesOf(sets ...[]group) []int64 {
	var out []int64
	for _, s := range sets {
		for _, g := range s {
			out = append(out, g.entries...)
		}
	}
	slices.Sort(out)
	return out
}

// aimFinding finds a strength below its limit at a level that is as it should
// be: a cable takes both, a dish that looks past its slot the strength alone.
func aimFinding(c trace.Call, s trace.Spot, t *level.Tables) (trace.Finding, bool) {
	for _, o := range s.Now {
		limit := c.Settings.Limit(o.Reading.Slot)
		if limit <= 0 || !o.Reading.Strength.Said() || !o.Reading.Level.Said() || o.Reading.Strength.Float() >= limit {
			continue
		}
		mean, sd := level.ExpectedLevel(c, t, o)
		dBm := o.Reading.Level.Float()
		if dBm < c.Settings.FloorDBm || dBm < mean-sd {
			continue
		}
		return trace.Finding{
			Code: trace.FindingAim, Entries: []int64{o.Seq},
			Text: fmt.Sprintf("Strength %s is below %s %s though the level of %s dBm is as it should be. Look at the aim, at trees in the way and for interference; loss in the coax would lower both.",
				o.Reading.Strength, path.Trim(limit), path.AtPoint(c.PointOfSpot(s)), o.Reading.Level),
		}, true
	}
	return trace.Finding{}, false
}

// qualityFinding finds an error ratio too low for the signal.
func qualityFinding(c trace.Call, s trace.Spot, t *level.Tables) (trace.Finding, bool) {
	for _, o := range s.Now {
		if margin, ok := level.QualityMargin(t, o.Reading); ok && margin < 0 {
			return trace.Finding{
				Code: trace.FindingQuality, Entries: []int64{o.Seq},
				Text: fmt.Sprintf("The error ratio of %s dB %s is %.1f dB short of what the signal needs.", o.Reading.MER, path.AtPoint(c.PointOfSpot(s)), -margin),
			}, true
		}
	}
	return trace.Finding{}, false
}
