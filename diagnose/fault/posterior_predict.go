package fault

import "math"

// prediction is what one set of faults makes of a place that is yet to be read.
type prediction struct {
	dead     bool
	mean, sd float64 // deviation below a healthy level, the meter's spread included
}

// predictor works out predictions for one set of live numbers.
type predictor struct {
	u     []float64 // place*numbers: inverse covariance times the place's covariance
	rest  []float64 // by place: variance that the numbers leave
	cross []float64 // place*verdict: covariance that they leave
}

// predictors keeps one predictor for each base.
type predictors struct {
	*weigher
	made   map[*base]*predictor
	places [][]float64 // by place: the covariance of its level with the numbers
	states []placeState
	cross  []float64 // verdict*place: covariance of their levels
}

// placeState is the level at a place on its way to a prediction.
type placeState struct {
	mean, variance float64
	e              [MaxFaultsAtOnce]float64 // each fault's shift, less what the numbers predict of it
	kappa          [2]float64               // weight of the misread numbers
}

func newPredictors(p *posterior) *predictors {
	n := len(p.net.numbers)
	w := &weigher{posterior: p, scratch: newVerdictScratch(p.net)}
	w.fit.residual, w.fit.diagonal = make([]float64, n), make([]float64, n)
	x := len(p.net.Places)
	places := make([][]float64, x)
	for i := range places {
		places[i] = p.net.covariance(n + len(p.net.verdicts) + i)
	}
	return &predictors{w, map[*base]*predictor{}, places, make([]placeState, x), make([]float64, x*len(p.net.verdicts))}
}

func (ps *predictors) of(b *base) *predictor {
	if q := ps.made[b]; q != nil {
		return q
	}
	net := ps.net
	n, nv := b.n, len(net.verdicts)
	first, verdictRow := len(net.numbers)+nv, 1+len(ps.Classes)
	x := len(net.Places)
	q := &predictor{make([]float64, x*n), make([]float64, x), make([]float64, x*nv)}
	for i := range x {
		row := ps.places[i]
		for _, t := range net.tolerance {
			q.rest[i] += t[first+i] * t[first+i]
			for v := range nv {
				q.cross[i*nv+v] += t[first+i] * t[n+v]
			}
		}
		for _, a := range b.live {
			sum := 0.0
			for _, c := range b.live {
				sum += b.p[a*n+c] * row[c]
			}
			q.u[i*n+a] = sum
			q.rest[i] -= sum * row[a]
		}
		for v := range nv {
			q.cross[i*nv+v] -= b.against(row, verdictRow+v)
		}
	}
	ps.made[b] = q
	return q
}

// predict fills out with what a set of faults, one member of each class of s,
// makes of every place, given all numbers and verdicts.
func (ps *predictors) predict(s *faultSet, faults []NetFault, out []prediction) {
	b, f, net := s.base, &ps.fit, ps.net
	q := ps.of(b)
	var buf [MaxFaultsAtOnce]int
	cls := s.classSlice(&buf)
	b.fit(f, ps.Classes, cls)
	m := ps.refit(s)
	first := len(net.numbers) + len(net.verdicts)
	for i := range net.Places {
		site, st := first+i, &ps.states[i]
		*st = placeState{mean: b.against(ps.places[i], 0), variance: q.rest[i]}
		out[i] = prediction{}
		for a, fl := range faults {
			out[i].dead = out[i].dead || fl.Variant.open != nil && fl.Variant.open[site]
			st.e[a] = fl.Variant.shift[site] - b.against(ps.places[i], f.z[a])
			st.mean += st.e[a] * f.theta[a]
			if ps.Classes[cls[a]].null { // a fault that no reading has felt keeps its own spread
				own := fl.Variant.spread * fl.Variant.shift[site]
				st.variance += own * own
			}
		}
		st.variance += f.joint(&st.e, &st.e)
		q.adjust(b, f, &m, i, st)
	}
	ps.hear(b, q, &m, cls)
	for i := range net.Places {
		sd := net.Places[i].sd
		out[i].mean, out[i].sd = ps.states[i].mean, math.Sqrt(max(ps.states[i].variance, 0)+sd*sd)
	}
}

// refit gives the misreads that the set just fitted was likeliest with.
func (ps *predictors) refit(s *faultSet) (m misreads) {
	switch s.misreads {
	case 1:
		s.base.fill(&ps.fit)
		_, m = s.base.without1(&ps.fit, int(s.misread[0]))
	case 2:
		s.base.fill(&ps.fit)
		_, m = s.base.without2(&ps.fit, int(s.misread[0]), int(s.misread[1]))
	}
	return m
}

// joint is the covariance that the sizes of the faults give two sites.
func (f *fit) joint(x, y *[MaxFaultsAtOnce]float64) float64 {
	sum := 0.0
	for a := range f.k {
		for c := range f.k {
			sum += x[a] * f.spread[a] * f.minv[a][c] * f.spread[c] * y[c]
		}
	}
	return sum
}

// hear lets the verdicts move the levels at the places, one after the other,
// by the moments that they leave.
func (ps *predictors) hear(b *base, q *predictor, m *misreads, cls []int) {
	nv, x, sc := len(ps.net.verdicts), len(ps.net.Places), &ps.scratch
	if nv == 0 {
		return
	}
	ps.weigher.predict(b, &ps.fit, m, cls)
	var dead uint64
	for _, c := range cls {
		dead |= ps.Classes[c].deadVerd
	}
	for v := range nv {
		e := [MaxFaultsAtOnce]float64(sc.e[v*MaxFaultsAtOnce : (v+1)*MaxFaultsAtOnce])
		for i := range x {
			st := &ps.states[i]
			c := q.cross[i*nv+v] + ps.fit.joint(&e, &st.e)
			for r := range m.count {
				for t := range m.count {
					c += sc.kappa[2*v+r] * m.block[r][t] * st.kappa[t]
				}
			}
			ps.cross[v*x+i] = c
		}
	}
	for v, r := range ps.net.verdicts {
		if dead>>v&1 == 1 {
			continue
		}
		_, gain, shrink := r.weigh(sc.mean[v], sc.cov[v*nv+v])
		for i := range x {
			c := ps.cross[v*x+i]
			ps.states[i].mean += gain * c
			ps.states[i].variance -= shrink * c * c
			for later := v + 1; later < nv; later++ {
				ps.cross[later*x+i] -= shrink * sc.cov[v*nv+later] * c
			}
		}
		sc.update(v, nv, gain, shrink)
	}
}

// adjust takes the misread numbers out of the level at a place.
func (q *predictor) adjust(b *base, f *fit, m *misreads, i int, st *placeState) {
	for x := range m.count {
		at := m.at[x]
		var u [MaxFaultsAtOnce]float64
		for a := range f.k {
			u[a] = b.row(f.z[a])[at]
		}
		st.kappa[x] = q.u[i*b.n+at] + f.joint(&u, &st.e)
	}
	for x := range m.count {
		for y := range m.count {
			st.mean -= st.kappa[x] * m.block[x][y] * f.residual[m.at[y]]
			st.variance += st.kappa[x] * m.block[x][y] * st.kappa[y]
		}
	}
}

// levelBins is how finely a level to be read is told apart: bins of 2.5 dB
// from 5 dB over a healthy level to 20 dB under it, and what lies beyond.
const (
	levelBins = 12
	binStart  = -5.0
	binWidth  = 2.5
)

// Bins is into how many outcomes a reading at a place falls.
func Bins(spoken bool) int {
	if spoken {
		return 2
	}
	return levelBins
}

// Speak fills like with the probabilities of a fail and of a pass.
func (pr prediction) Speak(pl netPlace, lost float64, like []float64) {
	fail := 1.0
	if !pr.dead {
		fail = phi((pr.mean - pl.limit) / pr.sd)
	}
	like[0] = (1-lost)*fail + lost/2
	like[1] = 1 - like[0]
}

// Bin fills like with the probability of each bin of the place's level, a
// misread or an unknown fault on the way there (share lost) being anything.
func (pr prediction) Bin(pl netPlace, lost float64, like []float64) {
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
