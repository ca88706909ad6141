package claim

import (
	"math"
	"slices"

	"downlead/diagnose/level"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// cameAndWent reports whether what a repair was to mend came and went before
// it: somebody told so, or a point beyond it failed and then passed with nothing
// mended between. One pass after the repair then shows nothing.
func cameAndWent(c trace.Call, t *level.Tables, r trace.Repair) bool {
	atTimes := func(s trace.Symptom) bool { // rain also takes what is steady and weak
		return s.Symptom == "intermittent" || s.Symptom == "dropouts" || s.When != "" && s.When != "rain"
	}
	if slices.ContainsFunc(c.Symptoms, atTimes) {
		return true
	}
	for _, s := range c.Spots() {
		last := map[string]trace.Observation{}
		for _, o := range s.Obs {
			if o.Seq > r.Seq || !trace.Judges(o.Reading) || !beyond(c, r, o) {
				continue
			}
			k := signalOf(o.Reading)
			was, read := last[k]
			last[k] = o
			went := read && trace.Counts(was.Reading, c.Settings) == entry.Fail && trace.Counts(o.Reading, c.Settings) == entry.Pass
			if went && !mendedBetween(c, o, was.Seq, o.Seq, false) && !pluggedBetween(c, was.Seq, o.Seq) && !closeTogether(was, o, t) {
				return true
			}
		}
	}
	return false
}

// closeTogether reports whether all figures that two readings share differ by
// no more than the meter may: a pass and a fail close to the limit.
func closeTogether(a, b trace.Observation, t *level.Tables) bool {
	n, spreads := apart(a, b, t)
	return n > 0 && spreads <= 2
}

// apart counts the figures that two readings share, and says how far the one
// that differs most does, in spreads of a difference.
func apart(a, b trace.Observation, t *level.Tables) (n int, spreads float64) {
	x, y := a.Reading, b.Reading
	for _, q := range []struct {
		a, b entry.Decimal
		sd   float64
	}{
		{x.Level, y.Level, t.Meter.LevelSD}, {x.Strength, y.Strength, t.Meter.StrengthSD}, {x.MER, y.MER, t.Meter.MERSD},
	} {
		if q.a.Said() && q.b.Said() {
			n++
			spreads = max(spreads, math.Abs(q.a.Float()-q.b.Float())/(math.Sqrt2*q.sd))
		}
	}
	return n, spreads
}

// passesSince counts the passes beyond a repair since it, or since the last
// fail there: each is an occasion on which a fault could have shown.
func passesSince(c trace.Call, r trace.Repair) int {
	n := 0
	for _, o := range c.Observations {
		if o.Seq < r.Seq || !trace.Judges(o.Reading) || !beyond(c, r, o) {
			continue
		}
		n++
		if trace.Counts(o.Reading, c.Settings) == entry.Fail {
			n = 0
		}
	}
	return n
}

// tooFew says why the passes after a repair show nothing yet, where it came
// and went before; "" where there are enough of them.
func tooFew(c trace.Call, t *level.Tables, s Shown) string {
	if s.Code != Proven && s.Code != Together || s.ownTest || !cameAndWent(c, t, s.Repair) {
		return ""
	}
	n := passesSince(c, s.Repair)
	if n == 0 || n >= stressReadings {
		return ""
	}
	return "it came and went before, and was read only " + timesWords(n) + " since"
}

func timesWords(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return path.Numeral(n) + " times"
}
