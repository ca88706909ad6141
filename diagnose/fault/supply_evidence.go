package fault

import (
	"math"
	"slices"

	"downlead/diagnose/level"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// SupplyState is what a set of faults does to the supply, as bits over the
// pairs of a voltage read and a feed on its branch.
type SupplyState struct {
	cut   uint64 // the feed does not get there
	sag   uint64 // the feed is pulled down by a short further on
	joint uint64 // a poor joint lies between
}

func (s SupplyState) with(o SupplyState) SupplyState {
	return SupplyState{s.cut | o.cut, s.sag | o.sag, s.joint | o.joint}
}

// supplyReadings is the voltages of a call as evidence.
type supplyReadings struct {
	table level.SupplyTable
	all   []voltsRead
	Most  float64 // no state makes the voltages likelier, as a log density
	known map[SupplyState]float64
}

// voltsRead is a voltage with its feeds.
type voltsRead struct {
	volts float64
	pairs []voltsPair
}

// voltsPair is a voltage read and one of its feeds.
type voltsPair struct {
	bit  uint64
	drop float64 // V over the way there when the LNB draws its current
	run  SupplyRun
	site Site // the whole branch of the feed, as it was when this was read
}

// mostPairs is how many pairs of a voltage and a feed are weighed: the bits
// of a word.
const mostPairs = 64

// readVolts lists the voltages read, the latest first kept.
func (m *Model) readVolts(occasions []int) {
	s := &supplyReadings{table: m.Tables.Supply, known: map[SupplyState]float64{}}
	bit := 0
	for k := len(m.Call.Observations) - 1; k >= 0; k-- {
		o := m.Call.Observations[k]
		if !o.Reading.Volts.Said() {
			continue
		}
		reach := m.Call.Path.Reach(o.Element, o.Side)
		runs := SupplyRuns(m.Call.Path, m.Tables, reach, func(i int) bool { return level.Absent(o, i) })
		if len(runs) == 0 || bit+len(runs) > mostPairs {
			continue
		}
		r := voltsRead{volts: o.Reading.Volts.Float()}
		for _, run := range runs {
			at := trace.Observation{Element: run.Feed, Side: entry.ReceiverSide, Versions: o.Versions}
			pair := voltsPair{bit: 1 << bit, run: run, drop: run.Ohm * m.Tables.Supply.Amperes, site: m.SiteOf(at, LevelDB, occasions[k])}
			r.pairs = append(r.pairs, pair)
			bit++
		}
		s.all = append(s.all, r)
	}
	if len(s.all) == 0 {
		return
	}
	slices.Reverse(s.all)
	for _, r := range s.all {
		s.Most += s.bound(r)
	}
	m.Net.Supply = s
}

// state is what an effect at a part does to the voltages, where it matches.
func (s *supplyReadings) state(p ModelPart, e DcEffect, match func(*Site) bool) SupplyState {
	var out SupplyState
	if s == nil || e == dcNone {
		return out
	}
	for _, r := range s.all {
		for _, pair := range r.pairs {
			if pair.site.version(p.Element) != p.version || !match(&pair.site) {
				continue
			}
			between := p.Element == pair.run.Feed || slices.Contains(pair.run.Elements, p.Element)
			switch {
			case between && e == DcJoint:
				out.joint |= pair.bit
			case between:
				out.cut |= pair.bit
			case e == DcShort && pair.site.Passes(p.Element):
				out.sag |= pair.bit
			}
		}
	}
	return out
}

// Log is the log density of the voltages under a state. What is not known is
// summed over: which of its two states the supply was in, and whether the
// meter stood in the line, so that the LNB drew its current through it, or on
// an open end, where nothing beyond is felt.
func (s *supplyReadings) Log(state SupplyState) float64 {
	if v, ok := s.known[state]; ok {
		return v
	}
	total := math.Inf(-1)
	for _, loaded := range []bool{true, false} {
		for _, high := range []bool{true, false} {
			sum := math.Log(0.25)
			for _, r := range s.all {
				sum += math.Log(s.density(r, state, loaded, high))
			}
			total = logAdd(total, sum)
		}
	}
	s.known[state] = total
	return total
}

// density is that of one voltage, per volt.
func (s *supplyReadings) density(r voltsRead, state SupplyState, loaded, high bool) float64 {
	t := s.table
	drop, spread, fed, sagging := math.Inf(1), 0.0, false, false
	for _, p := range r.pairs {
		switch {
		case state.cut&p.bit != 0:
		case state.sag&p.bit != 0 && loaded:
			sagging = true
		default:
			fed = true
			d, sd := 0.0, 0.0
			if loaded {
				d, sd = p.drop, p.drop*t.DropSpread
				if state.joint&p.bit != 0 {
					d, sd = d+t.JointVolts, math.Hypot(sd, t.JointSD)
				}
			}
			if d < drop {
				drop, spread = d, sd
			}
		}
	}
	like := 0.0
	switch {
	case fed:
		mean := [2]float64{t.Low - drop, t.High - drop}
		sd := math.Sqrt(t.SourceSD*t.SourceSD + t.MeterSD*t.MeterSD + spread*spread)
		is := 0
		if high {
			is = 1
		}
		like = (1-t.Changed)*normal(r.volts, mean[is], sd) + t.Changed*normal(r.volts, mean[1-is], sd)
	case sagging:
		like = normal(r.volts, t.SagVolts, t.SagSD)
	default:
		like = normal(r.volts, 0, t.DeadSD)
	}
	return (1-s.table.Misread)*like + s.table.Misread/VoltsRange
}

// VoltsRange is the width over which a misread voltage may lie anywhere, V:
// what a meter for this supply shows. Common practice.
const VoltsRange = 30

// bound is the most that log can give one voltage.
func (s *supplyReadings) bound(r voltsRead) float64 {
	t := s.table
	narrowest := min(math.Hypot(t.SourceSD, t.MeterSD), t.DeadSD, t.SagSD)
	return math.Log(normal(0, 0, narrowest) + s.table.Misread/VoltsRange)
}

func normal(x, mean, sd float64) float64 { return math.Exp(logNormal(x, mean, sd)) }

// electric divides the variants of a mode by what they do to the supply. Where
// no voltage was read there is nothing to tell them apart.
func (m *Model) electric(p ModelPart, mode string, in []netVariant) []netVariant {
	shares := DcShares(m.Tables, m.Call.Path.Elements[p.Element].Element, mode)
	if m.Net.Supply == nil || len(shares) == 0 {
		return in
	}
	var out []netVariant
	for _, v := range in {
		for _, s := range shares {
			w := v
			w.share, w.Effect = v.share*s.Share, s.Effect
			w.Supply = m.Net.Supply.state(p, s.Effect, v.Match)
			out = append(out, w)
		}
	}
	return out
}

// suppliesTested reports whether a voltage was read on a branch through
// element i, and with which version of it.
func (m *Model) suppliesTested(i int) []int {
	var versions []int
	if m.Net.Supply == nil {
		return nil
	}
	for _, r := range m.Net.Supply.all {
		for _, p := range r.pairs {
			if v := p.site.version(i); (p.run.Feed == i || p.site.Passes(i)) && v != trace.Absent && !slices.Contains(versions, v) {
				versions = append(versions, v)
			}
		}
	}
	return versions
}
