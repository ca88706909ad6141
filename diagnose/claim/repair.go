package claim

import (
	"fmt"
	"math"
	"slices"

	"downlead/diagnose/level"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// Shown is what the readings show of a repair.
type Shown struct {
	Repair   trace.Repair
	Code     string      // Proven, Together, Helped or NotShown
	With     []int64     // the seqs of the repairs that are proven together with it
	Point    entry.Point // where it was shown
	Gain     float64     // dB the level rose there; NaN where it was not read twice
	Before   int64       // seqs of the readings that show it; 0 when none do
	After    int64
	NoSignal bool // there was no signal before
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

// repairs judges every repair: it is proven when a point on its receiver side
// failed before it and passes after it with no other repair between, or when
// the excess loss across it is gone; several without a reading between them
// are proven together; it helped when the level rose by more than two spreads
// and still fails.
func repairs(c trace.Call, t *level.Tables) []Shown {
	var out []Shown
	for _, r := range c.Repairs {
		if !isRepairAction(r.Action) {
			continue
		}
		s := Shown{Repair: r, Code: NotShown, Gain: math.NaN()}
		for _, pr := range bothSides(c, r) {
			s.take(c, t, pr)
		}
		if s.Code == NotShown && excessGone(c, t, r, &s) {
			s.Code = Proven
		}
		out = append(out, s)
	}
	return out
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
		slot, transponder int
		polarity          string
	}
	key := func(o trace.Observation) signal {
		return signal{c.JointOf(o), o.Reading.Slot, o.Reading.Transponder, o.Reading.Polarity}
	}
	last := map[signal]trace.Observation{}
	done := map[signal]bool{}
	var out []sides
	for _, o := range c.Observations {
		if !trace.Judges(o.Reading) || !beyond(c, r, o) {
			continue
		}
		k := key(o)
		if o.Seq < r.Seq {
			last[k] = o
			if whole := (signal{JointKey: k.JointKey}); k != whole {
				if old, ok := last[whole]; !ok || trace.Counts(old.Reading, c.Settings) == entry.Pass {
					last[whole] = o
				}
			}
			continue
		}
		before, ok := last[k]
		if !ok {
			before, ok = last[signal{JointKey: k.JointKey}]
		}
		if !ok || done[k] {
			continue
		}
		done[k] = true
		s := sides{before: before, after: o}
		for _, q := range c.Repairs {
			if isRepairAction(q.Action) && q.Seq > before.Seq && q.Seq < o.Seq && beyond(c, q, o) {
				s.between = append(s.between, q.Seq)
			}
		}
		out = append(out, s)
	}
	return out
}

// beyond reports whether a repair is on the way from the dish to a reading.
func beyond(c trace.Call, r trace.Repair, o trace.Observation) bool {
	reach := c.Path.Reach(o.Element, o.Side)
	return slices.ContainsFunc(r.Elements, func(e int) bool { return c.Path.Above(e, reach) })
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
	case was == entry.Fail && is == entry.Pass && len(p.between) > 1:
		code = Together
	case was == entry.Fail && is == entry.Pass:
		code = Proven
	case is == entry.Fail && (gain > 2*spread || p.before.Reading.NoSignal && p.after.Reading.Level.Said()):
		code = Helped
	}
	better := rank[code] > rank[s.Code] || rank[code] == rank[s.Code] && (s.Before == 0 || gain > s.Gain)
	if !better {
		return
	}
	s.Code, s.Gain, s.With = code, gain, nil
	s.Point, s.Before, s.After = c.PointOf(p.after), p.before.Seq, p.after.Seq
	s.NoSignal = p.before.Reading.NoSignal
	if code == Together {
		s.With = p.between
	}
}

// excessGone reports whether the stretch across a repaired part lost too much
// before the repair and does not after it.
func excessGone(c trace.Call, t *level.Tables, r trace.Repair, s *Shown) bool {
	for _, p := range bothSides(c, r) {
		if !p.before.Reading.Level.Said() || !p.after.Reading.Level.Said() || len(p.between) != 1 {
			continue
		}
		from, ok := readAhead(c, r, p.before)
		if !ok {
			continue
		}
		mean, sd := level.SegmentLoss(c, t, from, p.before)
		ahead := from.Reading.Level.Float()
		was, is := ahead-p.before.Reading.Level.Float()-mean, ahead-p.after.Reading.Level.Float()-mean
		if was > 2*sd && is <= 2*sd {
			s.Point, s.Before, s.After = c.PointOf(p.after), p.before.Seq, p.after.Seq
			s.Gain = p.after.Reading.Level.Float() - p.before.Reading.Level.Float()
			return true
		}
	}
	return false
}

// readAhead returns the last level read on the dish side of a repair, on the
// way to a reading, with no repair on its own way after it.
func readAhead(c trace.Call, r trace.Repair, o trace.Observation) (trace.Observation, bool) {
	reach := c.Path.Reach(o.Element, o.Side)
	for i := len(c.Observations) - 1; i >= 0; i-- {
		a := c.Observations[i]
		at := c.Path.Reach(a.Element, a.Side)
		same := a.Reading.Slot == o.Reading.Slot && a.Reading.Transponder == o.Reading.Transponder && a.Reading.Polarity == o.Reading.Polarity
		if a.Reading.Level.Said() && same && at != reach && c.Path.Above(at, reach) && !beyond(c, r, a) && a.Round == c.Round(at) {
			return a, true
		}
	}
	return trace.Observation{}, false
}

// claim words what is shown of a repair.
func (s Shown) claim(c trace.Call) Claim {
	k := Claim{Code: s.Code, Subject: job, Entries: []int64{s.Repair.Seq}}
	if len(s.Repair.Elements) == 1 {
		k.Subject = c.Path.Elements[s.Repair.Elements[0]].ID
	}
	did := s.Repair.Action
	if len(c.Path.Find(entry.Point{Element: did.Element})) <= 1 {
		did.Number = 0 // the only one needs no number
	}
	what := upper(entry.Say(did))
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
		k.Entries = append([]int64{s.Before}, append(k.Entries, s.After)...)
	}
	switch s.Code {
	case Proven:
		k.Text = fmt.Sprintf("%s: proven, it failed %s before and passes after%s.", what, where, gain)
		if !failedBefore(c, s.Before) {
			k.Text = fmt.Sprintf("%s: proven, the loss ahead of the point %s is gone%s.", what, path.PointWords(s.Point), gain)
		}
	case Together:
		k.Entries = append(k.Entries, s.With...)
		k.Text = fmt.Sprintf("%s: proven together with the repairs beside it, nothing was read between them; it failed %s before and passes after%s.", what, where, gain)
	case Helped:
		k.Text = fmt.Sprintf("%s: it helped and was not all, it still failed %s after it%s.", what, where, gain)
	default:
		k.Text = what + ": not shown to have helped."
	}
	slices.Sort(k.Entries)
	k.Entries = slices.Compact(k.Entries)
	return k
}

func failedBefore(c trace.Call, seq int64) bool {
	i := slices.IndexFunc(c.Observations, func(o trace.Observation) bool { return o.Seq == seq })
	return i >= 0 && trace.Counts(c.Observations[i].Reading, c.Settings) == entry.Fail
}

// Pair is a point before and after the repairs on its way.
type Pair struct {
	Joint  trace.JointKey
	Signal string // slot, transponder and polarity that the readings name
	Before *trace.Observation
	After  *trace.Observation // nil: not read again
	Worked bool               // there was a repair on its way
}

// pairs makes for every signal at every joint the last reading ahead of the
// first repair on its way, and the last one behind the last. Repairs on other
// branches change neither.
func pairs(c trace.Call) []Pair {
	var out []Pair
	at := map[string]int{}
	for i := range c.Observations {
		o := &c.Observations[i]
		if !trace.Judges(o.Reading) && !o.Reading.Volts.Said() {
			continue
		}
		j := c.JointOf(*o)
		signal := signalOf(o.Reading)
		k := fmt.Sprint(j, signal)
		n, seen := at[k]
		if !seen {
			n = len(out)
			at[k] = n
			out = append(out, Pair{Joint: j, Signal: signal})
		}
		first, last := int64(math.MaxInt64), int64(0)
		for _, r := range c.Repairs {
			if isRepairAction(r.Action) && beyond(c, r, *o) {
				first, last = min(first, r.Seq), max(last, r.Seq)
			}
		}
		p := &out[n]
		p.Worked = last > 0
		switch {
		case last == 0 || o.Seq < first:
			p.Before = o
		case o.Seq > last:
			p.After = o
		}
	}
	return out
}

func signalOf(r entry.Reading) string {
	if r.Slot == 0 && r.Transponder == 0 && r.Polarity == "" {
		return ""
	}
	return fmt.Sprintf("%d/%d/%s", r.Slot, r.Transponder, r.Polarity)
}

// pairClaims says of every point read on both sides of the work how it changed.
func pairClaims(c trace.Call, all []Pair) []Claim {
	var out []Claim
	for _, p := range all {
		if p.Before == nil || !p.Worked || !trace.Judges(p.Before.Reading) {
			continue
		}
		id := c.Path.Elements[p.Before.Element].ID
		point := path.PointWords(c.PointOf(*p.Before))
		if p.After == nil {
			out = append(out, Claim{Code: NotReadAgain, Subject: id, Entries: []int64{p.Before.Seq}, Text: upper(point) + ": not read again after the repair."})
			continue
		}
		k := Claim{Code: Improved, Subject: id, Entries: []int64{p.Before.Seq, p.After.Seq}}
		k.Text = fmt.Sprintf("%s: %s before, %s after.", upper(point), readingWords(c, *p.Before), readingWords(c, *p.After))
		if p.Before.Reading.Level.Said() && p.After.Reading.Level.Said() {
			k.Figures = map[string]float64{"before_dbm": p.Before.Reading.Level.Float(), "after_dbm": p.After.Reading.Level.Float()}
		}
		out = append(out, k)
	}
	return out
}

func readingWords(c trace.Call, o trace.Observation) string {
	word := map[entry.Verdict]string{entry.Pass: "pass", entry.Fail: "fail"}[trace.Counts(o.Reading, c.Settings)]
	if o.Reading.Level.Said() {
		return fmt.Sprintf("%s, %s dBm", word, o.Reading.Level)
	}
	return word
}
