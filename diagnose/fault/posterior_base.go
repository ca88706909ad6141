package fault

import (
	"math"
	"slices"
)

// base is the Gaussian model of the numbers for one set of dead readings: what
// the weight of a set of faults needs, worked out once for all sets that leave
// the same readings alive. With P the inverse covariance of the live numbers
// (zero in the rows of dead ones), vectors z_0 the deviations, z_1.. the shifts
// of the classes, and after them the covariances of each verdict's level with
// the numbers, it gives the rows of U = P z and the elements of the Gram matrix
// G = z' P z. Few of them are needed of most bases, and there may be thousands
// of bases with hundreds of vectors: what is needed is worked out then, and kept.
type base struct {
	n        int
	live     []int     // numbers that are not dead
	p        []float64 // n*n
	vectors  [][]float64
	rows     [][]float64 // of U; nil until needed
	products [][]float64 // of G, above and on its diagonal; nil and NaN until needed
	constant float64     // log density of a perfect fit, and of the dead readings
	lost     []float64   // by number: what calling it a misread adds, apart from the fit and the spread
	slack    float64     // the most that a misread's spread can add: log of the widest spread of a live number
	lost1    float64     // the most that calling one, or two, numbers misreads can add to a perfect fit
	lost2    float64
}

// vectors are the z of base, which do not depend on what is dead.
type vectors struct {
	of     [][]float64
	widest []float64 // by number: the largest shift that a class gives it
}

func (n *net) vectors(classes []netClass) vectors {
	k := len(n.numbers)
	out := make([][]float64, 0, 1+len(classes)+len(n.verdicts))
	dev := make([]float64, k)
	for i, r := range n.numbers {
		dev[i] = min(max(r.deviation, -widestDeviation), widestDeviation)
	}
	out = append(out, dev)
	widest := make([]float64, k)
	for _, c := range classes {
		out = append(out, c.shift[:k])
		for i := range k {
			widest[i] = max(widest[i], math.Abs(c.shift[i]))
		}
	}
	for v := range n.verdicts {
		out = append(out, n.covariance(k+v))
	}
	return vectors{out, widest}
}

// widestDeviation is where a deviation is cut off, so that the squares of the
// wildest misreads leave room in a float64. No meter shows such a figure.
const widestDeviation = 1e4

// covariance is that of a site's healthy level with those of the numbers.
func (n *net) covariance(site int) []float64 {
	out := make([]float64, len(n.numbers))
	for _, t := range n.tolerance {
		if t[site] == 0 {
			continue
		}
		for i := range out {
			out[i] += t[site] * t[i]
		}
	}
	return out
}

// newBase works out the model with the numbers of mask dead.
func (n *net) newBase(v vectors, mask uint64) *base {
	k := len(n.numbers)
	b := &base{n: k, vectors: v.of, rows: make([][]float64, len(v.of)), products: make([][]float64, len(v.of))}
	for i := range k {
		if mask>>i&1 == 0 {
			b.live = append(b.live, i)
		}
	}
	logDet := b.invert(n)
	live := float64(len(b.live))
	b.constant = -0.5*logDet - 0.5*live*math.Log(2*math.Pi) + live*math.Log1p(-n.Misread)
	b.lost = make([]float64, k)
	for i, r := range n.numbers {
		if mask>>i&1 == 1 {
			b.constant += n.deadLog(i)
			continue
		}
		b.lost[i] = math.Log(n.Misread*r.anything) - math.Log1p(-n.Misread) + 0.5*math.Log(2*math.Pi)
	}
	b.bound(n, v.widest)
	return b
}

// row is the row of U of vector z; dead numbers have none.
func (b *base) row(z int) []float64 {
	if b.rows[z] == nil {
		b.rows[z] = make([]float64, b.n)
		for _, i := range b.live {
			sum := 0.0
			for _, j := range b.live {
				sum += b.p[i*b.n+j] * b.vectors[z][j]
			}
			b.rows[z][i] = sum
		}
	}
	return b.rows[z]
}

// gram is the element x,y of G.
func (b *base) gram(x, y int) float64 {
	if x > y {
		x, y = y, x
	}
	row := b.products[x]
	if row == nil {
		row = slices.Repeat([]float64{math.NaN()}, len(b.vectors)-x)
		b.products[x] = row
	}
	if math.IsNaN(row[y-x]) {
		row[y-x] = b.against(b.vectors[x], y)
	}
	return row[y-x]
}

// against is the product of a vector with row z of U.
func (b *base) against(vector []float64, z int) float64 {
	row, sum := b.row(z), 0.0
	for _, i := range b.live {
		sum += vector[i] * row[i]
	}
	return sum
}

// deadLog is the log density of number i on a dead end.
func (n *net) deadLog(i int) float64 {
	r := n.numbers[i]
	return math.Log((1-n.Misread)*math.Exp(logNormal(r.deviation, r.dead, r.deadSD)) + n.Misread*r.anything)
}

// bound works out what calling numbers misreads can add at most.
func (b *base) bound(n *net, shift []float64) {
	widest := 0.0
	b.lost1 = math.Inf(-1)
	for _, i := range b.live {
		variance := n.numbers[i].sd * n.numbers[i].sd
		for _, t := range n.tolerance {
			variance += t[i] * t[i]
		}
		variance += MaxFaultsAtOnce * shift[i] * shift[i] // relative spreads stay under 1
		widest = max(widest, variance)
		b.lost1 = max(b.lost1, b.lost[i])
	}
	b.slack = 0.5 * math.Log(max(widest, 1))
	b.lost1 += b.slack
	b.lost2 = 2 * b.lost1
}

// invert fills p and returns the log determinant of the covariance.
func (b *base) invert(n *net) float64 {
	m := len(b.live)
	cov := make([]float64, m*m)
	for _, t := range n.tolerance {
		for i, a := range b.live {
			if t[a] == 0 {
				continue
			}
			for j, c := range b.live {
				cov[i*m+j] += t[a] * t[c]
			}
		}
	}
	for i, a := range b.live {
		cov[i*m+i] += n.numbers[a].sd * n.numbers[a].sd
	}
	logDet := invertSPD(cov, m)
	b.p = make([]float64, b.n*b.n)
	for i, a := range b.live {
		for j, c := range b.live {
			b.p[a*b.n+c] = cov[i*m+j]
		}
	}
	return logDet
}

// invertSPD inverts a symmetric positive definite m*m matrix in place, by its
// Cholesky factor, and returns the log of its determinant.
func invertSPD(a []float64, m int) float64 {
	logDet := 0.0
	for j := range m {
		for i := j; i < m; i++ {
			sum := a[i*m+j]
			for k := range j {
				sum -= a[i*m+k] * a[j*m+k]
			}
			if i == j {
				sum = math.Sqrt(sum)
				logDet += 2 * math.Log(sum)
				a[j*m+j] = sum
				continue
			}
			a[i*m+j] = sum / a[j*m+j]
		}
	}
	// The inverse of the factor, in place, then its product with itself.
	for j := range m {
		a[j*m+j] = 1 / a[j*m+j]
		for i := j + 1; i < m; i++ {
			sum := 0.0
			for k := j; k < i; k++ {
				sum -= a[i*m+k] * a[k*m+j]
			}
			a[i*m+j] = sum / a[i*m+i]
		}
	}
	for i := range m {
		for j := range i + 1 {
			sum := 0.0
			for k := i; k < m; k++ {
				sum += a[k*m+i] * a[k*m+j]
			}
			a[i*m+j] = sum
		}
	}
	for i := range m {
		for j := range i {
			a[j*m+i] = a[i*m+j]
		}
	}
	return logDet
}
