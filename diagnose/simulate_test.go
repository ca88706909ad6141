package diagnose

import (
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"strconv"
	"sync"
	"sync/atomic"
	"testing"

	"downlead/diagnose/fault"
	"downlead/diagnose/level"
	"downlead/diagnose/next"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// simCall is what one simulated call came to.
type simCall struct {
	kind       simKind
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
// It ends with the first repair where only that is asked for.
func simulate(rng *rand.Rand, t *level.Tables, kind simKind, first bool) simCall {
	var h *simHome
	for h = newHome(rng, t, kind); !h.spoil(); h = newHome(rng, t, kind) {
	}
	v := simCall{kind: kind, faults: len(h.faults)}
	failing := h.failing()
	subject := failing[rng.IntN(len(failing))]
	c := trace.Call{Path: h.path, Settings: trace.Settings{FloorDBm: -50, Threshold: 75, TemperatureF: 68}, Versions: make([]int, len(h.path.Elements))}
	seq := int64(0)
	if kind == simIntermittent {
		c.Symptoms = []trace.Symptom{{Symptom: "intermittent", Versions: slices.Clone(c.Versions), Receivers: []int{subject}}}
	}
	read := func(pl path.Place, asked []string) {
		seq++
		o := trace.Observation{Seq: seq, Element: pl.Element, Side: pl.Side, Port: pl.Port, Versions: slices.Clone(c.Versions), Reading: h.measure(pl, asked)}
		o.Round = c.Round(c.JointOf(trace.Observation{Element: pl.Element, Side: pl.Side, Port: pl.Port}))
		c.Observations = append(c.Observations, o)
	}
	read(path.Place{Element: subject, Side: entry.DishSide}, nil)
	for v.steps = 1; v.steps < 80; v.steps++ {
		inf := next.Infer(c, level.Options{Tables: t})
		if v.steps == 1 {
			v.habits(c, h, t, inf)
		}
		if inf.Next == nil || inf.Next.Point.Element == "" || first && v.named {
			break
		}
		if !v.named && len(c.Spans()) > 0 {
			v.claim(inf, h)
		}
		if inf.Repair < 0 {
			i := slices.IndexFunc(c.Path.Points(), func(pl path.Place) bool { return c.Path.PointAt(pl) == inf.Next.Point })
			read(c.Path.Points()[i], inf.Next.Read)
			if !v.named {
				v.minutes += inf.Next.Minutes
				v.readings++
			}
			continue
		}
		v.repair(h, inf.Repair)
		seq++
		c.Versions[inf.Repair]++
		c.Repairs = append(c.Repairs, trace.Repair{Seq: seq, Action: entry.Action{Action: "replaced", Element: c.Path.Elements[inf.Repair].Element}, Elements: []int{inf.Repair}})
	}
	v.mended = len(h.failing()) == 0
	return v
}

func (v *simCall) claim(inf next.Inference, h *simHome) {
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
func (v *simCall) habits(c trace.Call, h *simHome, t *level.Tables, inf next.Inference) {
	m := fault.NewModel(c, t, c.Path.Points())
	p := next.NewPlanner(m, fault.Conclusion{}, level.Options{})
	if len(p.Spans) == 0 || v.faults != 1 {
		return
	}
	way, truth := p.Way(), slices.Index(p.Way(), h.truly()[0])
	if truth < 0 {
		return
	}
	ch := fault.Chain{Weight: make([]float64, len(way))}
	for k, e := range way {
		ch.Weight[k] = inf.Marginals[e]
	}
	joints := p.Joints(way)
	for _, x := range joints {
		if x < 0 {
			ch.Cost = append(ch.Cost, math.Inf(1))
		} else {
			ch.Cost = append(ch.Cost, next.Cost(p.Model, p.By[x]))
		}
	}
	ch.Travel = func(from, to int) float64 {
		switch {
		case joints[to] < 0 || from >= 0 && joints[from] < 0:
			return 0
		case from == fault.AtStart:
			return next.Minutes(t, p.At, p.By[joints[to]])
		}
		return next.Minutes(t, p.By[joints[from]], p.By[joints[to]])
	}
	v.optimum = follow(ch, truth, func(c fault.Chain, i, j int) int { _, k := c.Plan(); return k })
	v.walk = follow(ch, truth, func(c fault.Chain, i, j int) int { return lastOpen(c, i, j) })
	even := ch
	even.Travel = func(int, int) float64 { return 0 }
	even.Cost = slices.Clone(ch.Cost)
	for k, c := range even.Cost {
		even.Cost[k] = c / t.Minutes.Measure
	}
	v.walkReads = follow(even, truth, func(c fault.Chain, i, j int) int { return lastOpen(c, i, j) })
	v.half = follow(ch, truth, func(c fault.Chain, i, j int) int { return nearestOpen(c, (i+j-1)/2, i, j) })
}

// follow adds up what a way of choosing joints costs until the element at
// fault is alone, or no joint is left.
func follow(c fault.Chain, truth int, choose func(c fault.Chain, i, j int) int) float64 {
	i, j, at, total := 0, len(c.Weight)-1, fault.AtStart, 0.0
	for i < j {
		sub := fault.Chain{Weight: c.Weight[i : j+1], Cost: c.Cost[i:j], Travel: func(from, to int) float64 {
			if from == fault.AtStart {
				return c.Travel(at, to+i)
			}
			return c.Travel(from+i, to+i)
		}}
		k := choose(sub, 0, j-i)
		if k < 0 {
			break
		}
		k += i
		total += c.Cost[k] + c.Travel(at, k)
		at = k
		if truth <= k {
			j = k
		} else {
			i = k + 1
		}
	}
	return total
}

func lastOpen(c fault.Chain, i, j int) int {
	for k := j - 1; k >= i; k-- {
		if !math.IsInf(c.Cost[k], 1) {
			return k
		}
	}
	return -1
}

func nearestOpen(c fault.Chain, mid, i, j int) int {
	best := -1
	for k := i; k < j; k++ {
		if !math.IsInf(c.Cost[k], 1) && (best < 0 || abs(k-mid) < abs(best-mid)) {
			best = k
		}
	}
	return best
}

func abs(x int) int { return max(x, -x) }

// simulateAll runs n calls of every kind, on all processors.
func simulateAll(seed uint64, n int, kinds []simKind, first bool) []simCall {
	tables := level.BuiltinTables()
	calls := make([]simCall, n*len(kinds))
	var next atomic.Int64
	var wait sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wait.Go(func() {
			for k := int(next.Add(1)) - 1; k < len(calls); k = int(next.Add(1)) - 1 {
				calls[k] = simulate(rand.New(rand.NewPCG(seed, uint64(k))), tables, kinds[k%len(kinds)], first)
			}
		})
	}
	wait.Wait()
	return calls
}

// TestSimulate runs simulated calls up to the first repair. DOWNLEAD_SIMULATE=N
// runs N whole calls, half of them with levels and an eighth of each other
// kind, and prints the report; DOWNLEAD_SEED repeats a run.
//
// Its power: of 160 calls with levels some 120 have one fault. The goal of 0.97
// for the first part named is missed when 8 or more of those are wrong, which
// happens to a diagnosis that is right in 0.97 with probability 0.03, to one
// that is right in 0.90 with probability 0.91, in 0.88 with 0.98.
func TestSimulate(t *testing.T) {
	seed := uint64(1)
	long := os.Getenv("DOWNLEAD_SIMULATE")
	if s := os.Getenv("DOWNLEAD_SEED"); s != "" {
		k, err := strconv.ParseUint(s, 10, 64)
		if err != nil {
			t.Fatalf("DOWNLEAD_SEED=%q is not a seed", s)
		}
		seed = k
	}
	if long == "" {
		summarise(t, seed, simulateAll(seed, 160, []simKind{simLevels}, true))
		return
	}
	n, err := strconv.Atoi(long)
	if err != nil || n < 8 {
		t.Fatalf("DOWNLEAD_SIMULATE=%q is not a number of calls, 8 or more", long)
	}
	kinds := append([]simKind{simLevels, simLevels, simLevels}, simKinds...)
	summarise(t, seed, simulateAll(seed, n/len(kinds), kinds, false))
}
