package diagnose

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"downlead/diagnose/fault"
	"downlead/diagnose/level"
	"downlead/diagnose/next"
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
	kind   simKind
	inline bool    // the technician's meter stands in the line when it reads volts
	supply float64 // V that the receivers give
}

// simKind is what is out of the ordinary in a call.
type simKind string

const (
	simLevels       simKind = "levels"       // level and strength are read everywhere
	simVerdicts     simKind = "verdicts"     // the meter says pass or fail; a level only when asked for
	simVolts        simKind = "volts"        // the supply is read with the signal
	simIntermittent simKind = "intermittent" // the fault comes and goes, and that was told
	simWrongPath    simKind = "wrong path"   // a splitter that nobody said
)

var simKinds = []simKind{simLevels, simVerdicts, simVolts, simIntermittent, simWrongPath}

type simFault struct {
	mode string
	port int     // the output it is on; 0 all
	size float64 // against the mode's mean
	dc   fault.DcEffect
	on   bool // now, where it comes and goes
}

// newHome draws a path of 1 to 6 receivers and 20 to 300 ft.
func newHome(rng *rand.Rand, t *level.Tables, kind simKind) *simHome {
	h := &simHome{rng: rng, tables: t, kind: kind, inline: rng.IntN(2) == 0, supply: []float64{t.Supply.Low, t.Supply.High}[rng.IntN(2)]}
	h.supply += t.Supply.SourceSD * rng.NormFloat64()
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
		if kind == simWrongPath {
			h.extra[2+rng.IntN(len(h.extra)-2)] += t.Part["splitter_2"].At(t, midBand(t))
		}
		if h.worked() {
			return h
		}
		if rng.IntN(50) == 0 { // a path that could hardly ever have worked: draw another
			return newHome(rng, t, kind)
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
			if x -= p; x >= 0 || x < -p || mode == level.ModeNoPower && h.rng.IntN(2) == 0 {
				continue // a part that passes no power shows where the meter feeds the LNB itself
			}
			h.faults[i] = h.newFault(e, mode)
		}
	}
	if h.kind != simIntermittent {
		return len(h.faults) <= 3 && len(h.failing()) > 0
	}
	for _, f := range h.faults {
		f.on = true
	}
	return len(h.faults) <= 3 && len(h.failing()) > 0 && h.rng.Float64() < h.told("intermittent")
}

// told is how likely somebody says of the home's faults that it comes and
// goes: the likeliest of them decides, against the mode it is likeliest of.
func (h *simHome) told(symptom string) float64 {
	ratios := h.tables.Symptom[symptom]
	best, most := 0.0, 0.0
	for i, f := range h.faults {
		best = max(best, ratios.Of(h.path.Elements[i].Element, f.mode))
	}
	for _, mode := range level.ModeNames {
		most = max(most, ratios.Of("", mode))
	}
	return best / most
}

func (f *simFault) comesAndGoes() bool {
	return f.mode == level.ModeIntermittent || f.mode == level.ModeDropout
}

func (h *simHome) newFault(e path.PathElement, mode string) *simFault {
	f := &simFault{mode: mode}
	x := h.rng.Float64()
	for _, s := range fault.DcShares(h.tables, e.Element, mode) {
		if x -= s.Share; x < 0 {
			f.dc = s.Effect
			break
		}
	}
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
	f.on = !f.comesAndGoes() || h.rng.Float64() < h.tables.Fault[f.mode].Duty
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
		case level.ModeOpen, level.ModeDropout, level.ModeNoPower:
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
func (h *simHome) measure(pl path.Place, asked []string) entry.Reading {
	if h.kind == simIntermittent {
		for _, f := range h.faults {
			f.toss(h)
		}
	}
	r := h.signal(pl)
	if h.kind == simVerdicts && !slices.Contains(asked, next.ReadLevel) {
		r = entry.Reading{Verdict: r.Verdict}
	}
	if h.kind == simVolts || slices.Contains(asked, next.ReadVolts) {
		r.Volts = decimal(h.volts(pl))
	}
	return r
}

// volts is the supply at a point: from the nearest receiver that feeds it,
// along the cables, past the faults.
func (h *simHome) volts(pl path.Place) float64 {
	t, best := h.tables, 0.0
	if h.rng.Float64() < t.Supply.Misread {
		return 20 * h.rng.Float64()
	}
	reach := h.path.Reach(pl.Element, pl.Side)
	for _, r := range h.path.Receivers() {
		if !h.path.Above(reach, r) {
			continue
		}
		v, port := h.supply, 0
		for i := r; i >= 0; i = h.path.Parent[i] {
			f, beyond := h.faults[i], h.path.Above(i, reach)
			if f != nil && f.on && (f.port == 0 || f.port == port) {
				switch {
				case beyond && f.dc == fault.DcShort && h.inline:
					v = math.Abs(t.Supply.SagVolts + 0.5*t.Supply.SagSD*h.rng.NormFloat64())
				case !beyond && (f.dc == fault.DcOpen || f.dc == fault.DcShort):
					v = 0
				case !beyond && f.dc == fault.DcJoint && h.inline && v > 0:
					v -= t.Supply.JointVolts + t.Supply.JointSD*h.rng.NormFloat64()
				}
			}
			if !beyond && h.inline && v > 0 {
				v -= t.Supply.Amperes * fault.Ohms(h.path, t, i)
			}
			port = h.path.Elements[i].Port
		}
		best = max(best, v)
	}
	return max(best+t.Supply.MeterSD*h.rng.NormFloat64(), 0)
}

// signal is the reading without the supply.
func (h *simHome) signal(pl path.Place) entry.Reading {
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
