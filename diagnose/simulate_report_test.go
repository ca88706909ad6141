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

// summarise prints what the calls came to and holds the loosest of the goals.
func summarise(t *testing.T, seed uint64, calls []simCall) {
	t.Logf("%d calls, seed %d", len(calls), seed)
	for faults := 1; faults <= 3; faults++ {
		var n, named, right, unit, mended, needless, count int
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
				named++
				n++
				if v.firstRight {
					right++
				}
				if v.firstUnit {
					unit++
				}
			}
		}
		t.Logf("%d faults: %d calls, %d with a repair", faults, count, named)
		t.Logf("   named a true element first: %s", share(right, n))
		t.Logf("   the same, dish and LNB as one: %s", share(unit, n))
		t.Logf("   every receiver passes in the end: %s", share(mended, count))
		goal := []float64{0, 0.97, 0.90, 0}[faults]
		if _, hi := wilson(unit, n); n > 0 && hi < goal {
			t.Errorf("with %d faults a true element is named first in %.3f of calls; the goal of %.2f lies above the interval", faults, float64(unit)/float64(n), goal)
		}
		t.Logf("   needless swaps a call: %.3f", float64(needless)/float64(max(count, 1)))
	}
	reliability(t, calls)
	minutes := func(v simCall) float64 { return v.minutes }
	ratio(t, calls, "minutes against the walk from the receiver", 1, minutes, func(v simCall) float64 { return v.walk })
	ratio(t, calls, "minutes against half-split", 1, minutes, func(v simCall) float64 { return v.half })
	ratio(t, calls, "minutes against the exact optimum", 1.05, minutes, func(v simCall) float64 { return v.optimum })
	ratio(t, calls, "readings against the walk", 1, func(v simCall) float64 { return float64(v.readings) }, func(v simCall) float64 { return v.walkReads })
	ratio(t, calls, "minutes of the optimum against the walk", 1, func(v simCall) float64 { return v.optimum }, func(v simCall) float64 { return v.walk })
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

// reliability prints how often what was given a probability was so.
func reliability(t *testing.T, calls []simCall) {
	var n, hit [10]int
	var sum [10]float64
	brier, total := 0.0, 0
	for _, v := range calls {
		for _, c := range v.claims {
			k := min(int(c.p*10), 9)
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
	t.Logf("Brier score of %d claims: %.4f", total, brier/float64(max(total, 1)))
	for k := range n {
		t.Logf("   said %.3f: was so in %s", sum[k]/float64(max(n[k], 1)), share(hit[k], n[k]))
	}
}
