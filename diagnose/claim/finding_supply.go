package claim

import (
	"fmt"
	"slices"
	"strings"

	"downlead/diagnose/level"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// noSupply is the voltage below which there is no supply at a point: our
// choice, well under the low state and above what a meter shows on a dead run.
const noSupply = 2.0

// supplyFindings judges every voltage that stands, against the two states of
// the supply less the drop on the way from the receiver.
func supplyFindings(c trace.Call, t *level.Tables) []trace.Finding {
	var out []trace.Finding
	volts := standingVolts(c)
	for _, o := range volts {
		if f, ok := supplyFinding(c, volts, o, t); ok {
			out = append(out, f)
		}
	}
	return out
}

// standingVolts lists the last voltage of every point, but those from before a
// repair anywhere on the line: a short far ahead pulls the supply down too.
func standingVolts(c trace.Call) []trace.Observation {
	var out []trace.Observation
	for _, s := range c.Spots() {
		for i := len(s.Obs) - 1; i >= 0; i-- {
			o := s.Obs[i]
			if !o.Reading.Volts.Said() {
				continue
			}
			fedAfterAll := func(q trace.Observation) bool { // a signal beyond it shows that the LNB has its supply
				return q.Seq > o.Seq && o.Reading.Volts.Float() < noSupply && trace.Counts(q.Reading, c.Settings) == entry.Pass &&
					c.Path.Above(c.Path.Reach(o.Element, o.Side), c.Path.Reach(q.Element, q.Side))
			}
			mended := func(r trace.Repair) bool {
				return r.Seq > o.Seq && mends(r) && (beyond(c, r, o) || feeds(c, r, o))
			}
			if !slices.ContainsFunc(c.Repairs, mended) && !slices.ContainsFunc(c.Observations, fedAfterAll) {
				out = append(out, o)
			}
			break
		}
	}
	return out
}

func supplyFinding(c trace.Call, all []trace.Observation, o trace.Observation, t *level.Tables) (trace.Finding, bool) {
	volts := o.Reading.Volts.Float()
	low, high := level.SupplyAt(c, t, o, level.SupplyLowMin), level.SupplyAt(c, t, o, level.SupplyHighMin)
	where := path.AtPoint(c.PointOf(o))
	f := trace.Finding{Entries: []int64{o.Seq}}
	switch {
	case volts < noSupply:
		f.Code = trace.FindingNoSupply
		if fed, ok := lastFed(c, all, o); ok {
			between := partsBetween(c, o, fed)
			f.Entries = []int64{fed.Seq, o.Seq}
			f.Text = fmt.Sprintf("%s V %s and %s V %s: the supply is lost between the two, in %s or its fittings.",
				fed.Reading.Volts, path.AtPoint(c.PointOf(fed)), o.Reading.Volts, where, path.List(between, "or"))
			break
		}
		f.Text = fmt.Sprintf("No supply %s (%s V). The receiver does not feed it, or the coax between here and the receiver is open or shorted.", where, o.Reading.Volts)
	case volts > level.SupplyHighMax:
		f.Code = trace.FindingHighSupply
		f.Text = fmt.Sprintf("%s V %s is above the %g V a receiver may give. Look for a second supply on the line.", o.Reading.Volts, where, level.SupplyHighMax)
	case volts < low, volts > level.SupplyLowMax && volts < high:
		want := low
		if volts > level.SupplyLowMax {
			want = high
		}
		f.Code = trace.FindingLowSupply
		f.Text = fmt.Sprintf("%s V %s is less than the %.1f V that the drop along the cable leaves. Look for a poor joint, or too long a run of clad cable, between here and the receiver.", o.Reading.Volts, where, want)
	default:
		return f, false
	}
	return f, true
}

// lastFed returns the voltage nearest to a dead one, on its receiver side,
// that shows a supply.
func lastFed(c trace.Call, volts []trace.Observation, dead trace.Observation) (trace.Observation, bool) {
	from := c.Path.Reach(dead.Element, dead.Side)
	best, found := trace.Observation{}, false
	for _, o := range volts {
		at := c.Path.Reach(o.Element, o.Side)
		if o.Reading.Volts.Float() < noSupply || at == from || !c.Path.Above(from, at) {
			continue
		}
		if !found || c.Path.Above(at, c.Path.Reach(best.Element, best.Side)) {
			best, found = o, true
		}
	}
	return best, found
}

// partsBetween names what lies between a dead point and a fed one.
func partsBetween(c trace.Call, dead, fed trace.Observation) []string {
	from := c.Path.Reach(dead.Element, dead.Side)
	var out []string
	for _, e := range c.Path.Branch(c.Path.Reach(fed.Element, fed.Side)) {
		if e != from && c.Path.Above(from, e) && !c.Path.Elements[e].Removed {
			out = append(out, c.Path.The(e))
		}
	}
	return out
}

// mostDrop is how much of the supply a run may take before it is a finding:
// the low state at its least, 12.5 V, then leaves under 11 V. Our choice.
const mostDrop = 1.5

// cladFindings finds the branches whose cable takes too much of the supply.
// Cable of these series is clad steel unless copper was said.
func cladFindings(c trace.Call, t *level.Tables) []trace.Finding {
	var out []trace.Finding
	var said []int64 // the phrases that told of the path
	for _, r := range c.Records {
		if r.Entry.Kind() == entry.KindPath {
			said = append(said, r.Seq)
		}
	}
	measured := slices.ContainsFunc(standingVolts(c), func(o trace.Observation) bool { return c.Path.Elements[o.Element].Element == entry.LNB })
	for _, r := range c.Path.Receivers() {
		var drop, feet float64
		for _, i := range c.Path.Branch(r) {
			if e := c.Path.Elements[i]; e.Element == entry.Cable && !e.Removed && !strings.Contains(e.Cable, "copper") {
				drop += level.SupplyDrop(t, e.Cable, e.LengthFt, level.LNBCurrent)
				feet += e.LengthFt
			}
		}
		if drop > mostDrop && !measured {
			out = append(out, trace.Finding{
				Code: trace.FindingCladRun, Entries: said,
				Text: fmt.Sprintf("%g ft of cable to %s: if its centre is clad steel it takes about %.1f V of the supply to the dish, too much for the low state. Measure the volts at the LNB, or use solid copper.", feet, path.TheEnd(c.Path.Point(r, "")), drop),
			})
		}
	}
	return out
}

// barrelFindings finds a remark about a barrel that is not rated for the band.
func barrelFindings(c trace.Call) []trace.Finding {
	var out []trace.Finding
	for _, r := range c.Records {
		var text string
		switch e := r.Entry.(type) {
		case entry.Check:
			text = e.Remark
		case entry.Note:
			text = e.Text
		}
		text = strings.ToLower(text)
		if strings.Contains(text, "barrel") && (strings.Contains(text, "unrated") || strings.Contains(text, "not rated") || strings.Contains(text, "old barrel")) {
			out = append(out, trace.Finding{
				Code: trace.FindingBarrel, Entries: []int64{r.Seq},
				Text: "A barrel that is not rated to 3 GHz was noted: it takes more of the high transponders, more still when it corrodes. Change it before leaving.",
			})
		}
	}
	return out
}
