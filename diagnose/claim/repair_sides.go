package claim

import (
	"iter"
	"slices"

	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

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

// mendedBetween reports whether anything was done on the way to a reading
// between two entries, other than the repairs named; for the supply, anywhere
// on the line.
func mendedBetween(c trace.Call, o trace.Observation, after, before int64, volts bool, but ...int64) bool {
	return slices.ContainsFunc(c.Repairs, func(r trace.Repair) bool {
		return r.Seq > after && r.Seq < before && !slices.Contains(but, r.Seq) && (beyond(c, r, o) || volts && feeds(c, r, o))
	})
}

// readSince yields the readings that judge at the joint of one, after an entry,
// with nothing mended on their way since that entry but the repairs named.
func readSince(c trace.Call, at trace.Observation, since int64, but ...int64) iter.Seq[trace.Observation] {
	return func(yield func(trace.Observation) bool) {
		for _, o := range c.Observations {
			if o.Seq > since && c.JointOf(o) == c.JointOf(at) && trace.Judges(o.Reading) && !mendedBetween(c, o, since, o.Seq, false, but...) && !yield(o) {
				return
			}
		}
	}
}

// failsAgain returns the last reading of the point where a repair was shown,
// where that fails with nothing mended on its way since; 0 otherwise.
func failsAgain(c trace.Call, s Shown) int64 {
	after, ok := reading(c, s.After)
	if s.Code != Proven && s.Code != Together || s.ownTest || !ok {
		return 0
	}
	last := int64(0)
	for o := range readSince(c, after, after.Seq) {
		if signalOf(o.Reading) != signalOf(after.Reading) {
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
// the repair was undone too, with nothing else mended on the way since but what
// showed together with it.
func passesWithout(c trace.Call, s Shown) bool {
	after, ok := reading(c, s.After)
	if s.Repair.Undone == 0 || !ok {
		return false
	}
	out := false
	for o := range readSince(c, after, s.Repair.Seq, append(slices.Clone(s.With), s.Repair.Undone)...) {
		if o.Seq > s.Repair.Undone && o.Seq >= after.Seq {
			out = trace.Counts(o.Reading, c.Settings) == entry.Pass
		}
	}
	return out
}

// reading finds an observation by its seq.
func reading(c trace.Call, seq int64) (trace.Observation, bool) {
	i := slices.IndexFunc(c.Observations, func(o trace.Observation) bool { return o.Seq == seq })
	if i < 0 {
		return trace.Observation{}, false
	}
	return c.Observations[i], true
}
