package claim

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"downlead/diagnose/level"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// whyNotShown says what the readings lack, or say, that a repair is not shown
// to have helped, and lists the readings that say so.
func whyNotShown(c trace.Call, r trace.Repair, seen []sides) (why string, by []int64) {
	before, after := false, false
	for _, o := range c.Observations {
		if trace.Judges(o.Reading) && beyond(c, r, o) {
			before, after = before || o.Seq < r.Seq, after || o.Seq > r.Seq
		}
	}
	switch {
	case !before && !after:
		return "nothing beyond it was read", nil
	case !before:
		return "nothing beyond it was read before", nil
	case !after:
		return "nothing beyond it was read since", nil
	case len(seen) == 0:
		return "no point was read both before and after", nil
	}
	fails := func(o trace.Observation) bool { return trace.Counts(o.Reading, c.Settings) == entry.Fail }
	failed := func(before, after trace.Observation) (string, []int64) { // by what was read there before
		where := path.AtPoint(c.PointOf(after))
		switch {
		case c.JointOf(before) != c.JointOf(after):
			return "it still failed " + where + " after it", []int64{after.Seq}
		case !fails(before):
			return "it passed " + where + " before it, and failed after it", []int64{before.Seq, after.Seq}
		}
		return "it still failed " + where + " after it", []int64{before.Seq, after.Seq}
	}
	for _, pr := range seen {
		if i := failedAfter(c, r, pr.after); i >= 0 {
			return failed(pr.before, c.Observations[i])
		}
	}
	for _, pr := range slices.Backward(seen) {
		if fails(pr.after) {
			return failed(pr.before, pr.after)
		}
	}
	return "it passed " + path.AtPoint(c.PointOf(seen[0].after)) + " before it already", []int64{seen[0].before.Seq, seen[0].after.Seq}
}

// risen words a level, or else a strength, that rose by more than two spreads
// where it passed before already; "" where neither did.
func risen(c trace.Call, t *level.Tables, r trace.Repair, seen []sides) (why string, by []int64) {
	for _, p := range seen {
		if len(p.between) != 1 || p.between[0] != r.Seq || trace.Counts(p.after.Reading, c.Settings) != entry.Pass {
			continue
		}
		b, a := p.before.Reading, p.after.Reading
		passed := "it passed " + path.AtPoint(c.PointOf(p.after)) + " before it already, and "
		by = []int64{p.before.Seq, p.after.Seq}
		if rose := a.Level.Float() - b.Level.Float(); b.Level.Said() && a.Level.Said() && rose > 2*math.Sqrt2*t.Meter.LevelSD {
			return fmt.Sprintf("%sthe level there rose by %.1f dB", passed, rose), by
		}
		if rose := a.Strength.Float() - b.Strength.Float(); b.Strength.Said() && a.Strength.Said() && rose > 2*math.Sqrt2*t.Meter.StrengthSD {
			return fmt.Sprintf("%sthe strength there rose by %.0f", passed, rose), by
		}
	}
	return "", nil
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
	if s.Points > 0 {
		gain += fmt.Sprintf(", strength %.0f more", s.Points)
	}
	if s.Code == NotShown {
		k.Entries = append(k.Entries, s.whyBy...)
	} else if s.Before > 0 {
		k.Entries = append(k.Entries, s.Before, s.After)
		k.Entries = append(append(k.Entries, s.ahead...), s.without...)
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
