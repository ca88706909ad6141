package diagnose

import (
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"

	"downlead/grammar"
)

// simCall is what one simulated call came to.
type simCall struct {
	faults     int  // at the start
	firstRight bool // the first repair named an element at fault
	firstUnit  bool // the same, dish and LNB taken as one place
	named      bool // there was a repair at all
	needless   int
	mended     bool // nothing that can be felt was left
	minutes    float64
	walk       float64
	half       float64
	optimum    float64 // 0 where it cannot be computed
	claims     []simClaim
	steps      int
	readings   int // until the first repair
	walkReads  float64
}

// simClaim is a probability that was given to an element, and whether it held.
type simClaim struct {
	p    float64
	true bool
}

// simulate runs one call: the technician does what the next step says.
func simulate(rng *rand.Rand, t *Tables) simCall {
	var h *simHome
	for h = newHome(rng, t); !h.spoil(); h = newHome(rng, t) {
	}
	v := simCall{faults: len(h.faults)}
	failing := h.failing()
	subject := failing[rng.IntN(len(failing))]
	c := Call{Path: h.path, Settings: Settings{FloorDBm: -50, Threshold: 75, TemperatureF: 68}, Versions: make([]int, len(h.path.Elements))}
	seq := int64(0)
	read := func(pl Place) {
		seq++
		o := Observation{Seq: seq, Element: pl.Element, Side: pl.Side, Port: pl.Port, Versions: slices.Clone(c.Versions), Reading: h.measure(pl)}
		o.Round = c.round(c.Path.Reach(pl.Element, pl.Side))
		c.Observations = append(c.Observations, o)
	}
	read(Place{Element: subject, Side: grammar.DishSide})
	for v.steps = 1; v.steps < 80; v.steps++ {
		inf := Infer(c, Options{Tables: t})
		if v.steps == 1 {
			v.habits(c, h, t, inf)
		}
		if inf.Next == nil || inf.Next.Point.Element == "" {
			break
		}
		if !v.named && len(c.spans()) > 0 {
			v.claim(inf, h)
		}
		if inf.Repair < 0 {
			i := slices.IndexFunc(c.Path.Points(), func(pl Place) bool { return c.Path.PointAt(pl) == inf.Next.Point })
			read(c.Path.Points()[i])
			if !v.named {
				v.minutes += inf.Next.Minutes
				v.readings++
			}
			continue
		}
		v.repair(h, inf.Repair)
		seq++
		c.Versions[inf.Repair]++
		c.Repairs = append(c.Repairs, Repair{Seq: seq, Action: grammar.Action{Action: "replaced", Element: c.Path.Elements[inf.Repair].Element}, Elements: []int{inf.Repair}})
	}
	v.mended = len(h.failing()) == 0
	return v
}

func (v *simCall) claim(inf Inference, h *simHome) {
	for e, p := range inf.Marginals {
		if p > 0.01 {
			_, is := h.faults[e]
			v.claims = append(v.claims, simClaim{p, is})
		}
	}
}

func (v *simCall) repair(h *simHome, e int) {
	_, right := h.faults[e]
	if !v.named {
		v.named, v.firstRight, v.firstUnit = true, right, right
		if e < 2 { // dish and LNB: no meter goes between them
			v.firstUnit = h.faults[0] != nil || h.faults[1] != nil
		}
	}
	if !right {
		v.needless++
	}
	h.mend(e)
}

// habits works out what the ways of the trade, and the best plan, would have
// taken from the first reading on, with a meter that never errs.
func (v *simCall) habits(c Call, h *simHome, t *Tables, inf Inference) {
	m := newModel(c, t, c.Path.Points())
	p := newPlanner(m, conclusion{}, Options{})
	if len(p.spans) == 0 || v.faults != 1 {
		return
	}
	way, truth := p.way(), slices.Index(p.way(), h.truly()[0])
	if truth < 0 {
		return
	}
	ch := chain{weight: make([]float64, len(way))}
	for k, e := range way {
		ch.weight[k] = inf.Marginals[e]
	}
	joints := p.joints(way)
	for _, x := range joints {
		if x < 0 {
			ch.cost = append(ch.cost, math.Inf(1))
		} else {
			ch.cost = append(ch.cost, p.cost(p.by[x]))
		}
	}
	ch.travel = func(from, to int) float64 {
		switch {
		case joints[to] < 0 || from >= 0 && joints[from] < 0:
			return 0
		case from == atStart:
			return t.minutes(p.at, p.by[joints[to]])
		}
		return t.minutes(p.by[joints[from]], p.by[joints[to]])
	}
	v.optimum = ch.follow(truth, func(c chain, i, j int) int { _, k := c.plan(); return k })
	v.walk = ch.follow(truth, func(c chain, i, j int) int { return lastOpen(c, i, j) })
	even := ch
	even.travel = func(int, int) float64 { return 0 }
	even.cost = slices.Clone(ch.cost)
	for k, c := range even.cost {
		even.cost[k] = c / t.Minutes.Measure
	}
	v.walkReads = even.follow(truth, func(c chain, i, j int) int { return lastOpen(c, i, j) })
	v.half = ch.follow(truth, func(c chain, i, j int) int { return nearestOpen(c, (i+j-1)/2, i, j) })
}

// follow adds up what a way of choosing joints costs until the element at
// fault is alone, or no joint is left.
func (c chain) follow(truth int, choose func(c chain, i, j int) int) float64 {
	i, j, at, total := 0, len(c.weight)-1, atStart, 0.0
	for i < j {
		sub := chain{weight: c.weight[i : j+1], cost: c.cost[i:j], travel: func(from, to int) float64 {
			if from == atStart {
				return c.travel(at, to+i)
			}
			return c.travel(from+i, to+i)
		}}
		k := choose(sub, 0, j-i)
		if k < 0 {
			break
		}
		k += i
		total += c.cost[k] + c.travel(at, k)
		at = k
		if truth <= k {
			j = k
		} else {
			i = k + 1
		}
	}
	return total
}

func lastOpen(c chain, i, j int) int {
	for k := j - 1; k >= i; k-- {
		if !math.IsInf(c.cost[k], 1) {
			return k
		}
	}
	return -1
}

func nearestOpen(c chain, mid, i, j int) int {
	best := -1
	for k := i; k < j; k++ {
		if !math.IsInf(c.cost[k], 1) && (best < 0 || abs(k-mid) < abs(best-mid)) {
			best = k
		}
	}
	return best
}

func abs(x int) int { return max(x, -x) }

// TestSimulate runs simulated calls. DOWNLEAD_SIMULATE=N runs N of them and
// prints the report; DOWNLEAD_SEED repeats a run.
func TestSimulate(t *testing.T) {
	n, seed := 25, uint64(1)
	if s := os.Getenv("DOWNLEAD_SIMULATE"); s != "" {
		k, err := strconv.Atoi(s)
		if err != nil || k < 1 {
			t.Fatalf("DOWNLEAD_SIMULATE=%q is not a number of calls", s)
		}
		n, seed = k, uint64(k)
	}
	if s := os.Getenv("DOWNLEAD_SEED"); s != "" {
		k, err := strconv.ParseUint(s, 10, 64)
		if err != nil {
			t.Fatalf("DOWNLEAD_SEED=%q is not a seed", s)
		}
		seed = k
	}
	tables := BuiltinTables()
	var calls []simCall
	for k := range n {
		calls = append(calls, simulate(rand.New(rand.NewPCG(seed, uint64(k))), tables))
	}
	summarise(t, seed, calls)
}
