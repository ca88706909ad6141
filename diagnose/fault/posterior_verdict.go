package fault

import "math"

// verdictScratch holds the levels at the verdicts' sites, given the numbers.
type verdictScratch struct {
	healthy []float64 // covariance of the healthy levels: v*v
	mean    []float64
	cov     []float64 // v*v
	e       []float64 // v*maxFaultsAtOnce: each fault's shift, less what the numbers predict of it
	kappa   []float64 // v*2: weight of the misread numbers in the prediction
}

func newVerdictScratch(n *net) verdictScratch {
	k, v := len(n.numbers), len(n.verdicts)
	s := verdictScratch{
		healthy: make([]float64, v*v), mean: make([]float64, v), cov: make([]float64, v*v),
		e: make([]float64, v*MaxFaultsAtOnce), kappa: make([]float64, v*2),
	}
	for _, t := range n.tolerance {
		for i := range v {
			for j := range v {
				s.healthy[i*v+j] += t[k+i] * t[k+j]
			}
		}
	}
	return s
}

// predict fills the mean and covariance of the deviations at the verdicts'
// sites, given the numbers that are neither dead nor misread.
func (w *weigher) predict(b *base, f *fit, m *misreads, cls []int) {
	s, nv := &w.scratch, len(w.net.verdicts)
	n := b.n
	first := 1 + len(w.Classes)
	for v := range nv {
		s.mean[v] = b.gram(0, first+v)
		for a, c := range cls {
			e := w.Classes[c].shift[n+v] - b.gram(f.z[a], first+v)
			s.e[v*MaxFaultsAtOnce+a] = e
			s.mean[v] += e * f.theta[a]
		}
		for i := range m.count {
			at := m.at[i]
			kappa := b.row(first + v)[at]
			for a := range f.k {
				for c := range f.k {
					kappa += b.row(f.z[a])[at] * f.spread[a] * f.minv[a][c] * f.spread[c] * s.e[v*MaxFaultsAtOnce+c]
				}
			}
			s.kappa[2*v+i] = kappa
		}
		for i := range m.count {
			for j := range m.count {
				s.mean[v] -= s.kappa[2*v+i] * m.block[i][j] * f.residual[m.at[j]]
			}
		}
	}
	for v := range nv {
		for x := v; x < nv; x++ {
			c := s.healthy[v*nv+x] - b.gram(first+v, first+x)
			for a := range f.k {
				for d := range f.k {
					c += s.e[v*MaxFaultsAtOnce+a] * f.spread[a] * f.minv[a][d] * f.spread[d] * s.e[x*MaxFaultsAtOnce+d]
				}
			}
			for i := range m.count {
				for j := range m.count {
					c += s.kappa[2*v+i] * m.block[i][j] * s.kappa[2*x+j]
				}
			}
			s.cov[v*nv+x], s.cov[x*nv+v] = c, c
		}
	}
}

// verdicts adds to a term the log probability of the verdicts given the
// faults and the numbers: exact for one verdict and for verdicts that share no
// tolerance, else by matching moments after each (assumed-density filtering).
// It stops under the limit.
func (w *weigher) verdicts(b *base, f *fit, t *term, cls []int, dead uint64, limit float64) float64 {
	s, nv := &w.scratch, len(w.net.verdicts)
	w.predict(b, f, &t.m, cls)
	total := t.log
	for v, r := range w.net.verdicts {
		if total < limit {
			return total
		}
		if dead>>v&1 == 1 {
			total += r.deadLog()
			continue
		}
		variance := max(s.cov[v*nv+v], 0)
		log, gain, shrink := r.weigh(s.mean[v], variance)
		total += log
		if v+1 < nv && variance > 0 {
			s.update(v, nv, gain, shrink)
		}
	}
	return total
}

// sign is +1 for a fail.
func (r netVerdict) sign() float64 {
	if r.fail {
		return 1
	}
	return -1
}

// deadLog is the log probability of the verdict on a dead end.
func (r netVerdict) deadLog() float64 {
	return math.Log((1-r.misread)*phi(r.sign()*(r.dead-r.limit)/r.sd) + r.misread/2)
}

// weigh is the log probability of the verdict where the deviation has a mean
// and a variance, and its first derivative and less its second by the mean:
// what the verdict does to the moments of all that goes with it.
func (r netVerdict) weigh(mean, variance float64) (log, gain, shrink float64) {
	sign, sd := r.sign(), math.Sqrt(variance+r.sd*r.sd)
	x := sign * (mean - r.limit) / sd
	all := (1-r.misread)*phi(x) + r.misread/2
	if all <= 0 { // far beyond the tail: the leading term of its expansion
		return logNormal(x, 0, 1) - math.Log(-x), -sign * x / sd, 1 / (sd * sd)
	}
	ratio := (1 - r.misread) * math.Exp(logNormal(x, 0, 1)) / all
	return math.Log(all), sign * ratio / sd, ratio * (x + ratio) / (sd * sd)
}

// update shifts the means by gain times, and shrinks the covariance by shrink
// times, the covariance with site v.
func (s *verdictScratch) update(v, nv int, gain, shrink float64) {
	for i := v + 1; i < nv; i++ {
		s.mean[i] += gain * s.cov[v*nv+i]
	}
	for i := v + 1; i < nv; i++ {
		for j := v + 1; j < nv; j++ {
			s.cov[i*nv+j] -= shrink * s.cov[v*nv+i] * s.cov[v*nv+j]
		}
	}
}
