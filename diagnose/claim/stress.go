package claim

import (
	"fmt"
	"slices"
	"strings"

	"downlead/diagnose/call"
	"downlead/diagnose/level"
	"downlead/diagnose/next"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// stressReadings is how often a receiver that passes is read before a fault
// that comes and goes counts as one that could not be made to fail: as found,
// while its fittings are moved, and under the customer's conditions. Our choice.
const stressReadings = 3

// comesAndGoes returns the last symptom told of that a passing reading does
// not answer: one that makes a fault likelier which shows only at times.
func comesAndGoes(c trace.Call, t *level.Tables) (trace.Symptom, bool) {
	for i := len(c.Symptoms) - 1; i >= 0; i-- {
		s := c.Symptoms[i]
		if s.When != "" || t.Symptom[s.Symptom].Of("", level.ModeIntermittent) > 1 {
			return s, true
		}
	}
	return trace.Symptom{}, false
}

// stress is the step that provokes a fault which comes and goes, where what
// was noticed is told, or it came and went before a repair, and everything read
// passes. It ends when the receiver was read often enough, or when the call has
// gone on past it.
func stress(p *call.Progress, t *level.Tables) *next.Next {
	s, ok := comesAndGoes(p.Call, t)
	last := trace.Repair{} // the last repair, if any
	if n := len(p.Call.Repairs); n > 0 {
		last = p.Call.Repairs[n-1]
		ok = mends(last) && cameAndWent(p.Call, t, last)
	}
	if !ok {
		return nil
	}
	r := p.Subject()
	if len(s.Receivers) > 0 && !slices.Contains(s.Receivers, r) {
		r = s.Receivers[0]
	}
	if last.Seq > 0 && !p.Call.OnWay(last, trace.JointKey{Reach: r}) {
		return nil
	}
	_, tested := p.Checks["outlet"]
	if r < 0 || !p.Passes(r) || tested || len(p.InputTests(r)) > 0 {
		return nil
	}
	times, why := occasions(p.Call, r, last)
	if times >= stressReadings {
		return nil
	}
	at := p.Call.Path.Point(r, entry.DishSide)
	n := &next.Next{
		Act: next.ActRead, Read: []string{next.ReadLevel}, Code: next.WhyStress, Point: at, ID: p.Call.Path.Elements[r].ID,
		Minutes: t.Minutes.SamePlace + t.Minutes.Measure, Why: why,
	}
	if times == 1 {
		n.Read = append(n.Read, next.ReadWiggle)
		n.Text = fmt.Sprintf("Next: read %s again while moving each fitting by hand: %s.", path.AtPoint(at), why)
		return n
	}
	if len(p.Call.Settings.ThresholdFor) > 1 || slotsRead(p.Call) > 1 {
		n.Read = append(n.Read, next.ReadSlots)
	}
	n.Text = fmt.Sprintf("Next: read %s once more %s%s: that is when it was noticed.", path.AtPoint(at), slotWords(n.Read), conditionWords(s.When))
	if s.When == "" {
		n.Text = fmt.Sprintf("Next: read %s once more %safter it has warmed up: it was noticed to come and go.", path.AtPoint(at), slotWords(n.Read))
		if last.Seq > 0 {
			n.Text = fmt.Sprintf("Next: read %s once more %safter it has warmed up: %s.", path.AtPoint(at), slotWords(n.Read), why)
		}
	}
	return n
}

// occasions counts how often a receiver was read and passed, since the last
// repair where there is one, and says why it is read again.
func occasions(c trace.Call, r int, last trace.Repair) (times int, why string) {
	if last.Seq > 0 {
		return passesSince(c, last), "it came and went before the repair"
	}
	why = "it passes, and it was noticed to come and go"
	for _, o := range readBehind(c, r) {
		times++
		if trace.Counts(o.Reading, c.Settings) == entry.Fail {
			times, why = 0, "it failed and passes now, and nothing was mended"
		}
	}
	return times, why
}

// readBehind lists the readings of the signal behind a receiver.
func readBehind(c trace.Call, r int) []trace.Observation {
	var out []trace.Observation
	for _, o := range c.Observations {
		if o.Element == r && trace.Judges(o.Reading) {
			out = append(out, o)
		}
	}
	return out
}

func slotsRead(c trace.Call) int {
	seen := map[int]bool{}
	for _, o := range c.Observations {
		if o.Reading.Slot > 0 {
			seen[o.Reading.Slot] = true
		}
	}
	return len(seen)
}

func slotWords(read []string) string {
	if slices.Contains(read, next.ReadSlots) {
		return "on every slot "
	}
	return ""
}

func conditionWords(when string) string {
	switch when {
	case "rain":
		return "when it rains"
	case "wind":
		return "in the wind"
	case "heat":
		return "when everything is warm"
	case "cold":
		return "when it is cold"
	case "night":
		return "at night"
	}
	return "in the " + when
}

// tried says what was tried to make it fail: how often each receiver was read
// and what it read, since the work on its way where there was any; "" when each
// was read once.
func tried(p *call.Progress) string {
	var parts []string
	for _, r := range p.Call.Path.Receivers() {
		read := readBehind(p.Call, r)
		for _, q := range p.Call.Repairs {
			if p.Call.OnWay(q, trace.JointKey{Reach: r}) {
				read = slices.DeleteFunc(read, func(o trace.Observation) bool { return o.Seq < q.Seq })
			}
		}
		if len(read) < 2 {
			continue
		}
		part := fmt.Sprintf("%s was read %s times", receiverName(p.Call.Path, r), path.Numeral(len(read)))
		if lo, hi, ok := levelsOf(read); ok && lo < hi {
			part += fmt.Sprintf(", %s to %s dBm", path.Trim(lo), path.Trim(hi))
		}
		parts = append(parts, part)
	}
	if len(parts) == 0 {
		return ""
	}
	return ": " + strings.Join(parts, "; ") + ", and passed"
}

func levelsOf(read []trace.Observation) (lo, hi float64, ok bool) {
	for _, o := range read {
		if !o.Reading.Level.Said() {
			return 0, 0, false
		}
		l := o.Reading.Level.Float()
		if !ok {
			lo, hi, ok = l, l, true
		}
		lo, hi = min(lo, l), max(hi, l)
	}
	return lo, hi, ok
}
