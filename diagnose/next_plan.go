package diagnose

import (
	"math"
	"slices"

	"downlead/grammar"
)

// planner chooses what to do next.
type planner struct {
	*model
	conclusion
	at    stand
	by    []stand      // of each place
	worn  []bool       // of each place: read so often that another reading tells nothing new
	exps  []experiment // of each place: what each set of faults makes of it
	spans []span
	work  []float64 // scratch

	toRepair int // the element that the step repairs; -1 for a reading
}

func newPlanner(m *model, con conclusion, o Options) *planner {
	p := &planner{model: m, conclusion: con, at: m.here(o), spans: m.call.spans(), toRepair: -1}
	for _, pl := range m.places {
		p.by = append(p.by, m.standAt(pl.Element))
		p.worn = append(p.worn, m.timesRead(pl) >= mostReadings)
	}
	return p
}

// mostReadings is how often a place is read before the meter and its reader
// have said what they can: once more than a misread needs.
const mostReadings = 2

// timesRead counts the readings at a place with the path as it is now.
func (m *model) timesRead(pl Place) int {
	c, times := m.call, 0
	reach := c.Path.Reach(pl.Element, pl.Side)
	for _, o := range c.Observations {
		if judges(o.Reading) && o.Element == pl.Element && o.Side == pl.Side && o.Port == pl.Port && o.Round == c.round(reach) {
			times++
		}
	}
	return times
}

// closerLook is how much less a reading may tell and still be taken before
// work on a dish that may be sound. Found by simulation.
const closerLook = 4

// next returns the next step and the expected minutes of measuring.
func (p *planner) next() (*Next, float64) {
	switch {
	case len(p.places) == 0:
		return nil, 0
	case len(p.spans) == 0:
		return p.settled(), 0
	}
	if e := p.certain(); e >= 0 {
		return p.repair(e), 0
	}
	p.foresee()
	if n, minutes, ok := p.byChain(); ok {
		return n, minutes
	}
	if n, minutes, ok := p.byBranches(); ok {
		return n, minutes
	}
	least := p.tables.Decide.LeastBits
	if p.healthy > 0.5 {
		// It fails and yet no part stands out: look closer before touching the dish.
		least /= closerLook
	}
	if n, minutes, ok := p.byInformation(least); ok {
		return n, minutes
	}
	if n := p.wait(); n != nil {
		return n, 0
	}
	if e := p.firstRepair(); e >= 0 {
		return p.repair(e), 0
	}
	return p.weak(), 0
}

// settled is the step when nothing fails now: the first reading, the proof
// after a repair, or the next receiver that nobody has looked at.
func (p *planner) settled() *Next {
	c := p.call
	spots := c.spots()
	for i := len(spots) - 1; i >= 0; i-- {
		s := spots[i]
		if s.stale && c.Path.Elements[s.obs[0].Element].Element == grammar.Receiver {
			return p.read(p.placeOf(s.obs[0].Element), WhyProve, "a repair was made since it was last measured: prove it")
		}
	}
	best, least := -1, math.Inf(1)
	for i, pl := range p.places {
		if c.Path.Elements[pl.Element].Element != grammar.Receiver || slices.ContainsFunc(spots, func(s spot) bool {
			return s.obs[0].Element == pl.Element
		}) {
			continue
		}
		if m := p.tables.minutes(p.at, p.by[i]); m < least {
			best, least = i, m
		}
	}
	switch {
	case best < 0:
		return nil
	case len(c.Observations) == 0:
		return p.read(best, WhyBaseline, "the first reading is behind the receiver: it tells whether the coax is at fault at all")
	}
	return p.read(best, WhyUnread, "nothing that was measured fails; this receiver has not been measured")
}

func (p *planner) placeOf(element int) int {
	return slices.IndexFunc(p.places, func(pl Place) bool { return pl.Element == element })
}

// read is the step of measuring at a place.
func (p *planner) read(place int, code, why string) *Next {
	if place < 0 {
		return nil
	}
	pl := p.places[place]
	n := &Next{
		Act: ActRead, Read: []string{p.quantity()}, Code: code, Why: why,
		Point: p.call.Path.PointAt(pl), ID: p.call.Path.Elements[pl.Element].ID,
		Minutes: p.tables.minutes(p.at, p.by[place]) + p.tables.Minutes.Measure,
	}
	if p.exps != nil {
		n.Bits = p.bits(p.belief.p, place)
	}
	return n
}

// certain is the element whose repair is due: likely enough to be at fault,
// or alone in the bracket with no better explanation; -1 when there is none.
func (p *planner) certain() int {
	best, most := -1, p.tables.Decide.RepairAt
	for e, q := range p.marginals {
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
	for e, q := range p.marginals {
		if q < floorSuspect {
			continue
		}
		elements, chance = append(elements, e), append(chance, q)
		cost = append(cost, p.tables.Minutes.Repair+p.tables.minutes(p.at, p.standAt(e)))
	}
	for h, q := range p.belief.p {
		if len(p.belief.targets[p.belief.group[h]]) <= 1 {
			single += q
		}
	}
	if len(elements) == 0 || p.healthy > 0.5 {
		return -1
	}
	return elements[repairOrder(chance, cost, single >= mostlySingle)[0]]
}

// mostlySingle is the probability of at most one fault from which on a plan
// for one fault is followed.
const mostlySingle = 0.9

// foresee works out what every set of faults makes of every place.
func (p *planner) foresee() {
	p.exps = make([]experiment, len(p.places))
	spoken := p.spoken()
	outcomes := bins(spoken)
	size := len(p.belief.p) * outcomes
	all := make([]float64, size*len(p.places))
	for x := range p.places {
		lost := p.lostBefore(x)
		e := experiment{outcomes: outcomes, like: all[x*size : (x+1)*size]}
		for h := range p.belief.p {
			like := e.like[h*outcomes : (h+1)*outcomes]
			if spoken {
				p.belief.pred[h][x].speak(p.net.places[x], lost, like)
			} else {
				p.belief.pred[h][x].bin(p.net.places[x], lost, like)
			}
		}
		p.exps[x] = e
	}
}

// spoken reports that most readings so far were a bare pass or fail: the next
// one will be, too.
func (p *planner) spoken() bool {
	bare, judged := 0, 0
	for _, o := range p.call.Observations {
		if r := o.Reading; judges(r) && !r.NoSignal {
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
	clean := 1 - p.net.misread
	for _, l := range p.sites[p.start+x].budget {
		known := slices.ContainsFunc(p.parts, func(q modelPart) bool { return q.element == l.element })
		if !known {
			for _, q := range p.tables.Prior[string(p.call.Path.Elements[l.element].Element)] {
				clean *= 1 - q
			}
		}
	}
	return 1 - clean
}

// bits is what reading at a place tells about what to repair.
func (p *planner) bits(belief []float64, x int) float64 {
	bits, work := p.exps[x].information(belief, p.belief.group, len(p.belief.targets), p.work)
	p.work = work
	return bits
}
