package diagnose

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"downlead/diagnose/level"
	"downlead/diagnose/path"
	"downlead/grammar/entry"
)

// The simulation draws homes, faults and meter readings from a model written
// apart from the inference: losses come from the same tables, but everything
// is drawn part by part and read point by point.

// simHome is an installation with its hidden truth.
type simHome struct {
	rng    *rand.Rand
	tables *level.Tables
	path   path.Path
	source float64 // dBm at the LNB
	points float64 // strength of a healthy signal here
	extra  []float64
	faults map[int]*simFault // by element
}

type simFault struct {
	mode string
	port int     // the output it is on; 0 all
	size float64 // against the mode's mean
	on   bool    // now, where it comes and goes
}

// newHome draws a path of 1 to 6 receivers and 20 to 300 ft.
func newHome(rng *rand.Rand, t *level.Tables) *simHome {
	h := &simHome{rng: rng, tables: t}
	receivers := 1 + rng.IntN(6)
	numbers := map[entry.Element]int{}
	add := func(kind entry.Element, parent, port int, length float64, ways int) int {
		numbers[kind]++
		h.path.Elements = append(h.path.Elements, path.PathElement{
			ID: fmt.Sprintf("%s %d", kind, numbers[kind]), Element: kind, Port: port, LengthFt: length, Ways: ways,
		})
		h.path.Parent = append(h.path.Parent, parent)
		return len(h.path.Elements) - 1
	}
	run := func(lo, hi float64) float64 { return float64(int(lo + (hi-lo)*rng.Float64())) }
	last := add(entry.LNB, add(entry.Dish, -1, 0, 0, 0), 0, 0, 0)
	last = add(entry.GroundBlock, add(entry.Cable, last, 0, run(10, 120), 0), 0, 0, 0)
	if rng.Float64() < 0.3 {
		last = add(entry.Cable, last, 0, run(5, 40), 0)
		last = add(entry.Barrel, last, 0, 0, 0)
	}
	fork, port := last, 0
	if receivers > 1 {
		last = add(entry.Cable, last, 0, run(3, 40), 0)
		kind, ways := entry.Splitter, []int{0, 0, 2, 3, 4, 8, 8}[receivers]
		if rng.Float64() < 0.4 {
			kind = entry.Multiswitch
		}
		fork, port = add(kind, last, 0, 0, ways), 1
	}
	for range receivers {
		last = add(entry.Cable, fork, port, run(10, 140), 0)
		last = add(entry.WallPlate, last, 0, 0, 0)
		last = add(entry.Jumper, last, 0, 6, 0)
		add(entry.Receiver, last, 0, 0, 0)
		if port > 0 {
			port++
		}
	}
	for {
		h.source = t.Source.LevelDBm + math.Sqrt(t.Source.SD*t.Source.SD-t.Source.LNBSD*t.Source.LNBSD)*rng.NormFloat64()
		h.points = t.Source.Strength + t.Source.StrengthSD*rng.NormFloat64()
		h.extra = make([]float64, len(h.path.Elements))
		for i := range h.extra {
			h.extra[i] = h.tolerance(i)
		}
		if h.worked() {
			return h
		}
		if rng.IntN(50) == 0 { // a path that could hardly ever have worked: draw another
			return newHome(rng, t)
		}
	}
}

// tolerance draws how far an element's loss is off its table.
func (h *simHome) tolerance(i int) float64 {
	if h.path.Elements[i].Element == entry.LNB {
		return h.tables.Source.LNBSD * h.rng.NormFloat64()
	}
	_, sd := level.LossAt(h.tables, h.path.Elements[i], h.path.Elements[i].Port, midBand(h.tables), 68)
	return sd * h.rng.NormFloat64()
}

func midBand(t *level.Tables) float64 { f, _ := level.Intermediate(t, 0); return f }

// worked reports that every receiver passed when the home was put in, with
// the 2 dB to spare that a part of the same kind may differ by.
func (h *simHome) worked() bool {
	for _, r := range h.path.Receivers() {
		if l, s, _ := h.truth(r, entry.DishSide, 0); l < -48 || s < 78 {
			return false
		}
	}
	return true
}

// spoil draws faults from the priors; true when some receiver fails of them.
func (h *simHome) spoil() bool {
	h.faults = map[int]*simFault{}
	for i, e := range h.path.Elements {
		if e.Element == entry.Receiver {
			continue
		}
		x := h.rng.Float64()
		for _, mode := range level.ModeNames {
			p := h.tables.Prior[string(e.Element)][mode]
			if x -= p; x >= 0 || x < -p {
				continue
			}
			h.faults[i] = h.newFault(e, mode)
		}
	}
	return len(h.faults) <= 3 && len(h.failing()) > 0
}

func (h *simHome) newFault(e path.PathElement, mode string) *simFault {
	f := &simFault{mode: mode}
	for f.size < 0.2 {
		f.size = 1 + h.tables.Fault[mode].SD*h.rng.NormFloat64()
	}
	if e.Ways > 1 && h.rng.Float64() >= 0.5 {
		f.port = 1 + h.rng.IntN(e.Ways)
	}
	f.toss(h)
	return f
}

// toss draws whether a fault that comes and goes shows now.
func (f *simFault) toss(h *simHome) {
	f.on = f.mode != level.ModeIntermittent && f.mode != level.ModeDropout || h.rng.Float64() < h.tables.Fault[f.mode].Duty
}

func (h *simHome) failing() []int {
	var out []int
	for _, r := range h.path.Receivers() {
		if l, s, dead := h.truth(r, entry.DishSide, 0); dead || l < -50 || s < 75 {
			out = append(out, r)
		}
	}
	return out
}

// truth is the level and strength at a point, before the meter.
func (h *simHome) truth(element int, side entry.Side, port int) (dBm, strength float64, dead bool) {
	t := h.tables
	dBm, strength = h.source, h.points
	reach := h.path.Reach(element, side)
	way := h.path.Branch(reach)
	f := midBand(t)
	for k, i := range way {
		out := port
		if k+1 < len(way) {
			out = h.path.Elements[way[k+1]].Port
		} else if side == entry.DishSide {
			out = h.path.Elements[element].Port
		}
		mean, _ := level.LossAt(t, h.path.Elements[i], out, f, 68)
		dBm -= mean + h.extra[i]
		flt := h.faults[i]
		if flt == nil || !flt.on || flt.port > 0 && flt.port != out {
			continue
		}
		switch flt.mode {
		case level.ModeOpen, level.ModeDropout:
			dead = true
		case level.ModePolarity: // the worst transponder is on the polarisation lost
			dead = true
		default:
			m := t.Fault[flt.mode]
			loss := flt.size * level.Slope(t, m.Low, m.High, f)
			dBm -= loss
			strength -= flt.size*m.Strength + loss*t.Source.StrengthPerDB
		}
	}
	return dBm, strength, dead
}

// measure takes a reading with the meter's noise and the share of misreads.
func (h *simHome) measure(pl path.Place) entry.Reading {
	dBm, strength, dead := h.truth(pl.Element, pl.Side, pl.Port)
	if dead {
		dBm, strength = -90, 0
	}
	dBm += h.tables.Meter.LevelSD * h.rng.NormFloat64()
	strength = min(max(strength+h.tables.Meter.StrengthSD*h.rng.NormFloat64(), 0), 100)
	if h.rng.Float64() < h.tables.Meter.Misread {
		dBm = -80 + 80*h.rng.Float64()
	}
	if dBm < h.tables.Meter.Nothing {
		return entry.Reading{Verdict: entry.Fail, NoSignal: true}
	}
	r := entry.Reading{Verdict: entry.Pass, Level: decimal(dBm), Strength: decimal(strength)}
	if dBm < -50 || strength < 75 {
		r.Verdict = entry.Fail
	}
	return r
}

// mend puts a sound part in the place of element i.
func (h *simHome) mend(i int) {
	delete(h.faults, i)
	h.extra[i] = h.tolerance(i)
}

// truly lists the elements that are at fault.
func (h *simHome) truly() []int {
	var out []int
	for i := range h.faults {
		out = append(out, i)
	}
	slices.Sort(out)
	return out
}
