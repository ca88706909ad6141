package diagnose

import (
	"fmt"
	"math"
	"testing"
)

// wilson is the 95 % score interval of k in n.
func wilson(k, n int) (lo, hi float64) {
	if n == 0 {
		return 0, 1
	}
	const z = 1.96
	p, m := float64(k)/float64(n), float64(n)
	mid := (p + z*z/(2*m)) / (1 + z*z/m)
	half := z / (1 + z*z/m) * math.Sqrt(p*(1-p)/m+z*z/(4*m*m))
	return mid - half, mid + half
}

func share(k, n int) string {
	lo, hi := wilson(k, n)
	return fmt.Sprintf("%d of %d = %.3f (95 %%: %.3f to %.3f)", k, n, float64(k)/float64(max(n, 1)), lo, hi)
}

// summarise prints what the calls came to and holds the goals: of calls with
// levels a true element is named first in 97 % with one fault and 90 % with
// two, the minutes are at most 1.05 of the exact optimum, and a stated 90 % is
// right between 87 and 93 % of the time wherever the path was said right.
func summarise(t *testing.T, seed uint64, all []simCall) {
	t.Logf("%d calls, seed %d", len(all), seed)
	var said []simCall
	for _, kind := range simKinds {
		var calls []simCall
		for _, v := range all {
			if v.kind == kind {
				calls = append(calls, v)
			}
		}
		if len(calls) == 0 {
			continue
		}
		if kind != simWrongPath {
			said = append(said, calls...)
		}
		for faults := 1; faults <= 3; faults++ {
			goal := 0.0
			if kind == simLevels {
				goal = []float64{0, 0.97, 0.90, 0}[faults]
			}
			namedFirst(t, kind, faults, goal, calls)
		}
		reliability(t, string(kind), calls, false)
		if kind != simLevels {
			continue
		}
		minutes := func(v simCall) float64 { return v.minutes }
		ratio(t, calls, "minutes against the walk from the receiver", 1, minutes, func(v simCall) float64 { return v.walk })
		ratio(t, calls, "minutes against half-split", 1, minutes, func(v simCall) float64 { return v.half })
		ratio(t, calls, "minutes against the exact optimum", 1.05, minutes, func(v simCall) float64 { return v.optimum })
		ratio(t, calls, "readings against the walk", 1, func(v simCall) float64 { return float64(v.readings) }, func(v simCall) float64 { return v.walkReads })
	}
	reliability(t, "all with the path said right", said, true)
}

// namedFirst prints how often the first repair was of an element at fault.
func namedFirst(t *testing.T, kind simKind, faults int, goal float64, calls []simCall) {
	var n, right, unit, mended, needless, count int
	for _, v := range calls {
		if v.faults != faults {
			continue
		}
		count++
		needless += v.needless
		if v.mended {
			mended++
		}
		if v.named {
			n++
			if v.firstRight {
				right++
			}
			if v.firstUnit {
				unit++
			}
		}
	}
	if count == 0 {
		return
	}
	t.Logf("%s, %d faults: %d calls, %d with a repair; needless swaps a call %.3f", kind, faults, count, n, float64(needless)/float64(count))
	t.Logf("   named a true element first: %s", share(right, n))
	t.Logf("   the same, dish and LNB as one: %s", share(unit, n))
	t.Logf("   every receiver passes in the end: %s", share(mended, count))
	if _, hi := wilson(unit, n); n > 0 && hi < goal {
		t.Errorf("with %d faults a true element is named first in %.3f of calls; the goal of %.2f lies above the interval", faults, float64(unit)/float64(n), goal)
	}
}

// ratio prints a ratio of means over the single-fault calls where both are known.
func ratio(t *testing.T, calls []simCall, name string, most float64, of, against func(simCall) float64) {
	var sum, base, sq float64
	n := 0
	for _, v := range calls {
		if b := against(v); b > 0 && v.named {
			sum, base, n = sum+of(v), base+b, n+1
		}
	}
	r := sum / base
	for _, v := range calls {
		if b := against(v); b > 0 && v.named {
			d := of(v) - r*b
			sq += d * d
		}
	}
	se := math.Sqrt(sq) / base // of a ratio of sums
	t.Logf("%s: %.2f / %.2f = %.3f +/- %.3f (%d single-fault calls)", name, sum/float64(n), base/float64(n), r, 1.96*se, n)
	if r-1.96*se > most {
		t.Errorf("%s: %.3f; the goal of %.2f lies below the interval", name, r, most)
	}
}

// reliability prints how often what was given a probability was so, by bins
// of a tenth, the last but one from 0.85 to 0.95, and holds that one to its goal.
func reliability(t *testing.T, what string, calls []simCall, goal bool) {
	edges := []float64{0, 0.05, 0.15, 0.25, 0.35, 0.45, 0.55, 0.65, 0.75, 0.85, 0.95, 1.001}
	n, hit, sum := make([]int, len(edges)), make([]int, len(edges)), make([]float64, len(edges))
	brier, total := 0.0, 0
	for _, v := range calls {
		for _, c := range v.claims {
			k := 0
			for c.p >= edges[k+1] {
				k++
			}
			n[k]++
			sum[k] += c.p
			x := 0.0
			if c.true {
				hit[k]++
				x = 1
			}
			brier += (c.p - x) * (c.p - x)
			total++
		}
	}
	t.Logf("%s: Brier score of %d claims: %.4f", what, total, brier/float64(max(total, 1)))
	for k := range len(edges) - 1 {
		t.Logf("   said %.3f: was so in %s", sum[k]/float64(max(n[k], 1)), share(hit[k], n[k]))
	}
	const ninety = 9
	if lo, hi := wilson(hit[ninety], n[ninety]); goal && n[ninety] > 0 && (lo > 0.93 || hi < 0.87) {
		t.Errorf("what was given 0.85 to 0.95 was so in %s; the goal is 0.87 to 0.93", share(hit[ninety], n[ninety]))
	}
}
