package fault

import "math"

// MaxFaultsAtOnce is the most faults that a hypothesis may hold.
const MaxFaultsAtOnce = 3

// fit is one set of classes laid against the numbers: how large the faults
// are, and what is left over.
type fit struct {
	k        int
	z        [MaxFaultsAtOnce]int // rows of the base
	spread   [MaxFaultsAtOnce]float64
	minv     [MaxFaultsAtOnce][MaxFaultsAtOnce]float64
	theta    [MaxFaultsAtOnce]float64 // size of each fault against its mean
	logLik   float64                  // with no misread
	misfit   float64                  // half the squared residual: the most that misreads could win
	residual []float64                // by number: inverse covariance times residual
	diagonal []float64                // of the inverse covariance
	filled   bool                     // residual and diagonal are up to date
}

// fit lays the classes cls against the live numbers of b. With residual r and
// shifts A of relative spread D, covariance S + A D A' (faults differ in size):
//
//	log N = constant - (r-A1)'P(r-A1)/2 + q'M^-1 q/2 - log|M|/2,
//	q = D^1/2 A'P(r-A1), M = I + D^1/2 A'P A D^1/2
func (b *base) fit(f *fit, classes []netClass, cls []int) {
	f.k, f.filled = len(cls), false
	quad := b.gram(0, 0)
	var q [MaxFaultsAtOnce]float64
	random := false
	for a, c := range cls {
		f.z[a], f.spread[a] = c+1, classes[c].spread
		random = random || f.spread[a] > 0
	}
	for a := range f.k {
		q[a] = b.gram(0, f.z[a])
		quad -= 2 * b.gram(0, f.z[a])
		for c := range f.k {
			q[a] -= b.gram(f.z[a], f.z[c])
			quad += b.gram(f.z[a], f.z[c])
		}
		q[a] *= f.spread[a]
		f.theta[a] = 1
	}
	f.logLik, f.misfit = b.constant-0.5*quad, 0.5*quad
	if !random {
		f.minv = [MaxFaultsAtOnce][MaxFaultsAtOnce]float64{}
		return
	}
	var m [MaxFaultsAtOnce][MaxFaultsAtOnce]float64
	for a := range f.k {
		for c := range f.k {
			m[a][c] = f.spread[a] * f.spread[c] * b.gram(f.z[a], f.z[c])
		}
		m[a][a]++
	}
	det := f.invertSmall(&m)
	gain := 0.0
	for a := range f.k {
		sum := 0.0
		for c := range f.k {
			sum += f.minv[a][c] * q[c]
		}
		f.theta[a] += f.spread[a] * sum
		gain += q[a] * sum
	}
	f.logLik += 0.5*gain - 0.5*math.Log(det)
	f.misfit -= 0.5 * gain
}

// invertSmall inverts the leading k*k block of m into minv and returns its
// determinant. M is symmetric and at least the unit matrix, so the closed
// forms are safe.
func (f *fit) invertSmall(m *[MaxFaultsAtOnce][MaxFaultsAtOnce]float64) float64 {
	switch f.k {
	case 1:
		f.minv[0][0] = 1 / m[0][0]
		return m[0][0]
	case 2:
		det := m[0][0]*m[1][1] - m[0][1]*m[0][1]
		f.minv[0][0], f.minv[1][1] = m[1][1]/det, m[0][0]/det
		f.minv[0][1] = -m[0][1] / det
		f.minv[1][0] = f.minv[0][1]
		return det
	}
	c00 := m[1][1]*m[2][2] - m[1][2]*m[1][2]
	c01 := m[0][2]*m[1][2] - m[0][1]*m[2][2]
	c02 := m[0][1]*m[1][2] - m[0][2]*m[1][1]
	det := m[0][0]*c00 + m[0][1]*c01 + m[0][2]*c02
	c11 := m[0][0]*m[2][2] - m[0][2]*m[0][2]
	c12 := m[0][1]*m[0][2] - m[0][0]*m[1][2]
	c22 := m[0][0]*m[1][1] - m[0][1]*m[0][1]
	f.minv[0] = [MaxFaultsAtOnce]float64{c00 / det, c01 / det, c02 / det}
	f.minv[1] = [MaxFaultsAtOnce]float64{c01 / det, c11 / det, c12 / det}
	f.minv[2] = [MaxFaultsAtOnce]float64{c02 / det, c12 / det, c22 / det}
	return det
}

// fill works out the residual of every number in the fitted covariance, and
// the diagonal of its inverse.
func (b *base) fill(f *fit) {
	if f.filled {
		return
	}
	f.filled = true
	n := b.n
	for _, i := range b.live {
		v, d := b.row(0)[i], b.p[i*n+i]
		for a := range f.k {
			ua := b.row(f.z[a])[i]
			v -= f.theta[a] * ua
			for c := range f.k {
				d -= f.spread[a] * f.minv[a][c] * f.spread[c] * ua * b.row(f.z[c])[i]
			}
		}
		f.residual[i], f.diagonal[i] = v, d
	}
}

// inverse is the element i,j of the inverse of the fitted covariance.
func (b *base) inverse(f *fit, i, j int) float64 {
	n := b.n
	d := b.p[i*n+j]
	for a := range f.k {
		for c := range f.k {
			d -= f.spread[a] * f.minv[a][c] * f.spread[c] * b.row(f.z[a])[i] * b.row(f.z[c])[j]
		}
	}
	return d
}

// misreads says which numbers are taken to be misread, at most two, and the
// inverse of the block of the inverse covariance that they span.
type misreads struct {
	count int
	at    [2]int
	block [2][2]float64 // inverse of the block
}

// without1 is the log likelihood with number i misread, and without2 with i
// and j: leaving readings out of a Gaussian divides by their density given
// the others.
func (b *base) without1(f *fit, i int) (float64, misreads) {
	v, d := f.residual[i], f.diagonal[i]
	m := misreads{count: 1, at: [2]int{i}}
	m.block[0][0] = 1 / d
	return f.logLik + b.lost[i] + 0.5*v*v/d - 0.5*math.Log(d), m
}

func (b *base) without2(f *fit, i, j int) (float64, misreads) {
	dii, djj, dij := f.diagonal[i], f.diagonal[j], b.inverse(f, i, j)
	det := dii*djj - dij*dij
	m := misreads{count: 2, at: [2]int{i, j}}
	m.block = [2][2]float64{{djj / det, -dij / det}, {-dij / det, dii / det}}
	vi, vj := f.residual[i], f.residual[j]
	gain := 0.5 * (vi*vi*djj - 2*vi*vj*dij + vj*vj*dii) / det
	return f.logLik + b.lost[i] + b.lost[j] + gain - 0.5*math.Log(det), m
}
