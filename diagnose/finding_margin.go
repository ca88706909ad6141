package diagnose

import (
	"fmt"
	"math"
	"slices"

	"downlead/grammar"
)

// thinDB and thinStrength are the margins under which a pass is marginal:
// common practice, no source.
const (
	thinDB       = 3.0
	thinStrength = 5.0
)

// Circumstances that a margin must survive: rain of 25 mm/h is heavy rain, and
// 140 °F a hot attic or cable on a sunny wall (common practice, no source).
const (
	heavyRain = 25.0
	hotF      = 140.0
)

// The downlink that rain is reckoned at: the middle of 12.2 to 12.7 GHz
// (ITU RR Appendix 30, Region 2, from memory), circular polarisation.
const (
	downlinkGHz = 12.45
	circularTau = 45
)

// marginalFindings lists the passing points with little to spare that nothing
// measured beyond makes worse, and what weather would do to them.
func (c Call) marginalFindings(t *Tables) []Finding {
	spots := c.spots()
	var out []Finding
	for _, s := range spots {
		if s.stale || s.verdict != grammar.Pass || slices.ContainsFunc(spots, func(o spot) bool { return !o.stale && o.verdict != "" && c.beyond(s, o) }) {
			continue
		}
		if f, ok := c.marginalLevel(s, t); ok {
			out = append(out, f)
		}
		for _, o := range s.now {
			limit := c.Settings.limit(o.Reading.Slot)
			spare := o.Reading.Strength.Float() - limit
			if limit > 0 && o.Reading.Strength.Said() && spare >= 0 && spare < thinStrength {
				out = append(out, Finding{
					Code: FindingMarginal, Entries: []int64{o.Seq},
					Text: fmt.Sprintf("It passes %s with strength %s, only %s above the threshold: rain will take it below.", atPoint(c.point(s)), o.Reading.Strength, trim(spare)),
				})
			}
		}
	}
	return out
}

func (c Call) marginalLevel(s spot, t *Tables) (Finding, bool) {
	o, ok := s.level()
	if !ok {
		return Finding{}, false
	}
	spare := o.Reading.Level.Float() - c.Settings.FloorDBm
	if spare < 0 || spare >= thinDB {
		return Finding{}, false
	}
	text := fmt.Sprintf("It passes %s with only %.1f dB to spare.", atPoint(c.point(s)), spare)
	perKm := RainLoss(downlinkGHz, heavyRain, c.elevation(), circularTau)
	text += fmt.Sprintf(" Heavy rain takes about %.1f dB for each kilometre of it in the way", perKm)
	if hot := c.heat(o, t); hot > 0.05 {
		text += fmt.Sprintf(", and cable at %g °F %.1f dB more than now", hotF, hot)
	}
	return Finding{Code: FindingMarginal, Entries: []int64{o.Seq}, Text: text + ": this will bring you back."}, true
}

// elevation is that of the site's last slot, else a middle value for the band
// of latitudes with homes, 40 degrees.
func (c Call) elevation() float64 {
	lat, lon, ok := c.site()
	if slot := c.slot(); ok && slot != 0 {
		if look, err := LookAngle(lat, lon, -float64(slot)); err == nil && look.Visible {
			return look.Elevation
		}
	}
	return 40
}

// heat is the loss, in dB, that the cable on the way gains when it gets hot.
func (c Call) heat(o Observation, t *Tables) float64 {
	now, _ := ExpectedLevel(c, t, o)
	c.Settings.TemperatureF = math.Max(hotF, c.Settings.TemperatureF)
	hot, _ := ExpectedLevel(c, t, o)
	return now - hot
}
