package diagnose

import (
	"cmp"
	"math"
	"slices"

	"downlead/grammar"
)

// byChain follows the optimal plan with travel while nearly all is one fault
// and all suspects lie on one branch.
func (p *planner) byChain() (*Next, float64, bool) {
	way := p.way()
	weight := make([]float64, len(way))
	on, single := 0.0, 0.0
	for h, q := range p.belief.p {
		target := p.belief.targets[p.belief.group[h]]
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
	joints := p.joints(way)
	c := chain{weight: weight, cost: make([]float64, len(joints))}
	for k, x := range joints {
		c.cost[k] = math.Inf(1)
		if x >= 0 && !p.worn[x] {
			c.cost[k] = p.cost(p.by[x])
		}
	}
	c.travel = func(from, to int) float64 {
		switch {
		case from == atStart && joints[to] >= 0:
			return p.tables.minutes(p.at, p.by[joints[to]])
		case from == atStart || joints[from] < 0 || joints[to] < 0:
			return 0 // never walked: no one measures there
		}
		return p.tables.minutes(p.by[joints[from]], p.by[joints[to]])
	}
	weighted, first := c.plan()
	if first < 0 || p.bits(p.belief.p, joints[first]) < p.tables.Decide.LeastBits {
		return nil, 0, false
	}
	return p.read(joints[first], p.splitWords(way, weight, first)), weighted / on, true
}

// way is the branch to the failing point, parts taken out left aside.
func (p *planner) way() []int {
	way := p.call.Path.Branch(p.spans[0].fail.reach)
	return slices.DeleteFunc(way, func(i int) bool { return p.call.Path.Elements[i].Removed })
}

// joints gives the place between each two elements of a branch; -1 where no
// meter can be put.
func (p *planner) joints(way []int) []int {
	path := p.call.Path
	out := make([]int, max(len(way)-1, 0))
	for k := range out {
		out[k] = slices.IndexFunc(p.places, func(pl Place) bool {
			if pl.Side == grammar.DishSide {
				return pl.Element == way[k+1]
			}
			return pl.Element == way[k] && (pl.Port == 0 || pl.Port == path.Elements[way[k+1]].Port)
		})
	}
	return out
}

// byInformation goes by the expected minutes still to spend: those of the
// reading, and after each outcome those that the information left would take
// at the best rate from there.
func (p *planner) byInformation() (*Next, float64, bool) {
	type option struct {
		place     int
		rate      float64
		remaining float64
	}
	var options []option
	for x := range p.places {
		if p.worn[x] {
			continue
		}
		bits := p.bits(p.belief.p, x)
		minutes := p.cost(p.by[x]) + p.tables.minutes(p.at, p.by[x])
		if bits >= p.tables.Decide.LeastBits && !math.IsInf(minutes, 1) {
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
	for i := range options {
		options[i].remaining = p.remaining(options[i].place, places)
	}
	best := slices.MinFunc(options, func(a, b option) int { return cmp.Compare(a.remaining, b.remaining) })
	return p.read(best.place, p.informationWords(best.place)), best.remaining, true
}

// lookAhead is how many places are looked at one step further.
const lookAhead = 8

// remaining is the expected minutes from reading at a place onwards.
func (p *planner) remaining(x int, places []int) float64 {
	total := p.cost(p.by[x]) + p.tables.minutes(p.at, p.by[x])
	after := make([]float64, len(p.belief.p))
	for o := range levelBins {
		prob := p.exps[x].after(p.belief.p, o, after)
		if prob < 0.01 {
			continue
		}
		left := p.uncertainty(after)
		if left < p.tables.Decide.LeastBits {
			continue
		}
		rate := 0.0
		for _, y := range places {
			minutes := p.cost(p.by[y]) + p.tables.minutes(p.by[x], p.by[y])
			rate = max(rate, p.bits(after, y)/minutes)
		}
		// What no reading settles is settled by a repair and its proof.
		total += prob * min(left/max(rate, 1e-9), p.tables.Minutes.Repair+p.tables.Minutes.Needless)
	}
	return total
}

// uncertainty is the entropy of what to repair, in bits.
func (p *planner) uncertainty(belief []float64) float64 {
	target := make([]float64, len(p.belief.targets))
	for h, q := range belief {
		target[p.belief.group[h]] += q
	}
	return entropy(target)
}
