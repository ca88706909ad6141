package fault

import "math"

// Chain is a stretch of path with one fault in it: elements in a row, a joint
// between each two. A reading at a joint tells the side the fault is on.
type Chain struct {
	Weight []float64                  // of each element: the chance that the fault is there, up to a factor
	Cost   []float64                  // minutes to measure at joint k, between elements k and k+1; +Inf where nobody may
	Travel func(from, to int) float64 // minutes from joint to joint; from atStart: from where the technician stands now
}

// Plan returns the expected minutes of the best order of readings, times the
// sum of the weights, and the joint to measure first; -1 where no reading can
// tell anything more. The recurrence over intervals is
//
//	V(i,j,side) = min over k of (c_k + travel(side,k)) * W(i,j) + V(i,k,right) + V(k+1,j,left)
//
// in O(n^3). Knuth's O(n^2) window for optimal search trees is wrong here,
// because the joints cost differently.
func (c Chain) Plan() (weighted float64, first int) {
	n := len(c.Weight)
	sum := make([]float64, n+1)
	for i, w := range c.Weight {
		sum[i+1] = sum[i] + w
	}
	// value[i][j] holds the cost of telling elements i..j apart when standing
	// at the joint left of i and right of j.
	value := make([][][2]float64, n)
	for i := range value {
		value[i] = make([][2]float64, n)
	}
	best := func(i, j, from int) (float64, int) {
		lowest, at := math.Inf(1), -1
		for k := i; k < j; k++ {
			v := (c.Cost[k]+c.Travel(from, k))*(sum[j+1]-sum[i]) + value[i][k][1] + value[k+1][j][0]
			if v < lowest {
				lowest, at = v, k
			}
		}
		if at < 0 {
			return 0, -1
		}
		return lowest, at
	}
	for length := 2; length < n; length++ {
		for i := 0; i+length <= n; i++ {
			j := i + length - 1
			if i > 0 {
				value[i][j][0], _ = best(i, j, i-1)
			}
			if j < n-1 {
				value[i][j][1], _ = best(i, j, j)
			}
		}
	}
	return best(0, n-1, AtStart)
}
