package next

import (
	"cmp"
	"math"
	"slices"

	"downlead/diagnose/fault"
	"downlead/diagnose/path"
	"downlead/grammar/entry"
)

// byChain follows the optimal plan with travel while nearly all is one fault
// and all suspects lie on one branch.
func (p *planner) byChain() (*Next, float64, bool) {
	way := p.Way()
	weight := make([]float64, len(way))
	on, single := 0.0, 0.0
	for h, q := range p.Belief.P {
		target := p.Belief.Targets[p.Belief.Group[h]]
		if len(target) > 1 {
			continue
		}
		single += q
		k := 0 // with nothing at fault the signal is weak from the start
		if len(target) == 1 {
			k = slices.Index(way, target[0])
		}
		if k >= 0 {
			weight[k] += q
			on += q
		}
	}
	if single < mostlySingle || on < 0.98*single {
		return nil, 0, false
	}
	joints := p.Joints(way)
	c := fault.Chain{Weight: weight, Cost: make([]float64, len(joints))}
	for k, x := range joints {
		c.Cost[k] = math.Inf(1)
		if x >= 0 && !p.worn[x] {
			c.Cost[k] = Cost(p.Model, p.By[x])
		}
	}
	c.Travel = func(from, to int) float64 {
		switch {
		case from == fault.AtStart && joints[to] >= 0:
			return Minutes(p.Tables, p.At, p.By[joints[to]])
		case from == fault.AtStart || joints[from] < 0 || joints[to] < 0:
			return 0 // never walked: no one measures there
		}
		return Minutes(p.Tables, p.By[joints[from]], p.By[joints[to]])
	}
	weighted, first := c.Plan()
	if first < 0 || p.bits(p.Belief.P, joints[first]) < p.Tables.Decide.LeastBits {
		return nil, 0, false
	}
	return p.read(joints[first], WhyParts, p.splitWords(way, weight, first)), weighted / on, true
}

// Way is the branch to the failing point, parts taken out left aside.
func (p *planner) Way() []int {
	way := p.Call.Path.Branch(p.Spans[0].Fail.Reach)
	return slices.DeleteFunc(way, func(i int) bool { return p.Call.Path.Elements[i].Removed })
}

// Joints gives the place between each two elements of a branch; -1 where no
// meter can be put.
func (p *planner) Joints(way []int) []int {
	coax := p.Call.Path
	out := make([]int, max(len(way)-1, 0))
	for k := range out {
		out[k] = slices.IndexFunc(p.Places, func(pl path.Place) bool {
			if pl.Side == entry.DishSide {
				return pl.Element == way[k+1]
			}
			return pl.Element == way[k] && (pl.Port == 0 || pl.Port == coax.Elements[way[k+1]].Port)
		})
	}
	return out
}

// byBranches follows the optimal plan where nearly all is one fault and the
// suspects lie on several branches. A reading is taken to fail when the fault
// is on its way.
func (p *planner) byBranches() (*Next, float64, bool) {
	suspects, weight, ok := p.singles()
	if !ok {
		return nil, 0, false
	}
	s := fault.Sequence{Weight: weight, Limit: mostStates}
	var places []int
	for x := range p.Places {
		if p.worn[x] || math.IsInf(Cost(p.Model, p.By[x]), 1) {
			continue
		}
		mask := uint64(0)
		for i, e := range suspects {
			if p.Sites[p.Start+x].Passes(e) {
				mask |= 1 << i
			}
		}
		s.Splits, places = append(s.Splits, mask), append(places, x)
	}
	s.Cost = func(from, test int) float64 {
		at := p.At
		if from != fault.AtStart {
			at = p.By[places[from]]
		}
		return Cost(p.Model, p.By[places[test]]) + Minutes(p.Tables, at, p.By[places[test]])
	}
	weighted, first, ok := s.Plan()
	if !ok || first < 0 || p.bits(p.Belief.P, places[first]) < p.Tables.Decide.LeastBits {
		return nil, 0, false
	}
	all := s.Sum(1<<len(weight) - 1)
	return p.read(places[first], WhyParts, p.partWords(s.Sum(s.Splits[first])/all)), weighted / all, true
}

// singles lists the elements that may be the one at fault, with their
// probabilities; false where several faults at once are too likely, or the
// suspects too many. With nothing at fault the signal is weak from the dish.
func (p *planner) singles() (suspects []int, weight []float64, ok bool) {
	of, single := map[int]float64{}, 0.0
	for h, q := range p.Belief.P {
		switch target := p.Belief.Targets[p.Belief.Group[h]]; len(target) {
		case 0:
			of[p.Kind(entry.Dish)] += q
		case 1:
			of[target[0]] += q
		default:
			continue
		}
		single += q
	}
	for e, q := range of {
		if q >= 0.002*single {
			suspects = append(suspects, e)
		}
	}
	slices.Sort(suspects)
	for _, e := range suspects {
		weight = append(weight, of[e])
	}
	return suspects, weight, single >= mostlySingle && len(suspects) <= mostBranched
}

// The bounds of the plan over branches: suspects, and states looked at.
const (
	mostBranched = 24
	mostStates   = 4000
)

// byInformation goes by information a minute, looking one reading ahead: by
// the minutes of the reading, and of the best one after each outcome, with
// what is then still unknown priced at a common rate. Places that tell less
// than least bits are left out.
func (p *planner) byInformation(least float64) (*Next, float64, bool) {
	type option struct {
		place     int
		rate      float64 // bits a minute
		remaining float64 // minutes
	}
	var options []option
	for x := range p.Places {
		if p.worn[x] {
			continue
		}
		bits := p.bits(p.Belief.P, x)
		minutes := Cost(p.Model, p.By[x]) + Minutes(p.Tables, p.At, p.By[x])
		if bits >= least && !math.IsInf(minutes, 1) {
			options = append(options, option{place: x, rate: bits / minutes})
		}
	}
	if len(options) == 0 {
		return nil, 0, false
	}
	slices.SortStableFunc(options, func(a, b option) int { return cmp.Compare(b.rate, a.rate) })
	options = options[:min(len(options), lookAhead)]
	places := make([]int, len(options))
	for i, o := range options {
		places[i] = o.place
	}
	price := 1 / (laterRate * options[0].rate)
	for i := range options {
		options[i].remaining = p.remaining(options[i].place, places, price)
	}
	best := slices.MinFunc(options, func(a, b option) int { return cmp.Compare(a.remaining, b.remaining) })
	return p.read(best.place, WhyTells, p.informationWords(best.place)), best.remaining, true
}

// lookAhead is how many places are looked at one step further, and laterRate
// how much slower than the best reading now later ones are taken to tell.
// Found by simulation.
const (
	lookAhead = 8
	laterRate = 0.5
)

// remaining is the expected minutes from reading at a place onwards, a bit
// still unknown costing price minutes.
func (p *planner) remaining(x int, places []int, price float64) float64 {
	total := Cost(p.Model, p.By[x]) + Minutes(p.Tables, p.At, p.By[x])
	after := make([]float64, len(p.Belief.P))
	for o := range p.exps[x].Outcomes {
		prob := p.exps[x].After(p.Belief.P, o, after)
		if prob < 0.01 {
			continue
		}
		left := p.uncertainty(after)
		least := left * price
		for _, y := range places {
			minutes := Cost(p.Model, p.By[y]) + Minutes(p.Tables, p.By[x], p.By[y])
			if minutes < least {
				least = min(least, minutes+(left-p.bits(after, y))*price)
			}
		}
		total += prob * least
	}
	return total
}

// uncertainty is the entropy of what to repair, in bits.
func (p *planner) uncertainty(belief []float64) float64 {
	target := make([]float64, len(p.Belief.Targets))
	for h, q := range belief {
		target[p.Belief.Group[h]] += q
	}
	return fault.Entropy(target)
}
