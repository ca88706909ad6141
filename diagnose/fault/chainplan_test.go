package fault

import (
	"math"
	"math/rand/v2"
	"testing"
)

func still(int, int) float64 { return 0 }

func TestChainPlan(t *testing.T) {
	// Joints on a line, travel at one minute a unit.
	line := func(start float64, at ...float64) func(int, int) float64 {
		return func(from, to int) float64 {
			if from == AtStart {
				return math.Abs(start - at[to])
			}
			return math.Abs(at[from] - at[to])
		}
	}
	equal := func(n int) (w, c []float64) {
		for range n {
			w, c = append(w, 1), append(c, 1)
		}
		return w, c[1:]
	}
	w8, c8 := equal(8)
	w16, c16 := equal(16)
	w24, c24 := equal(24)
	tests := []struct {
		name   string
		chain  Chain
		want   float64
		source string
	}{
		{
			"contest sample",
			Chain{[]float64{1, 2, 3, 4, 9, 3}, []float64{1, 1, 1, 1, 1}, still},
			53,
			"a public programming contest's sample for merging in a row; a Huffman tree, free of the order, has 51",
		},
		{"dear middle", Chain{[]float64{1, 2, 3, 4}, []float64{1, 5, 1}, still}, 41, "independent computation"},
		{"greedy is wrong", Chain{[]float64{9, 1, 1}, []float64{5, 3}, still}, 61, "independent computation; bits a minute gives 83"},
		{"Knuth's window is wrong", Chain{[]float64{3, 3, 1, 1}, []float64{4, 3, 1}, still}, 48, "independent computation; the window gives 49"},
		{"travel from the left", Chain{[]float64{1, 2, 3, 4}, []float64{1, 1, 1}, line(0, 0, 4, 5)}, 69, "independent computation"},
		{"travel from the right", Chain{[]float64{1, 2, 3, 4}, []float64{1, 1, 1}, line(5, 0, 4, 5)}, 37, "independent computation"},
		{"8 equal", Chain{w8, c8, still}, 8 * 3.000, "independent computation"},
		{"16 equal", Chain{w16, c16, still}, 16 * 4.000, "independent computation"},
		{"24 equal", Chain{w24, c24, still}, 112, "independent computation: 4.667 checks a fault"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got, _ := tt.chain.Plan(); math.Abs(got-tt.want) > 1e-9 {
				t.Errorf("cost %v, want %v (%s)", got, tt.want, tt.source)
			}
		})
	}
}

func TestChainPlanNothingToMeasure(t *testing.T) {
	inf := math.Inf(1)
	if got, first := (Chain{[]float64{1, 2, 3}, []float64{inf, inf}, still}).Plan(); got != 0 || first != -1 {
		t.Errorf("with no joint in reach: cost %v first %d, want 0 and -1", got, first)
	}
	if got, first := (Chain{[]float64{1}, nil, still}).Plan(); got != 0 || first != -1 {
		t.Errorf("with one element: cost %v first %d, want 0 and -1", got, first)
	}
	// An unreachable joint leaves its neighbours as one.
	if got, first := (Chain{[]float64{1, 2, 3}, []float64{inf, 2}, still}).Plan(); got != 12 || first != 1 {
		t.Errorf("with the first joint out of reach: cost %v first %d, want 12 and 1", got, first)
	}
}

// walkCost is the cost of the linear walk from the receiver, joint by joint,
// until one passes; halfCost that of always going to the middle joint.
func walkCost(c Chain) float64 {
	total := 0.0
	for f, w := range c.Weight {
		from, cost := AtStart, 0.0
		for k := len(c.Cost) - 1; k >= 0; k-- {
			cost += c.Cost[k] + c.Travel(from, k)
			from = k
			if f > k {
				break
			}
		}
		total += w * cost
	}
	return total
}

func halfCost(c Chain) float64 {
	total := 0.0
	for f, w := range c.Weight {
		i, j, from, cost := 0, len(c.Weight)-1, AtStart, 0.0
		for i < j {
			k := (i + j - 1) / 2
			cost += c.Cost[k] + c.Travel(from, k)
			from = k
			if f <= k {
				j = k
			} else {
				i = k + 1
			}
		}
		total += w * cost
	}
	return total
}

// TestChainPlanIsNeverWorse holds the plan against the two habits of the
// trade on random chains with travel.
func TestChainPlanIsNeverWorse(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 500 {
		n := 2 + rng.IntN(12)
		c := Chain{Weight: make([]float64, n), Cost: make([]float64, n-1)}
		at := make([]float64, n-1)
		for i := range c.Weight {
			c.Weight[i] = rng.Float64()
		}
		for i := range c.Cost {
			c.Cost[i], at[i] = 0.1+5*rng.Float64(), 10*rng.Float64()
		}
		c.Travel = func(from, to int) float64 {
			if from == AtStart {
				return at[to]
			}
			return math.Abs(at[from] - at[to])
		}
		got, _ := c.Plan()
		if walk := walkCost(c); got > walk+1e-9 {
			t.Fatalf("plan %v costs more than the walk %v: %+v", got, walk, c)
		}
		if half := halfCost(c); got > half+1e-9 {
			t.Fatalf("plan %v costs more than half-split %v: %+v", got, half, c)
		}
	}
}

// Mean checks of the two habits with equal odds and unit cost: independent
// computation.
func TestHabits(t *testing.T) {
	for _, tt := range []struct {
		n          int
		half, walk float64
	}{{8, 3.000, 4.375}, {16, 4.000, 8.4375}, {24, 112. / 24, 12.4583333333}} {
		c := Chain{make([]float64, tt.n), make([]float64, tt.n-1), still}
		for i := range c.Weight {
			c.Weight[i] = 1 / float64(tt.n)
		}
		for i := range c.Cost {
			c.Cost[i] = 1
		}
		if got := halfCost(c); math.Abs(got-tt.half) > 1e-9 {
			t.Errorf("half-split of %d: %v, want %v", tt.n, got, tt.half)
		}
		if got := walkCost(c); math.Abs(got-tt.walk) > 1e-9 {
			t.Errorf("walk over %d: %v, want %v", tt.n, got, tt.walk)
		}
	}
}
