package fault

import (
	"math"
	"math/rand/v2"
	"testing"

	"downlead/diagnose/calltest"
)

// bruteForce weighs one set of faults as the model is written down: every
// choice of misreads, a dense covariance, no shortcut. At most one verdict.
func bruteForce(n *net, faults []NetFault) float64 {
	k := len(n.numbers)
	dead := make([]bool, k+len(n.verdicts))
	mean := make([]float64, k+len(n.verdicts))
	size := len(mean)
	cov := make([]float64, size*size)
	for _, f := range faults {
		for i := range mean {
			dead[i] = dead[i] || f.Variant.open != nil && f.Variant.open[i]
			mean[i] += f.Variant.shift[i]
			for j := range mean {
				cov[i*size+j] += f.Variant.spread * f.Variant.shift[i] * f.Variant.spread * f.Variant.shift[j]
			}
		}
	}
	for _, t := range n.tolerance {
		for i := range mean {
			for j := range mean {
				cov[i*size+j] += t[i] * t[j]
			}
		}
	}
	total := 0.0
	for choice := range 1 << k {
		total += n.weighChoice(choice, dead, append([]float64(nil), mean...), append([]float64(nil), cov...))
	}
	return total
}

// weighChoice is the weight of one choice of misreads: one number after the
// other, each given those before, then the verdict.
func (n *net) weighChoice(choice int, dead []bool, m, c []float64) float64 {
	k, size, weight := len(n.numbers), len(m), 1.0
	for i, r := range n.numbers {
		if choice>>i&1 == 1 {
			weight *= n.Misread * r.anything
			continue
		}
		weight *= 1 - n.Misread
		if dead[i] {
			weight *= math.Exp(logNormal(r.deviation, r.dead, r.deadSD))
			continue
		}
		v := c[i*size+i] + r.sd*r.sd
		d := r.deviation - m[i]
		weight *= math.Exp(logNormal(d, 0, math.Sqrt(v)))
		row := append([]float64(nil), c[i*size:(i+1)*size]...)
		for a := range m {
			gain := row[a] / v
			m[a] += gain * d
			for b := range m {
				c[a*size+b] -= gain * row[b]
			}
		}
	}
	for v, r := range n.verdicts {
		i := k + v
		x := (m[i] - r.limit) / math.Sqrt(c[i*size+i]+r.sd*r.sd)
		if dead[i] {
			x = (r.dead - r.limit) / r.sd
		}
		if !r.fail {
			x = -x
		}
		weight *= (1-r.misread)*phi(x) + r.misread/2
	}
	return weight
}

// randomNet draws a chain with everything the model knows: shared tolerances,
// faults of uncertain size, opens, misreads, two numbers and one verdict.
func randomNet(rng *rand.Rand) *net {
	n := &net{Misread: 0.02, MaxFaults: 3}
	parts := 3 + rng.IntN(3)
	sites := 3
	at := []int{rng.IntN(parts), rng.IntN(parts), rng.IntN(parts)}
	for range 2 {
		n.numbers = append(n.numbers, netNumber{
			deviation: 12*rng.Float64() - 2 + 30*float64(rng.IntN(5)/4), sd: 0.5 + rng.Float64(), dead: 38, deadSD: 5, anything: 1. / 80,
		})
	}
	n.verdicts = []netVerdict{{limit: 6 * rng.Float64(), sd: 1, fail: rng.IntN(2) == 0, dead: 38, misread: 0.02}}
	for range 3 {
		t := make([]float64, sites)
		from := rng.IntN(parts)
		sd := 2 * rng.Float64()
		for s := range t {
			if at[s] >= from {
				t[s] = sd
			}
		}
		n.tolerance = append(n.tolerance, t)
	}
	for p := range parts {
		v := func(shift, spread float64, open bool) netVariant {
			x := netVariant{share: 1, shift: make([]float64, sites), spread: spread, open: make([]bool, sites)}
			for s := range sites {
				if at[s] >= p {
					x.open[s] = open
					if !open {
						x.shift[s] = shift
					}
				}
			}
			return x
		}
		n.Parts = append(n.Parts, netPart{Modes: []netMode{
			{"flat", 0.02 + 0.1*rng.Float64(), []netVariant{v(8, .45, false)}},
			{"small", 0.05, []netVariant{v(3, 0, false)}},
			{"open", 0.02, []netVariant{v(0, 0, true)}},
		}})
	}
	return n
}

// TestPosteriorAgainstBruteForce: the Gram-matrix form, the classes, the
// removal of misreads and the conditional verdict give what the model says.
func TestPosteriorAgainstBruteForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	for range 60 {
		n := randomNet(rng)
		p := n.Posterior()
		faults := n.faults()
		prior := 1.0
		for i := range n.Parts {
			prior *= n.quiet(i)
		}
		z := prior * bruteForce(n, nil)
		want := map[[3]int]float64{{-1, -1, -1}: z}
		for a := range faults {
			w := prior * faults[a].odds * bruteForce(n, faults[a:a+1])
			want[[3]int{a, -1, -1}] = w
			z += w
			for b := a + 1; b < len(faults); b++ {
				if faults[b].Part == faults[a].Part {
					continue
				}
				z += prior * faults[a].odds * faults[b].odds * bruteForce(n, []NetFault{faults[a], faults[b]})
				for c := b + 1; c < len(faults); c++ {
					if faults[c].Part == faults[a].Part || faults[c].Part == faults[b].Part {
						continue
					}
					z += prior * faults[a].odds * faults[b].odds * faults[c].odds * bruteForce(n, []NetFault{faults[a], faults[b], faults[c]})
				}
			}
		}
		calltest.Near(t, "evidence", math.Exp(p.logZ)/z, 1, 1e-9, "enumeration of all sets and misreads")
		p.each(0, func(fs []NetFault, prob float64, _ *faultSet) {
			key := [3]int{-1, -1, -1}
			if len(fs) > 1 {
				return
			}
			for a := range faults {
				if len(fs) == 1 && faults[a].Part == fs[0].Part && faults[a].Mode == fs[0].Mode {
					key[0] = a
				}
			}
			calltest.Near(t, "single fault", prob, want[key]/z, 1e-9, "enumeration of all sets and misreads")
		})
	}
}

// gridEvidence is the evidence by tree sum-product on a grid of whole dB, for
// any number of faults: parts in a row, whole losses, no tolerance.
func gridEvidence(parts []testPart, numbers []testReading, verdicts []testVerdict, misread float64) float64 {
	const open = -1
	local := func(at, lost int) float64 {
		w := 1.0
		for _, r := range numbers {
			if r.at == at {
				m, sd := float64(lost), r.sd
				if lost == open {
					m, sd = 40, 1
				}
				w *= (1-misread)*math.Exp(logNormal(r.deviation, m, sd)) + misread/80
			}
		}
		for _, v := range verdicts {
			if v.at == at {
				m := float64(lost)
				if lost == open {
					m = 40
				}
				f := phi((m - v.margin) / v.sd)
				if !v.fail {
					f = 1 - f
				}
				w *= (1-misread)*f + misread/2
			}
		}
		return w
	}
	var up func(i, lost int) float64
	up = func(i, lost int) float64 {
		total, ok := 0.0, 1.0
		step := func(p float64, next int) {
			w := p * local(i, next)
			for c, q := range parts {
				if q.parent == i {
					w *= up(c, next)
				}
			}
			total += w
		}
		for _, m := range parts[i].modes {
			ok -= m.prior
			switch {
			case m.loss == nil || lost == open:
				step(m.prior, open)
			default:
				step(m.prior, lost+int(m.loss[0]))
			}
		}
		step(ok, lost)
		return total
	}
	return up(0, 0)
}

// The sum-product over all numbers of faults is the oracle of the enumeration,
// and its meter: what is left over is the weight of more than three faults.
func TestPosteriorAgainstSumProduct(t *testing.T) {
	parts := []testPart{{"a", -1, twoModes}, {"b", 0, twoModes}, {"c", 1, twoModes}, {"d", 1, twoModes}, {"e", 3, twoModes}, {"f", 4, twoModes}}
	rng := rand.New(rand.NewPCG(21, 22))
	for range 40 {
		numbers := []testReading{
			{at: 2, deviation: 14 * rng.Float64(), sd: 1}, {at: 5, deviation: 20 * rng.Float64(), sd: 1.2},
		}
		verdicts := []testVerdict{{rng.IntN(6), rng.IntN(2) == 0, 3, 1}, {rng.IntN(6), rng.IntN(2) == 0, 3, 1}}
		n := testNet(parts, numbers, verdicts, nil)
		n.Misread = 0.02
		for i := range n.verdicts {
			n.verdicts[i].misread = n.Misread
		}
		z, got := gridEvidence(parts, numbers, verdicts, n.Misread), math.Exp(n.Posterior().logZ)
		beyond := 1 - got/z
		if beyond < -1e-7 || beyond > 0.05 {
			t.Fatalf("enumeration leaves %v of the evidence to more than three faults", beyond)
		}
		// With three parts nothing is beyond, and both agree to the last places.
		small := parts[:3]
		numbers, verdicts = numbers[:1], []testVerdict{{1, true, 3, 1}}
		n = testNet(small, numbers, verdicts, nil)
		n.Misread, n.verdicts[0].misread = 0.02, 0.02
		calltest.Near(t, "evidence", math.Exp(n.Posterior().logZ)/gridEvidence(small, numbers, verdicts, 0.02), 1, 1e-9, "tree sum-product")
	}
}

func TestPosteriorProperties(t *testing.T) {
	rng := rand.New(rand.NewPCG(31, 32))
	for range 40 {
		n := randomNet(rng)
		p := n.Posterior()
		total := p.rest
		p.each(0, func(_ []NetFault, prob float64, _ *faultSet) {
			if prob < 0 || prob > 1+1e-12 {
				t.Fatalf("probability %v", prob)
			}
			total += prob
		})
		calltest.Near(t, "sum of probabilities", total, 1, 1e-9, "law of probability")
		if b := n.Beyond(); b < 0 || b > 1 {
			t.Fatalf("prior mass beyond is %v", b)
		}
		// A part with prior zero changes nothing.
		before := p.logZ
		extra := n.Parts[0].Modes[0]
		extra.Prior = 0
		n.Parts = append(n.Parts, netPart{Modes: []netMode{extra}})
		calltest.Near(t, "with an infallible part", n.Posterior().logZ, before, 1e-12, "law of probability")
	}
}

// The true set of faults keeps some probability under any finite misread.
func TestPosteriorSurvivesMisread(t *testing.T) {
	parts := rowOf(twoModes, "C1", "C2", "C3")
	for _, wild := range []float64{-1e6, -80, 25, 1e3, 1e9} {
		n := testNet(parts, []testReading{{at: 0, deviation: .2, sd: 1}, {at: 1, deviation: 6.1, sd: 1}, {at: 2, deviation: wild, sd: 1}}, nil, nil)
		n.Misread = 0.02
		if got := named(n, parts, n.Posterior())["C2:flat6"]; !(got > 0.1) {
			t.Errorf("one reading of %v dB leaves the true fault %v", wild, got)
		}
	}
}
