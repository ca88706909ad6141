package fault

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"downlead/diagnose/calltest"
)

// A device of the general diagnostic engine (de Kleer and Williams,
// "Diagnosing multiple faults", Artificial Intelligence 32, 1987): gates that
// behave, or do anything. A set of faults predicts a value at a node where the
// sound gates force one; where they do not, every one of m values is as likely.
type device struct {
	gates  []string
	values int // m
	// propagate forces values through the sound gates; false on a contradiction.
	propagate func(faulty func(gate int) bool, known map[string]int) bool
}

// gde is the state of a diagnosis: every set of faults with its probability.
type gde struct {
	device
	p     []float64 // by set of faults, as a mask
	known map[string]int
}

func (g *gde) predict(set int, node string) (int, bool) {
	known := map[string]int{}
	for k, v := range g.known {
		known[k] = v
	}
	g.propagate(func(i int) bool { return set>>i&1 == 1 }, known)
	v, ok := known[node]
	return v, ok
}

// experimentAt is what every set of faults makes of a node.
func (g *gde) experimentAt(node string) Experiment {
	m := g.device.values
	e := Experiment{Outcomes: m, Like: make([]float64, len(g.p)*m)}
	for set := range g.p {
		v, ok := g.predict(set, node)
		for o := range m {
			switch {
			case !ok:
				e.Like[set*m+o] = 1 / float64(m)
			case v == o:
				e.Like[set*m+o] = 1
			}
		}
	}
	return e
}

// observe takes in a value; sets that contradict it are gone.
func (g *gde) observe(node string, value int) {
	e := g.experimentAt(node)
	next := make([]float64, len(g.p))
	e.After(g.p, value, next)
	g.p = next
	g.known[node] = value
	total := 0.0
	for set := range g.p {
		known := map[string]int{}
		for k, v := range g.known {
			known[k] = v
		}
		if !g.propagate(func(i int) bool { return set>>i&1 == 1 }, known) {
			g.p[set] = 0
		}
		total += g.p[set]
	}
	for set := range g.p {
		g.p[set] /= total
	}
}

// expected is the expected entropy after measuring a node, in bits.
func (g *gde) expected(node string) float64 {
	group := make([]int, len(g.p))
	for i := range group {
		group[i] = i
	}
	bits, _ := g.experimentAt(node).Information(g.p, group, len(g.p), nil)
	return Entropy(g.p) - bits
}

func newGDE(d device, prior []float64, known map[string]int) *gde {
	g := &gde{device: d, p: make([]float64, 1<<len(d.gates)), known: known}
	for set := range g.p {
		g.p[set] = 1
		for i, q := range prior {
			if set>>i&1 == 0 {
				q = 1 - q
			}
			g.p[set] *= q
		}
	}
	return g
}

func (g *gde) of(gates ...string) float64 {
	set := 0
	for _, n := range gates {
		set |= 1 << slices.Index(g.gates, n)
	}
	return g.p[set]
}

// force sets a node, and reports whether that agrees with what is known.
func force(known map[string]int, node string, v int, changed *bool) bool {
	if old, ok := known[node]; ok {
		return old == v
	}
	known[node], *changed = v, true
	return true
}

// inverters are four in a row: in a, b, c, d, out e.
var inverters = device{gates: []string{"A", "B", "C", "D"}, values: 2, propagate: func(faulty func(int) bool, known map[string]int) bool {
	for changed := true; changed; {
		changed = false
		for i := range 4 {
			in, out := string(rune('a'+i)), string(rune('b'+i))
			if faulty(i) {
				continue
			}
			if v, ok := known[in]; ok && !force(known, out, 1-v, &changed) {
				return false
			}
			if v, ok := known[out]; ok && !force(known, in, 1-v, &changed) {
				return false
			}
		}
	}
	return true
}}

func TestInverters(t *testing.T) {
	const source = "four inverters, de Kleer and Williams 1987; independent computation"
	g := newGDE(inverters, []float64{.01, .01, .01, .01}, map[string]int{"a": 1})
	g.observe("e", 0)
	for _, gate := range inverters.gates {
		calltest.Near(t, "single fault "+gate, g.of(gate), .246243845, 1e-9, source)
	}
	calltest.Near(t, "entropy", Entropy(g.p), 2.122113598, 1e-9, source)
	for node, want := range map[string]float64{"b": 1.318353024, "c": 1.132163595, "d": 1.318353024} {
		calltest.Near(t, "expected entropy after "+node, g.expected(node), want, 1e-9, source)
	}
	g = newGDE(inverters, []float64{.025, .01, .01, .01}, map[string]int{"a": 1})
	g.observe("e", 0)
	for node, want := range map[string]float64{"b": 1.021900030, "c": 1.070820027, "d": 1.328161901} {
		calltest.Near(t, "expected entropy after "+node+", A more likely", g.expected(node), want, 1e-9, source)
	}
}

// polybox has three multipliers and two adders: X=AC, Y=BD, Z=CE, F=X+Y, G=Y+Z
// with A..E = 3, 2, 2, 3, 3.
var polybox = device{gates: []string{"M1", "M2", "M3", "A1", "A2"}, values: 16, propagate: func(faulty func(int) bool, known map[string]int) bool {
	for changed := true; changed; {
		changed = false
		for i, node := range []string{"X", "Y", "Z"} {
			if !faulty(i) && !force(known, node, 6, &changed) {
				return false
			}
		}
		for i, sum := range [][3]string{{"X", "Y", "F"}, {"Y", "Z", "G"}} {
			if faulty(3 + i) {
				continue
			}
			l, lok := known[sum[0]]
			r, rok := known[sum[1]]
			s, sok := known[sum[2]]
			if lok && rok && !force(known, sum[2], l+r, &changed) ||
				sok && rok && !force(known, sum[0], s-r, &changed) ||
				sok && lok && !force(known, sum[1], s-l, &changed) {
				return false
			}
		}
	}
	return true
}}

func TestPolybox(t *testing.T) {
	const source = "polybox of Davis, and of de Kleer and Williams 1987; independent computation, 16 values"
	g := newGDE(polybox, []float64{.01, .01, .01, .01, .01}, map[string]int{})
	g.observe("F", 10)
	for _, gate := range []string{"M1", "M2", "A1"} {
		calltest.Near(t, "F=10: "+gate, g.of(gate), .323422110, 1e-9, source)
	}
	calltest.Near(t, "F=10: entropy", Entropy(g.p), 1.827834657, 1e-9, source)
	calltest.Near(t, "F=10: expected after X", g.expected("X"), 0.868476622, 1e-9, source)
	calltest.Near(t, "F=10: expected after G", g.expected("G"), 0.790213750, 1e-9, source)
	g.observe("G", 12)
	calltest.Near(t, "G=12: M1", g.of("M1"), .496224819, 1e-9, source)
	calltest.Near(t, "G=12: A1", g.of("A1"), .496224819, 1e-9, source)
	calltest.Near(t, "G=12: M1 and M2", g.of("M1", "M2"), .000313273, 1e-9, source)
	calltest.Near(t, "G=12: entropy", Entropy(g.p), 1.071352104, 1e-9, source)
	for node, want := range map[string]float64{"X": 0.038337335, "Y": 1.063548093, "Z": 1.067007462} {
		calltest.Near(t, "G=12: expected after "+node, g.expected(node), want, 1e-9, source)
	}
	// The structure: the smallest sets that agree with F=10 and G=12.
	var minimal []string
	for size := 1; size <= 5; size++ {
		for set, p := range g.p {
			if p > 0 && bitCount(set) == size && !slices.ContainsFunc(minimal, func(m string) bool { return covers(set, m) }) {
				minimal = append(minimal, fmt.Sprint(set))
			}
		}
	}
	// M1 = 1, A1 = 8, M2 and M3 = 6, M2 and A2 = 18.
	if want := []string{"1", "8", "6", "18"}; !slices.Equal(minimal, want) {
		t.Errorf("minimal diagnoses %v, want %v (%s)", minimal, want, source)
	}
}

func bitCount(x int) (n int) {
	for ; x > 0; x &= x - 1 {
		n++
	}
	return n
}

func covers(set int, minimal string) bool {
	var m int
	fmt.Sscan(minimal, &m)
	return set&m == m
}

// The value of a reading and of a verdict at J2 in case T2 of the posterior
// vectors: bins so narrow that they tell all.
func TestReadingValue(t *testing.T) {
	parts := rowOf(twoModes, "C1", "C2", "C3")
	n := testNet(parts, []testReading{{at: 0, deviation: .4, sd: 1}, {at: 2, deviation: 6.3, sd: 1}}, nil, []int{1})
	p := n.Posterior()
	ps := newPredictors(p)
	var weight []float64
	var preds []prediction
	p.each(1e-15, func(faults []NetFault, prob float64, s *faultSet) {
		pred := make([]prediction, 1)
		ps.predict(s, faults, pred)
		weight, preds = append(weight, prob), append(preds, pred[0])
	})
	group := make([]int, len(weight))
	for i := range group {
		group[i] = i
	}
	const width, from = 2e-4, -8.0
	const bins = 300_000 // to 52 dB
	reading := Experiment{Outcomes: bins, Like: make([]float64, len(weight)*bins)}
	verdict := Experiment{Outcomes: 2, Like: make([]float64, len(weight)*2)}
	for h, pr := range preds {
		mean, sd := pr.mean, pr.sd
		if pr.dead {
			mean, sd = 40, 1
		}
		for o := range bins {
			reading.Like[h*bins+o] = width * math.Exp(logNormal(from+width*(float64(o)+0.5), mean, sd))
		}
		fail := phi((mean - 3) / 1)
		verdict.Like[2*h], verdict.Like[2*h+1] = fail, 1-fail
	}
	bits, work := reading.Information(weight, group, len(weight), nil)
	calltest.Near(t, "a level at J2", bits, .994446710, 2e-9, "independent computation by quadrature")
	bits, _ = verdict.Information(weight, group, len(weight), work)
	calltest.Near(t, "a verdict at J2", bits, .985185335, 1e-9, "independent computation")
}

// Six states and five tests: Pattipati and Alexandridis, "Application of
// heuristic search and information theory to sequential fault diagnosis", IEEE
// Transactions on Systems, Man and Cybernetics 20, 1990 (matrix from memory;
// figures confirmed by an independent computation).
func TestSequence(t *testing.T) {
	p := []float64{.70, .01, .02, .10, .05, .12}
	d := [][]int{{0, 0, 0, 0, 0}, {0, 1, 0, 0, 1}, {0, 0, 1, 1, 0}, {1, 0, 0, 1, 1}, {1, 1, 0, 0, 0}, {1, 1, 1, 1, 0}}
	s := Sequence{Weight: p, Splits: make([]uint64, 5), Limit: 1000, Cost: func(int, int) float64 { return 1 }}
	for state, row := range d {
		for test, x := range row {
			s.Splits[test] |= uint64(x) << state
		}
	}
	got, first, ok := s.Plan()
	calltest.Near(t, "optimal expected tests", got, 2.18, 1e-9, "the paper's optimum")
	if first != 1 || !ok {
		t.Errorf("first test %d, ok %v; want the second", first+1, ok)
	}
	calltest.Near(t, "entropy", Entropy(p), 1.4549, 5e-5, "the paper; a bound below")
	calltest.Near(t, "bits a test, one at a time", greedySequence(&s, 1<<6-1), 2.86, 1e-9, "independent computation")
}

// greedySequence is the cost of taking the most informative test each time.
func greedySequence(s *Sequence, left uint64) float64 {
	if left&(left-1) == 0 {
		return 0
	}
	best, at := -1.0, -1
	total := s.Sum(left)
	for test, mask := range s.Splits {
		if f := s.Sum(left&mask) / total; f > 0 && f < 1 {
			if g := Entropy([]float64{f, 1 - f}); g > best+1e-12 {
				best, at = g, test
			}
		}
	}
	mask := s.Splits[at]
	return total + greedySequence(s, left&mask) + greedySequence(s, left&^mask)
}

// A sequence over a row of elements is the chain's plan.
func TestSequenceAgreesWithChain(t *testing.T) {
	c := Chain{Weight: []float64{3, 1, 4, 1, 5, 9, 2, 6}, Cost: []float64{1, 2, 1, 3, 1, 2, 1}}
	at := []float64{0, 1, 4, 5, 7, 8, 12}
	c.Travel = func(from, to int) float64 {
		if from == AtStart {
			return at[to] / 2
		}
		return math.Abs(at[from]-at[to]) / 2
	}
	s := Sequence{Weight: c.Weight, Limit: 10000, Cost: func(from, test int) float64 { return c.Cost[test] + c.Travel(from, test) }}
	for k := range c.Cost {
		s.Splits = append(s.Splits, 1<<(k+1)-1)
	}
	want, first := c.Plan()
	got, test, ok := s.Plan()
	if math.Abs(got-want) > 1e-9 || test != first || !ok {
		t.Errorf("sequence %v first %d, chain %v first %d", got, test, want, first)
	}
}

// Two independent faults, a test after each repair: p .5 cost 1 and p .8 cost
// 2. Independent computation: 2.555555556 with the second first, else 2.777777778.
func TestRepairOrder(t *testing.T) {
	p, cost := []float64{.5, .8}, []float64{1, 2}
	if got := RepairOrder(p, cost, false); got[0] != 1 {
		t.Errorf("independent faults: order %v, want the second first", got)
	}
	calltest.Near(t, "second first", repairMinutes(p, cost, []int{1, 0}), 2.555555556, 1e-9, "independent computation")
	calltest.Near(t, "first first", repairMinutes(p, cost, []int{0, 1}), 2.777777778, 1e-9, "independent computation")
	// One fault among four: p/c puts C A D B first, expected cost 11.1.
	p, cost = []float64{.4, .3, .2, .1}, []float64{5, 15, 1, 4}
	if got := RepairOrder(p, cost, true); !slices.Equal(got, []int{2, 0, 3, 1}) {
		t.Errorf("single fault: order %v, want C A D B (independent computation, cost 11.1 over all 24 orders)", got)
	}
	// The rule is best on random cases.
	for k := range 300 {
		f := func(i, mod int) float64 { return float64((k*7919+i*104729)%mod + 1) }
		p = []float64{f(1, 18) / 20, f(2, 18) / 20, f(3, 18) / 20}
		cost = []float64{f(4, 9), f(5, 9), f(6, 9)}
		best := math.Inf(1)
		for _, o := range [][]int{{0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}} {
			best = min(best, repairMinutes(p, cost, o))
		}
		if got := repairMinutes(p, cost, RepairOrder(p, cost, false)); got > best+1e-9 {
			t.Fatalf("p %v cost %v: order costs %v, best %v", p, cost, got, best)
		}
	}
}

// repairMinutes is the expected cost of repairing in an order, a test after
// each, until all independent faults are gone, given that there is one.
func repairMinutes(p, cost []float64, order []int) float64 {
	total, none := 0.0, 1.0
	for _, q := range p {
		none *= 1 - q
	}
	for k := range order {
		sound := 1.0
		for _, i := range order[k:] {
			sound *= 1 - p[i]
		}
		total += cost[order[k]] * (1 - sound)
	}
	return total / (1 - none)
}
