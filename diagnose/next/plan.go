package next

import (
	"math"
	"slices"

	"downlead/diagnose/fault"
	"downlead/diagnose/level"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// planner chooses what to do next.
type planner struct {
	*fault.Model
	fault.Conclusion
	At    stand
	By    []stand            // of each place
	worn  []bool             // of each place: read so often that another reading tells nothing new
	exps  []fault.Experiment // of each place: what each set of faults makes of it
	Spans []trace.Span
	all   fault.Conclusion // before it is narrowed to what explains a fail
	work  []float64        // scratch

	narrowed bool // the fail nearest the dish is believed: what lies beyond it is left out
	toRepair int  // the element that the step repairs; -1 for a reading
}

func NewPlanner(m *fault.Model, con fault.Conclusion, o level.Options) *planner {
	p := &planner{Model: m, Conclusion: con, At: here(m, o), Spans: m.Call.Spans(), all: con, toRepair: -1}
	p.narrow()
	for _, pl := range m.Places {
		p.By = append(p.By, standAt(m, pl.Element))
		p.worn = append(p.worn, timesRead(m, pl) >= mostReadings)
	}
	return p
}

// narrow leaves out of the odds what cannot be why a point fails: the parts
// that are on the way to no failing point that stands nearest the dish. One
// trouble is mended before the next is looked for, and a part beyond the point
// where it already fails mends nothing there. Nothing is left out where most
// likely none of those parts is at fault: the fail is then a near miss.
func (p *planner) narrow() {
	if len(p.Spans) == 0 {
		return
	}
	var ahead []int
	explains := func(e int) bool {
		return slices.ContainsFunc(p.Spans, func(s trace.Span) bool { return p.Call.Path.Above(e, s.Fail.Reach) })
	}
	for e := range p.Marginals {
		if explains(e) {
			ahead = append(ahead, e)
		}
	}
	if p.Within(ahead) < 0.5 {
		return
	}
	p.narrowed = true
	p.Marginals = slices.Clone(p.Marginals)
	for e := range p.Marginals {
		if !explains(e) {
			p.Marginals[e] = 0
		}
	}
	full := p.Belief
	p.Belief.Targets, p.Belief.Group = nil, make([]int, len(full.Group))
	to := make([]int, len(full.Targets))
	for g, target := range full.Targets {
		left := slices.DeleteFunc(slices.Clone(target), func(e int) bool { return !explains(e) })
		to[g] = slices.IndexFunc(p.Belief.Targets, func(t []int) bool { return slices.Equal(t, left) })
		if to[g] < 0 {
			to[g] = len(p.Belief.Targets)
			p.Belief.Targets = append(p.Belief.Targets, left)
		}
	}
	for h, g := range full.Group {
		p.Belief.Group[h] = to[g]
	}
}

// mostReadings is how often a place is read before the meter and its reader
// have said what they can: once more than a misread needs.
const mostReadings = 2

// timesRead counts the readings at a place with the path as it is now.
func timesRead(m *fault.Model, pl path.Place) int { return count(m, pl, trace.Judges) }

// closerLook is how much less a reading may tell and still be taken before
// work on a dish that may be sound. Found by simulation.
const closerLook = 4

// next returns the next step and the expected minutes of measuring.
func (p *planner) next() (*Next, float64) {
	switch {
	case len(p.Places) == 0:
		return nil, 0
	case len(p.Spans) == 0:
		return p.settled(), 0
	}
	if e := p.certain(); e >= 0 {
		return p.repair(e), 0
	}
	p.foresee(p.spoken())
	least := p.Tables.Decide.LeastBits
	if p.Healthy > 0.5 {
		// It fails and yet no part stands out: look closer before touching the dish.
		least /= closerLook
	}
	if n, minutes, ok := p.fresh(least); ok {
		if lv := p.levelInstead(n, least); lv != nil {
			return lv, lv.Minutes
		}
		if e := p.cheaper(n, minutes); e >= 0 {
			return p.mendFirst(e), 0
		}
		return n, minutes
	}
	waits := p.wait()
	if p.mostLikely() < mostlyMended {
		if n := p.oneLevel(least); n != nil {
			return n, n.Minutes
		}
		if n := p.oneVoltage(least); n != nil {
			return n, n.Minutes
		}
	}
	switch e := p.firstRepair(); {
	case waits != nil:
		return waits, 0
	case e >= 0 && p.Restless() && p.unit(e) < mostlyMended:
		if n := p.stress(); n != nil {
			return n, n.Minutes
		}
		return ask(), 0
	case e >= 0 && p.unit(e) >= standsOutAt:
		return p.repair(e), 0
	case e >= 0:
		return ask(), 0
	}
	return p.weak(), 0
}

// fresh is the best reading at a point that has none yet, on the way to where
// it fails; one that stands is taken once more, and one beyond a fail is taken,
// only where no other tells enough. What comes and goes makes every reading a
// new one.
func (p *planner) fresh(least float64) (*Next, float64, bool) {
	if p.Restless() {
		return p.reading(least)
	}
	worn := p.worn
	defer func() { p.worn = worn }()
	for _, again := range []bool{false, true} {
		p.worn = slices.Clone(worn)
		for x, pl := range p.Places {
			p.worn[x] = p.worn[x] || !again && timesRead(p.Model, pl) > 0 || p.beyondFail(pl)
		}
		if n, minutes, ok := p.reading(least); ok {
			return n, minutes, true
		}
	}
	p.worn = worn
	return p.reading(least)
}

// beyondFail reports whether a place lies beyond the fail nearest the dish on
// every branch that fails, or on none of them, while that fail is believed.
func (p *planner) beyondFail(pl path.Place) bool {
	if !p.narrowed {
		return false
	}
	reach := p.Call.Path.Reach(pl.Element, pl.Side)
	return !slices.ContainsFunc(p.Spans, func(s trace.Span) bool { return p.Call.Path.Above(reach, s.Fail.Reach) })
}

// beside reports whether a place is an output that no failing branch hangs on.
func (p *planner) beside(pl path.Place) bool {
	if pl.Port == 0 {
		return false
	}
	reach := p.Call.Path.Reach(pl.Element, pl.Side)
	return !slices.ContainsFunc(p.Spans, func(s trace.Span) bool {
		way := p.Call.Path.Branch(s.Fail.Reach)
		k := slices.Index(way, reach)
		return k >= 0 && (k+1 < len(way) && p.Call.Path.Elements[way[k+1]].Port == pl.Port || k+1 == len(way) && (s.Fail.Port == 0 || s.Fail.Port == pl.Port))
	})
}

// reading is the best reading of the kind that the meter on this call gives,
// and the expected minutes of it and those after it.
func (p *planner) reading(least float64) (*Next, float64, bool) {
	if n, minutes, ok := p.byChain(); ok {
		return n, minutes, true
	}
	if n, minutes, ok := p.byBranches(); ok {
		return n, minutes, true
	}
	return p.byInformation(least)
}

// settled is the step when nothing fails now: the first reading, the proof
// after a repair, or the next receiver that nobody has looked at.
func (p *planner) settled() *Next {
	c := p.Call
	spots := c.Spots()
	for i := len(spots) - 1; i >= 0; i-- {
		s := spots[i]
		if s.Stale && c.Path.Elements[s.Obs[0].Element].Element == entry.Receiver {
			return p.read(p.placeOf(s.Obs[0].Element), WhyProve, "a repair was made since it was last measured: prove it")
		}
	}
	p.foresee(p.spoken())
	if n := p.withoutSignal(); n != nil {
		return n
	}
	best, least := -1, math.Inf(1)
	for i, pl := range p.Places {
		if c.Path.Elements[pl.Element].Element != entry.Receiver || slices.ContainsFunc(spots, func(s trace.Spot) bool {
			return s.Obs[0].Element == pl.Element
		}) {
			continue
		}
		if m := Minutes(p.Tables, p.At, p.By[i]); m < least {
			best, least = i, m
		}
	}
	switch {
	case best < 0:
		return p.stress()
	case len(c.Observations) == 0:
		return p.read(best, WhyBaseline, "the first reading is behind the receiver: it tells whether the coax is at fault at all")
	}
	return p.read(best, WhyUnread, "nothing that was measured fails; this receiver has not been measured")
}

func (p *planner) placeOf(element int) int {
	return slices.IndexFunc(p.Places, func(pl path.Place) bool { return pl.Element == element })
}

// read is the step of measuring at a place.
func (p *planner) read(place int, code, why string) *Next {
	if place < 0 {
		return nil
	}
	pl := p.Places[place]
	if timesRead(p.Model, pl) > 0 && code != WhyStress && code != WhyVolts && code != WhyLevel {
		code, why = p.again()
	}
	n := &Next{
		Act: ActRead, Read: []string{p.quantity()}, Code: code, Why: why,
		Point: p.Call.Path.PointAt(pl), ID: p.Call.Path.Elements[pl.Element].ID,
		Minutes: Minutes(p.Tables, p.At, p.By[place]) + p.Tables.Minutes.Measure,
	}
	if slots(p.Model) {
		n.Read = append(n.Read, ReadSlots)
	}
	if p.exps != nil {
		n.Bits = p.bits(p.Belief.P, place)
	}
	return n
}

// certain is the element whose repair is due: likely enough to be at fault,
// or alone in the bracket with no better explanation; -1 when there is none.
func (p *planner) certain() int {
	best, most := -1, p.Tables.Decide.RepairAt
	for e, q := range p.Marginals {
		if q >= most {
			best, most = e, q
		}
	}
	return best
}

// firstRepair is the element to repair first when no reading tells more:
// single faults go by probability over cost, several at once by odds over
// cost. It is -1 when most likely no part is at fault.
func (p *planner) firstRepair() int {
	var elements []int
	var chance, cost []float64
	single := 0.0
	for e, q := range p.Marginals {
		if q < fault.FloorSuspect {
			continue
		}
		elements, chance = append(elements, e), append(chance, q)
		cost = append(cost, p.Tables.Minutes.Repair+Minutes(p.Tables, p.At, standAt(p.Model, e)))
	}
	for h, q := range p.Belief.P {
		if len(p.Belief.Targets[p.Belief.Group[h]]) <= 1 {
			single += q
		}
	}
	if len(elements) == 0 || p.Healthy > 0.5 {
		return -1
	}
	return elements[fault.RepairOrder(chance, cost, single >= mostlySingle)[0]]
}

// mostlySingle is the probability of at most one fault from which on a plan
// for one fault is followed.
const mostlySingle = 0.9

// foresee works out what every set of faults makes of every place.
func (p *planner) foresee(spoken bool) {
	p.exps = make([]fault.Experiment, len(p.Places))
	outcomes := fault.Bins(spoken)
	size := len(p.Belief.P) * outcomes
	all := make([]float64, size*len(p.Places))
	for x := range p.Places {
		lost := p.lostBefore(x)
		e := fault.Experiment{Outcomes: outcomes, Like: all[x*size : (x+1)*size]}
		for h := range p.Belief.P {
			like := e.Like[h*outcomes : (h+1)*outcomes]
			if spoken {
				p.Belief.Pred[h][x].Speak(p.Net.Places[x], lost, like)
			} else {
				p.Belief.Pred[h][x].Bin(p.Net.Places[x], lost, like)
			}
		}
		p.exps[x] = e
	}
}

// spoken reports that most readings so far were a bare pass or fail: the next
// one will be, too.
func (p *planner) spoken() bool {
	bare, judged := 0, 0
	for _, o := range p.Call.Observations {
		if r := o.Reading; trace.Judges(r) && !r.NoSignal {
			judged++
			if !r.Level.Said() {
				bare++
			}
		}
	}
	return 2*bare > judged
}

// quantity is what the meter on this call gives.
func (p *planner) quantity() string {
	if p.spoken() {
		return ReadVerdict
	}
	return ReadLevel
}

// lostBefore is the chance that a reading at a place says nothing about the
// parts already measured through: a misread, or a fault in a part on the way
// that nothing was measured through yet.
func (p *planner) lostBefore(x int) float64 {
	clean := 1 - p.Net.Misread
	for _, l := range p.Sites[p.Start+x].Budget {
		known := slices.ContainsFunc(p.Parts, func(q fault.ModelPart) bool { return q.Element == l.Element })
		if !known {
			for _, q := range p.Tables.Prior[string(p.Call.Path.Elements[l.Element].Element)] {
				clean *= 1 - q
			}
		}
	}
	return 1 - clean
}

// bits is what reading at a place tells about what to repair.
func (p *planner) bits(belief []float64, x int) float64 {
	bits, work := p.exps[x].Information(belief, p.Belief.Group, len(p.Belief.Targets), p.work)
	p.work = work
	return bits
}
