package claim

import (
	"fmt"
	"math"
	"slices"

	"downlead/diagnose/call"
	"downlead/diagnose/level"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
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
func marginalFindings(c trace.Call, t *level.Tables) []trace.Finding {
	spots := c.Spots()
	var out []trace.Finding
	for _, s := range spots {
		if s.Stale || s.Verdict != entry.Pass || slices.ContainsFunc(spots, func(o trace.Spot) bool { return !o.Stale && o.Verdict != "" && c.Beyond(s, o) }) {
			continue
		}
		if f, ok := marginalLevel(c, s, t); ok {
			out = append(out, f)
		}
		for _, o := range s.Now {
			limit := c.Settings.Limit(o.Reading.Slot)
			spare := o.Reading.Strength.Float() - limit
			if limit > 0 && o.Reading.Strength.Said() && spare >= 0 && spare < thinStrength {
				out = append(out, trace.Finding{
					Code: trace.FindingMarginal, Entries: append(limitSaid(c, o.Reading.Slot), o.Seq),
					Text: fmt.Sprintf("It passes %s with strength %s, only %s above the threshold: heavy rain is likely to take it below.", path.AtPoint(c.PointOfSpot(s)), o.Reading.Strength, path.Trim(spare)),
				})
			}
		}
	}
	return out
}

// limitSaid is the entry that set the threshold of a slot; none where it is the
// area's.
func limitSaid(c trace.Call, slot int) []int64 {
	var all, own []int64
	for _, r := range c.Records {
		if s, ok := r.Entry.(entry.Setting); ok && s.Name == "threshold" {
			switch {
			case slot > 0 && s.Slot == slot:
				own = []int64{r.Seq}
			case s.Slot == 0:
				all = []int64{r.Seq}
			}
		}
	}
	if len(own) > 0 {
		return own
	}
	return all
}

func marginalLevel(c trace.Call, s trace.Spot, t *level.Tables) (trace.Finding, bool) {
	o, ok := s.Level()
	if !ok {
		return trace.Finding{}, false
	}
	spare := o.Reading.Level.Float() - c.Settings.FloorDBm
	if spare < 0 || spare >= thinDB {
		return trace.Finding{}, false
	}
	text := fmt.Sprintf("It passes %s with only %.1f dB to spare.", path.AtPoint(c.PointOfSpot(s)), spare)
	if spare < 0.05 {
		text = fmt.Sprintf("It passes %s with nothing to spare.", path.AtPoint(c.PointOfSpot(s)))
	}
	perKm := RainLoss(downlinkGHz, heavyRain, elevation(c), circularTau)
	text += fmt.Sprintf(" Heavy rain takes about %.1f dB for each kilometre of it in the way", perKm)
	if hot := heat(c, o, t); hot > 0.05 {
		text += fmt.Sprintf(", and cable at %g °F %.1f dB more than now", hotF, hot)
	}
	return trace.Finding{Code: trace.FindingMarginal, Entries: []int64{o.Seq}, Text: text + "."}, true
}

// elevation is that of the site's last slot, else a middle value for the band
// of latitudes with homes, 40 degrees.
func elevation(c trace.Call) float64 {
	lat, lon, ok := c.Site()
	if slot := c.Slot(); ok && slot != 0 {
		if look, err := call.LookAngle(lat, lon, -float64(slot)); err == nil && look.Visible {
			return look.Elevation
		}
	}
	return 40
}

// heat is the loss, in dB, that the cable on the way gains when it gets hot.
func heat(c trace.Call, o trace.Observation, t *level.Tables) float64 {
	now, _ := level.ExpectedLevel(c, t, o)
	c.Settings.TemperatureF = math.Max(hotF, c.Settings.TemperatureF)
	hot, _ := level.ExpectedLevel(c, t, o)
	return now - hot
}
