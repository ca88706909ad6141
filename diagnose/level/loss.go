package level

import (
	"math"

	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// ExpectedLevel returns the level, in dBm, that a healthy path gives at the
// observation's point and transponder, and its standard deviation in dB
// (without the meter's own). A nil t means the built-in tables.
func ExpectedLevel(c trace.Call, t *Tables, o trace.Observation) (mean, sd float64) {
	t = TablesOr(t)
	b := Budget(c, t, o)
	variance := t.Source.SD*t.Source.SD + t.Source.TransponderSD*t.Source.TransponderSD
	mean = t.Source.LevelDBm
	drift := 0.0
	for _, l := range b {
		mean -= l.Mean
		variance += l.Sd * l.Sd
		drift += l.Drift
	}
	return mean, math.Sqrt(variance + drift*drift)
}

// SegmentLoss returns the loss in dB that a healthy path has from one
// observation's point to another's on its receiver side, and the standard
// deviation in dB of a measured loss there, both meter readings included. The
// observations must lie on one branch; of two that do not, what they share is
// left out.
func SegmentLoss(c trace.Call, t *Tables, from, to trace.Observation) (mean, sd float64) {
	t = TablesOr(t)
	at := map[int]ElementLoss{}
	for _, l := range Budget(c, t, from) {
		at[l.Element] = l
	}
	variance := 2 * t.Meter.LevelSD * t.Meter.LevelSD
	drift := 0.0
	for _, l := range Budget(c, t, to) {
		shared, ok := at[l.Element]
		delete(at, l.Element)
		if !ok {
			shared = ElementLoss{}
		}
		mean += l.Mean - shared.Mean
		variance += (l.Sd - shared.Sd) * (l.Sd - shared.Sd)
		drift += l.Drift - shared.Drift
	}
	for _, l := range at {
		mean -= l.Mean
		variance += l.Sd * l.Sd
		drift -= l.Drift
	}
	if from.Reading.Transponder != to.Reading.Transponder {
		variance += 2 * t.Source.TransponderSD * t.Source.TransponderSD
	}
	return mean, math.Sqrt(variance + drift*drift)
}

// ElementLoss is what one element of a healthy path takes, in dB.
type ElementLoss struct {
	Element int     // index into Path.Elements
	Port    int     // the output that the signal takes; 0 where there is one, or none was named
	Mean    float64 // dB
	Sd      float64 // dB, of this element alone
	Drift   float64 // dB that the unknown frequency adds, one standard deviation; the same way in all elements
}

// Budget lists the losses from the dish to the observation's point, as the
// path was when it was taken.
func Budget(c trace.Call, t *Tables, o trace.Observation) []ElementLoss {
	branch := c.Path.Branch(c.Path.Reach(o.Element, o.Side))
	f, spread := Intermediate(t, o.Reading.Transponder)
	out := make([]ElementLoss, 0, len(branch))
	for k, i := range branch {
		if Absent(o, i) {
			continue
		}
		port := 0
		switch {
		case k+1 < len(branch):
			port = c.Port(branch[k+1], o)
		case o.Element == i:
			port = o.Port
		default:
			port = c.Port(o.Element, o)
		}
		l := ElementLoss{Element: i, Port: port}
		e := c.Path.Elements[i]
		l.Mean, l.Sd = LossAt(t, e, port, f, c.Settings.TemperatureF)
		if spread > 0 {
			above, _ := LossAt(t, e, port, f+spread, c.Settings.TemperatureF)
			l.Drift = above - l.Mean
		}
		out = append(out, l)
	}
	return out
}

// Absent reports that element i was not in the path when the reading was taken.
func Absent(o trace.Observation, i int) bool {
	return i < len(o.Versions) && o.Versions[i] == trace.Absent
}

// LossAt is a healthy element's loss at f MHz and its spread, both in dB.
func LossAt(t *Tables, e path.PathElement, port int, f, temperatureF float64) (mean, sd float64) {
	switch e.Element {
	case entry.Dish, entry.LNB, entry.Receiver:
		return 0, 0
	case entry.Cable, entry.Jumper:
		return CableRun(t, e, f, temperatureF)
	case entry.Splitter:
		p := splitterPart(t, e.Ways)
		return p.At(t, f), p.Spread
	case entry.Tap:
		if port > 1 {
			return t.Part["tap_leg"].At(t, f), t.Part["tap_leg"].Spread
		}
	}
	p := t.Part[string(e.Element)]
	return p.At(t, f), p.Spread
}

// CableRun is the loss of a cable with a mated fitting at each end.
func CableRun(t *Tables, e path.PathElement, f, temperatureF float64) (mean, sd float64) {
	length, spread := RunLength(t, e)
	cable, ok := t.Cable[e.Cable]
	if !ok {
		cable = t.Cable["rg6"]
	}
	if temperatureF == 0 {
		temperatureF = referenceF
	}
	run := cable.Per100ft(t, f) * length / 100 * (1 + t.Run.TemperaturePerF*(temperatureF-referenceF))
	fitting := t.Part[string(entry.Fitting)]
	mean = run + 2*fitting.At(t, f)
	rel := math.Hypot(spread, cable.Spread)
	return mean, math.Sqrt(run*rel*run*rel + 2*fitting.Spread*fitting.Spread)
}

// RunLength is a cable's length in ft and its relative spread; 0 for what is
// not a cable.
func RunLength(t *Tables, e path.PathElement) (ft, spread float64) {
	switch {
	case e.Element != entry.Cable && e.Element != entry.Jumper:
		return 0, 0
	case e.LengthFt > 0:
		return e.LengthFt, t.Run.SaidSpread
	case e.Element == entry.Jumper:
		return t.Run.JumperFt, t.Run.UnknownSpread
	}
	return t.Run.CableFt, t.Run.UnknownSpread
}

// referenceF is the temperature that cable losses are given for, degrees F (20 C).
const referenceF = 68

// Per100ft is a cable's loss in dB per 100 ft at f MHz and 68 F. Skin effect
// goes with the root of the frequency, the dielectric with the frequency:
// a(f) = k1*sqrt(f) + k2*f through the two figures of the table.
func (c CableTable) Per100ft(t *Tables, f float64) float64 {
	lo, hi := math.Sqrt(t.Band.Low), math.Sqrt(t.Band.High)
	k2 := (c.High/hi - c.Low/lo) / (hi - lo)
	if k2 < 0 { // a dielectric does not gain
		return c.High / hi * math.Sqrt(f)
	}
	k1 := c.Low/lo - k2*lo
	return k1*math.Sqrt(f) + k2*f
}

// At is a passive part's loss in dB at f MHz, along a straight line through
// its two figures, held level outside the band.
func (p PartTable) At(t *Tables, f float64) float64 { return Slope(t, p.Low, p.High, f) }

// Slope interpolates between the ends of the band, and holds outside it.
func Slope(t *Tables, low, high, f float64) float64 {
	x := (f - t.Band.Low) / (t.Band.High - t.Band.Low)
	return low + (high-low)*min(max(x, 0), 1)
}

// splitterPart is the table's splitter with at least so many outputs.
func splitterPart(t *Tables, ways int) PartTable {
	for _, s := range []struct {
		ways int
		name string
	}{{2, "splitter_2"}, {3, "splitter_3"}, {4, "splitter_4"}} {
		if ways <= s.ways {
			return t.Part[s.name]
		}
	}
	return t.Part["splitter_8"]
}

// SplitFloor is the least that an n-way split can lose, in dB: the power
// shared evenly, 10*log10(n).
func SplitFloor(n int) float64 { return 10 * math.Log10(float64(n)) }

// TapThrough is the least that a coupler loses between input and output, in
// dB, when its leg takes tap dB: -10*log10(1-10^(-tap/10)).
func TapThrough(tap float64) float64 { return -10 * math.Log10(1-math.Pow(10, -tap/10)) }
