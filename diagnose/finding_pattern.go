package diagnose

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"downlead/grammar"
)

// patterns names what the readings of several signals at one point mean.
func (c Call) patterns(s spot, t *Tables) []Finding {
	var out []Finding
	type pattern func(Call, spot, *Tables) (Finding, bool)
	for _, find := range []pattern{Call.tiltFinding, Call.polarityFinding, Call.slotFinding, Call.aimFinding, Call.qualityFinding} {
		if f, ok := find(c, s, t); ok {
			out = append(out, f)
		}
	}
	return out
}

// tiltFinding compares the lowest and the highest transponder at a point with
// what a healthy path gives there.
func (c Call) tiltFinding(s spot, t *Tables) (Finding, bool) {
	var obs []Observation
	for _, o := range s.now {
		if o.Reading.Level.Said() && o.Reading.Transponder > 0 {
			obs = append(obs, o)
		}
	}
	if len(obs) < 2 {
		return Finding{}, false
	}
	slices.SortStableFunc(obs, func(a, b Observation) int { return cmp.Compare(a.Reading.Transponder, b.Reading.Transponder) })
	low, high := obs[0], obs[len(obs)-1]
	if low.Reading.Transponder == high.Reading.Transponder {
		return Finding{}, false
	}
	rest := func(o Observation) float64 {
		mean, _ := ExpectedLevel(c, t, o)
		return o.Reading.Level.Float() - mean
	}
	slope := rest(high) - rest(low)
	if math.Abs(slope) <= 2*twoReadings(t) {
		return Finding{}, false
	}
	f := Finding{Entries: []int64{low.Seq, high.Seq}}
	where := atPoint(c.point(s))
	if slope < 0 {
		f.Code = FindingTilt
		f.Text = fmt.Sprintf("The loss rises with frequency %s: transponder %d is %.1f dB weaker against transponder %d than it should be. Look for water in the cable, a crushed run, a poor fitting or a barrel not rated for the band.",
			where, high.Reading.Transponder, -slope, low.Reading.Transponder)
		return f, true
	}
	f.Code = FindingLowEnd
	f.Text = fmt.Sprintf("The low transponders are the weak ones %s, by %.1f dB. Look for a centre conductor that does not touch: the high end jumps the gap.", where, slope)
	return f, true
}

// twoReadings is the spread of the difference of two levels at one point, dB.
func twoReadings(t *Tables) float64 {
	return math.Sqrt2 * math.Hypot(t.Meter.LevelSD, t.Source.TransponderSD)
}

// polarityOf is the polarisation a reading is about: as said, else from its
// transponder (odd and even are on opposite ones, ITU RR Appendix 30, from memory).
func polarityOf(r grammar.Reading) string {
	switch {
	case r.Polarity != "" || r.Transponder == 0:
		return r.Polarity
	case r.Transponder%2 == 1:
		return "odd"
	}
	return "even"
}

// polarityFinding finds one polarisation failing while the other passes.
func (c Call) polarityFinding(s spot, _ *Tables) (Finding, bool) {
	good, bad := c.divide(s, func(r grammar.Reading) string { return polarityOf(r) })
	if len(good) != 1 || len(bad) != 1 {
		return Finding{}, false
	}
	b := bad[0]
	return Finding{
		Code: FindingPolarity, Entries: entriesOf(good, bad),
		Text: fmt.Sprintf("Only the %s transponders fail %s. One polarisation is lost: look at the LNB, at the supply voltage that switches it, and at a multiswitch or a part that blocks the supply; plain loss in the coax would take both.", b.key, atPoint(c.point(s))),
	}, true
}

// slotFinding finds some slots failing while others pass.
func (c Call) slotFinding(s spot, _ *Tables) (Finding, bool) {
	good, bad := c.divide(s, func(r grammar.Reading) string {
		if r.Slot == 0 {
			return ""
		}
		return fmt.Sprint(r.Slot)
	})
	if len(good) == 0 || len(bad) == 0 {
		return Finding{}, false
	}
	var names []string
	for _, b := range bad {
		names = append(names, b.key)
	}
	return Finding{
		Code: FindingSlot, Entries: entriesOf(good, bad),
		Text: fmt.Sprintf("Only slot %s fails %s, on coax that the others share. Look at the aim and the skew, at what stands in the way of that slot, at its LNB and at the multiswitch.", list(names, "and"), atPoint(c.point(s))),
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
func (c Call) divide(s spot, key func(grammar.Reading) string) (good, bad []group) {
	var all []group
	for _, o := range s.now {
		k, v := key(o.Reading), verdictOf(o.Reading, c.Settings)
		if k == "" || v == "" {
			continue
		}
		i := slices.IndexFunc(all, func(g group) bool { return g.key == k })
		if i < 0 {
			all = append(all, group{key: k})
			i = len(all) - 1
		}
		all[i].entries = append(all[i].entries, o.Seq)
		all[i].failed = all[i].failed || v == grammar.Fail
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
func (c Call) aimFinding(s spot, t *Tables) (Finding, bool) {
	for _, o := range s.now {
		limit := c.Settings.limit(o.Reading.Slot)
		if limit <= 0 || !o.Reading.Strength.Said() || !o.Reading.Level.Said() || o.Reading.Strength.Float() >= limit {
			continue
		}
		mean, sd := ExpectedLevel(c, t, o)
		dBm := o.Reading.Level.Float()
		if dBm < c.Settings.FloorDBm || dBm < mean-sd {
			continue
		}
		return Finding{
			Code: FindingAim, Entries: []int64{o.Seq},
			Text: fmt.Sprintf("Strength %s is below %s %s though the level of %s dBm is as it should be. Look at the aim, at trees in the way and for interference; loss in the coax would lower both.",
				o.Reading.Strength, trim(limit), atPoint(c.point(s)), o.Reading.Level),
		}, true
	}
	return Finding{}, false
}

// qualityFinding finds an error ratio too low for the signal.
func (c Call) qualityFinding(s spot, t *Tables) (Finding, bool) {
	for _, o := range s.now {
		if margin, ok := QualityMargin(t, o.Reading); ok && margin < 0 {
			return Finding{
				Code: FindingQuality, Entries: []int64{o.Seq},
				Text: fmt.Sprintf("The error ratio of %s dB %s is %.1f dB short of what the signal needs.", o.Reading.MER, atPoint(c.point(s)), -margin),
			}, true
		}
	}
	return Finding{}, false
}
