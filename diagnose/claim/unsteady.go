package claim

import (
	"fmt"
	"math"
	"slices"

	"downlead/diagnose/call"
	"downlead/diagnose/level"
	"downlead/diagnose/next"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// turn is two readings of one signal at one point, one after the other, that
// say the opposite with nothing mended on the way between.
type turn struct {
	before, after trace.Observation
	volts         bool // of the supply; else of the signal
	times         int  // how often the point was read since the last repair on its way
}

// turns lists the last such pair of every point, of those with no work on the
// way since.
func turns(c trace.Call) []turn {
	var out []turn
	for _, volts := range []bool{false, true} {
		said := func(o trace.Observation) (string, bool) {
			if volts {
				return fmt.Sprint(o.Reading.Volts.Float() >= noSupply), o.Reading.Volts.Said()
			}
			v := trace.Counts(o.Reading, c.Settings)
			return string(v), trace.Judges(o.Reading) && v != ""
		}
		for _, s := range c.Spots() {
			last, found := map[string]turn{}, turn{}
			for _, o := range s.Obs {
				word, ok := said(o)
				if !ok {
					continue
				}
				k := signalOf(o.Reading)
				t := turn{after: o, volts: volts, times: 1}
				if p, seen := last[k]; seen && !mendedBetween(c, o, p.after.Seq, o.Seq, volts) && !pluggedBetween(c, p.after.Seq, o.Seq) {
					t.before, t.times = p.after, p.times+1
					if was, _ := said(p.after); was != word {
						found = t
					}
				}
				last[k] = t
			}
			// Work on the way after both may have been what ended it.
			if found.times > 0 && !mendedBetween(c, found.after, found.after.Seq, math.MaxInt64, volts) {
				found.times = last[signalOf(found.after.Reading)].times
				out = append(out, found)
			}
		}
	}
	return out
}

// pluggedBetween reports whether a receiver was plugged in or started anew
// between two entries: its supply may have come only then.
func pluggedBetween(c trace.Call, after, before int64) bool {
	return slices.ContainsFunc(c.Records, func(r record.Record) bool {
		a, is := r.Entry.(entry.Action)
		return is && r.Seq > after && r.Seq < before && (a.Action == "plugged_in" || a.Action == "reset") && !a.Feeds()
	})
}

// jumps lists the last two readings of one signal at every point that pass both
// and yet differ by more than the meter may, with nothing mended on the way
// between or since.
func jumps(c trace.Call, t *level.Tables) []turn {
	var out []turn
	for _, s := range c.Spots() {
		last, found := map[string]trace.Observation{}, map[string]turn{}
		var order []string
		for _, o := range s.Obs {
			k := signalOf(o.Reading)
			if !trace.Judges(o.Reading) {
				continue
			}
			was, seen := last[k]
			last[k] = o
			delete(found, k)
			if !seen {
				order = append(order, k)
				continue
			}
			_, spreads := apart(was, o, t)
			passes := func(o trace.Observation) bool { return trace.Counts(o.Reading, c.Settings) == entry.Pass }
			if passes(was) && passes(o) && spreads > jumpSpreads && !mendedBetween(c, o, was.Seq, math.MaxInt64, false) {
				found[k] = turn{before: was, after: o}
			}
		}
		for _, k := range order {
			if f, ok := found[k]; ok {
				out = append(out, f)
			}
		}
	}
	return out
}

// farWords says the figures that two readings share.
func farWords(a, b entry.Reading) string {
	var parts []string
	if a.Level.Said() && b.Level.Said() {
		parts = append(parts, fmt.Sprintf("%s and %s dBm", a.Level, b.Level))
	}
	if a.Strength.Said() && b.Strength.Said() {
		parts = append(parts, fmt.Sprintf("strength %s and %s", a.Strength, b.Strength))
	}
	if a.MER.Said() && b.MER.Said() {
		parts = append(parts, fmt.Sprintf("MER %s and %s dB", a.MER, b.MER))
	}
	return path.List(parts, "and")
}

// jumpSpreads is how far two readings of one signal at one point differ to be
// worth a word, in spreads of their difference: one pair in 370 of good ones.
const jumpSpreads = 3

// rises reports the stretches at whose far end there is more than at the near
// one: nothing on the way amplifies.
func rises(c trace.Call, t *level.Tables) []trace.Finding {
	var out []trace.Finding
	for _, s := range level.Stretches(c, t) {
		if -s.Measured <= jumpSpreads*math.Sqrt2*t.Meter.LevelSD {
			continue
		}
		out = append(out, trace.Finding{
			Code: trace.FindingRises, Entries: []int64{s.From.Seq, s.To.Seq},
			Text: fmt.Sprintf("%.1f dB more %s than %s, and nothing between amplifies: one of the two readings is wrong, or they are of different transponders.",
				-s.Measured, path.AtPoint(c.PointOf(s.To)), path.AtPoint(c.PointOf(s.From))),
		})
	}
	return out
}

func unsteadyFindings(c trace.Call, tables *level.Tables) []trace.Finding {
	var out []trace.Finding
	for _, t := range jumps(c, tables) {
		out = append(out, trace.Finding{
			Code: trace.FindingApart, Entries: []int64{t.before.Seq, t.after.Seq},
			Text: fmt.Sprintf("%s: it passes both times, and the figures are too far apart (%s) with nothing mended between: it comes and goes, or one reading is wrong.",
				upper(path.PointWords(c.PointOf(t.after))), farWords(t.before.Reading, t.after.Reading)),
		})
	}
	for _, t := range turns(c) {
		was, is := readingWords(c, t.before), readingWords(c, t.after)
		if t.volts {
			was, is = t.before.Reading.Volts.String()+" V", t.after.Reading.Volts.String()+" V"
		}
		out = append(out, trace.Finding{
			Code: trace.FindingUnsteady, Entries: []int64{t.before.Seq, t.after.Seq},
			Text: fmt.Sprintf("%s: %s, then %s, with nothing mended between: it comes and goes, or one reading is wrong.",
				upper(path.PointWords(c.PointOf(t.after))), was, is),
		})
	}
	return out
}

// readAgain is the step where the last two readings of a point say the
// opposite: one more there tells which holds. Where it was told to come and go
// both may hold, and once the call has gone on nobody goes back for it.
func readAgain(p *call.Progress, d Diagnosis) *next.Next {
	if _, told := comesAndGoes(p.Call, d.tables); told {
		return nil
	}
	all := turns(p.Call)
	for _, t := range all {
		o := t.after
		alike := func(u turn) bool { // another point turned the same way: they bear each other out
			return p.Call.JointOf(u.after) != p.Call.JointOf(o) && u.volts == t.volts && trace.Counts(u.after.Reading, p.Call.Settings) == trace.Counts(o.Reading, p.Call.Settings)
		}
		elsewhere := func(e trace.Observation) bool { return e.Seq > o.Seq && p.Call.JointOf(e) != p.Call.JointOf(o) }
		checked := slices.ContainsFunc(p.Call.Records, func(r record.Record) bool { _, is := r.Entry.(entry.Check); return is && r.Seq > o.Seq })
		mended := slices.ContainsFunc(p.Call.Repairs, func(r trace.Repair) bool { return r.Seq > o.Seq })
		if t.times != 2 || checked || mended || borneOut(p.Call, o) || slices.ContainsFunc(all, alike) || t.volts && slices.ContainsFunc(p.Call.Observations, elsewhere) {
			continue
		}
		at := p.Call.PointOf(o)
		n := &next.Next{
			Act: next.ActRead, Read: []string{next.ReadLevel}, Code: next.WhyDisagree, Point: at, ID: p.Call.Path.Elements[o.Element].ID,
			Minutes: d.tables.Minutes.SamePlace + d.tables.Minutes.Measure, Why: "two readings disagree",
		}
		n.Text = "Read again " + path.AtPoint(at) + ": two readings disagree."
		if closeTogether(t.before, o, d.tables) {
			n.Why = "one reading passes and one fails, close to the limit"
			n.Text = "Read again " + path.AtPoint(at) + ": " + n.Why + "."
		}
		if t.volts {
			n.Read, n.Text = []string{next.ReadVolts}, "Read the volts again "+path.AtPoint(at)+": two readings disagree."
		}
		return n
	}
	return nil
}

// borneOut reports whether another point says the same as a reading: a pass
// further on bears out a pass, a fail ahead of it a fail.
func borneOut(c trace.Call, o trace.Observation) bool {
	verdict, reach := trace.Counts(o.Reading, c.Settings), c.Path.Reach(o.Element, o.Side)
	return slices.ContainsFunc(c.Spots(), func(s trace.Spot) bool {
		if s.Stale || s.Verdict != verdict || s.Reach == reach {
			return false
		}
		if verdict == entry.Pass {
			return c.Path.Above(reach, s.Reach)
		}
		return c.Path.Above(s.Reach, reach)
	})
}

// ungrounded reports that the ground block was taken out of the path and none
// put in its place.
func ungrounded(c trace.Call) []trace.Finding {
	is := func(e path.PathElement) bool { return e.Element == entry.GroundBlock }
	if slices.ContainsFunc(c.Path.Elements, func(e path.PathElement) bool { return is(e) && !e.Removed }) {
		return nil
	}
	for _, r := range slices.Backward(c.Repairs) {
		if r.Action.Element == entry.GroundBlock && slices.ContainsFunc(c.Path.Elements, is) {
			return []trace.Finding{{
				Code: trace.FindingUngrounded, Entries: []int64{r.Seq},
				Text: "The ground block is out of the path: the coax is not grounded there now. Put one back, or report it; the local code and a licensed electrician decide.",
			}}
		}
	}
	return nil
}
