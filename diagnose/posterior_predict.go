package diagnose

import "math"

// prediction is what one set of faults makes of a place that is yet to be read.
type prediction struct {
	dead     bool
	mean, sd float64 // deviation below a healthy level, the meter's spread included
}

// predictor works out predictions for one set of live numbers.
type predictor struct {
	cov  []float64 // place*numbers: covariance with the numbers
	u    []float64 // place*numbers: inverse covariance times it
	gram []float64 // place*z
	rest []float64 // by place: variance that the numbers leave
}

// predictors keeps one predictor for each base.
type predictors struct {
	p    *posterior
	made map[*base]*predictor
	fit  fit
}

func newPredictors(p *posterior) *predictors {
	n := len(p.net.numbers)
	return &predictors{p: p, made: map[*base]*predictor{}, fit: fit{residual: make([]float64, n), diagonal: make([]float64, n)}}
}

func (ps *predictors) of(b *base) *predictor {
	if q := ps.made[b]; q != nil {
		return q
	}
	net := ps.p.net
	first := len(net.numbers) + len(net.verdicts)
	x, n := len(net.places), b.n
	q := &predictor{make([]float64, x*n), make([]float64, x*n), make([]float64, x*b.z), make([]float64, x)}
	for i := range x {
		row := net.covariance(first + i)
		copy(q.cov[i*n:], row)
		variance := 0.0
		for _, t := range net.tolerance {
			variance += t[first+i] * t[first+i]
		}
		for _, a := range b.live {
			sum := 0.0
			for _, c := range b.live {
				sum += b.p[a*n+c] * row[c]
			}
			q.u[i*n+a] = sum
			variance -= sum * row[a]
		}
		q.rest[i] = max(variance, 0)
		for z := range b.z {
			sum := 0.0
			for _, a := range b.live {
				sum += row[a] * b.u[z*n+a]
			}
			q.gram[i*b.z+z] = sum
		}
	}
	ps.made[b] = q
	return q
}

// predict fills out with what a set of faults, one member of each class of s,
// makes of every place. The spoken verdicts have already weighed the set; they
// do not move the levels again.
func (ps *predictors) predict(s *faultSet, faults []netFault, out []prediction) {
	b, f, net := s.base, &ps.fit, ps.p.net
	q := ps.of(b)
	var buf [maxFaultsAtOnce]int
	b.fit(f, ps.p.classes, s.classSlice(&buf))
	var m misreads
	if s.misreads > 0 {
		b.fill(f)
		if s.misreads == 1 {
			_, m = b.without1(f, int(s.misread[0]))
		} else {
			_, m = b.without2(f, int(s.misread[0]), int(s.misread[1]))
		}
	}
	first := len(net.numbers) + len(net.verdicts)
	for i := range net.places {
		site := first + i
		out[i] = prediction{}
		for _, fl := range faults {
			out[i].dead = out[i].dead || fl.variant.open != nil && fl.variant.open[site]
		}
		if out[i].dead {
			continue
		}
		mean, variance := q.gram[i*b.z], q.rest[i]
		var e [maxFaultsAtOnce]float64
		for a := range f.k {
			e[a] = faults[a].variant.shift[site] - q.gram[i*b.z+f.z[a]]
			mean += e[a] * f.theta[a]
		}
		for a := range f.k {
			// A fault that no number has seen keeps its own spread.
			spread := f.spread[a]
			if ps.p.classes[f.z[a]-1].null {
				sh := faults[a].variant.spread * faults[a].variant.shift[site]
				variance += sh * sh
				continue
			}
			for c := range f.k {
				variance += e[a] * spread * f.minv[a][c] * f.spread[c] * e[c]
			}
		}
		mean, variance = q.adjust(b, f, &m, e, i, mean, variance)
		sd := net.places[i].sd
		out[i].mean, out[i].sd = mean, math.Sqrt(max(variance, 0)+sd*sd)
	}
}

// adjust takes the misread numbers out of a prediction.
func (q *predictor) adjust(b *base, f *fit, m *misreads, e [maxFaultsAtOnce]float64, i int, mean, variance float64) (float64, float64) {
	var kappa [2]float64
	for x := range m.count {
		at := m.at[x]
		kappa[x] = q.u[i*b.n+at]
		for a := range f.k {
			for c := range f.k {
				kappa[x] += b.u[f.z[a]*b.n+at] * f.spread[a] * f.minv[a][c] * f.spread[c] * e[c]
			}
		}
	}
	for x := range m.count {
		for y := range m.count {
			mean -= kappa[x] * m.block[x][y] * f.residual[m.at[y]]
			variance += kappa[x] * m.block[x][y] * kappa[y]
		}
	}
	return mean, variance
}

// levelBins is how finely a level to be read is told apart: bins of 2.5 dB
// from 5 dB over a healthy level to 20 dB under it, and what lies beyond.
const (
	levelBins = 12
	binStart  = -5.0
	binWidth  = 2.5
)

// bin fills like with the probability of each bin of the place's level, a
// misread or an unknown fault on the way there (share lost) being anything.
func (pr prediction) bin(pl netPlace, lost float64, like []float64) {
	mean, sd := pr.mean, pr.sd
	if pr.dead {
		mean, sd = pl.dead, pl.deadSD
	}
	below := 0.0
	for o := range levelBins {
		upto := 1.0
		if o < levelBins-1 {
			switch z := (binStart + binWidth*float64(o) - mean) / sd; {
			case z < -8:
				upto = 0
			case z < 8:
				upto = phi(z)
			}
		}
		like[o] = (1-lost)*(upto-below) + lost/levelBins
		below = upto
	}
}
