package diagnose

import (
	"fmt"
	"strings"

	"downlead/grammar"
)

// noSupply is the voltage below which there is no supply at a point: our
// choice, well under the low state and above what a meter shows on a dead run.
const noSupply = 2.0

// supplyFindings judges every voltage that was read last at its point, against
// the two states of the supply less the drop on the way from the receiver.
func (c Call) supplyFindings(t *Tables) []Finding {
	var out []Finding
	for _, s := range c.spots() {
		for i := len(s.obs) - 1; i >= 0; i-- {
			if s.obs[i].Reading.Volts.Said() {
				if f, ok := c.supplyFinding(s.obs[i], t); ok {
					out = append(out, f)
				}
				break
			}
		}
	}
	return out
}

func (c Call) supplyFinding(o Observation, t *Tables) (Finding, bool) {
	volts := o.Reading.Volts.Float()
	low, high := SupplyAt(c, t, o, SupplyLowMin), SupplyAt(c, t, o, SupplyHighMin)
	where := atPoint(c.pointOf(o))
	f := Finding{Entries: []int64{o.Seq}}
	switch {
	case volts < noSupply:
		f.Code = FindingNoSupply
		f.Text = fmt.Sprintf("No supply %s (%s V). The receiver does not feed it, or the coax between here and the receiver is open or shorted.", where, o.Reading.Volts)
	case volts > SupplyHighMax:
		f.Code = FindingHighSupply
		f.Text = fmt.Sprintf("%s V %s is above the %g V a receiver may give. Look for a second supply on the line.", o.Reading.Volts, where, SupplyHighMax)
	case volts < low, volts > SupplyLowMax && volts < high:
		want := low
		if volts > SupplyLowMax {
			want = high
		}
		f.Code = FindingLowSupply
		f.Text = fmt.Sprintf("%s V %s is less than the %.1f V that the drop along the cable leaves. Look for a poor joint, or too long a run of clad cable, between here and the receiver.", o.Reading.Volts, where, want)
	default:
		return f, false
	}
	return f, true
}

// mostDrop is how much of the supply a run may take before it is a finding:
// the low state at its least, 12.5 V, then leaves under 11 V. Our choice.
const mostDrop = 1.5

// cladFindings finds the branches whose cable takes too much of the supply.
// Cable of these series is clad steel unless copper was said.
func (c Call) cladFindings(t *Tables) []Finding {
	var out []Finding
	for _, r := range c.Path.Receivers() {
		var drop, feet float64
		for _, i := range c.Path.Branch(r) {
			if e := c.Path.Elements[i]; e.Element == grammar.Cable && !e.Removed && !strings.Contains(e.Cable, "copper") {
				drop += SupplyDrop(t, e.Cable, e.LengthFt, LNBCurrent)
				feet += e.LengthFt
			}
		}
		if drop > mostDrop {
			out = append(out, Finding{
				Code: FindingCladRun,
				Text: fmt.Sprintf("%g ft of cable to %s: if its centre is clad steel it takes about %.1f V of the supply to the dish, too much for the low state. Measure the volts at the LNB, or use solid copper.", feet, theEnd(c.Path.Point(r, "")), drop),
			})
		}
	}
	return out
}

// barrelFindings finds a remark about a barrel that is not rated for the band.
func (c Call) barrelFindings() []Finding {
	var out []Finding
	for _, r := range c.Records {
		var text string
		switch e := r.Entry.(type) {
		case grammar.Check:
			text = e.Remark
		case grammar.Note:
			text = e.Text
		}
		text = strings.ToLower(text)
		if strings.Contains(text, "barrel") && (strings.Contains(text, "unrated") || strings.Contains(text, "not rated") || strings.Contains(text, "old barrel")) {
			out = append(out, Finding{
				Code: FindingBarrel, Entries: []int64{r.Seq},
				Text: "A barrel that is not rated to 3 GHz was noted: it takes more of the high transponders, more still when it corrodes. Change it before leaving.",
			})
		}
	}
	return out
}
