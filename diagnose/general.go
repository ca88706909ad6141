package diagnose

import (
	"cmp"
	"math"
	"slices"
)

// experiment is one thing that could be observed: what every candidate makes
// of it. like[h*outcomes+o] is the probability of outcome o if candidate h is
// the truth.
type experiment struct {
	outcomes int
	like     []float64
}

// entropy of a distribution, in bits.
func entropy(p []float64) float64 {
	h := 0.0
	for _, x := range p {
		if x > 0 {
			h -= x * math.Log2(x)
		}
	}
	return h
}

// information returns what observing e is expected to tell about the group
// that the true candidate is in, in bits:
//
//	I(group; outcome) = H(outcome) - sum over groups of P(group) H(outcome | group)
//
// With every candidate a group of its own, H less it is the expected entropy
// that de Kleer and Williams (1987) choose the next measurement by.
//
// work is scratch space, grown as needed and returned for the next call.
func (e experiment) information(p []float64, group []int, groups int, work []float64) (float64, []float64) {
	size := (groups + 1) * e.outcomes
	work = slices.Grow(work[:0], size)[:size]
	clear(work)
	joint, outcome := work[:groups*e.outcomes], work[groups*e.outcomes:]
	for h, ph := range p {
		if ph == 0 {
			continue
		}
		row := joint[group[h]*e.outcomes:]
		for o, l := range e.like[h*e.outcomes : (h+1)*e.outcomes] {
			row[o] += ph * l
		}
	}
	bits := 0.0
	for g := range groups {
		pg := 0.0
		row := joint[g*e.outcomes : (g+1)*e.outcomes]
		for o, x := range row {
			outcome[o] += x
			pg += x
		}
		if pg <= 0 {
			continue
		}
		for _, x := range row {
			if x > 0 {
				bits += x * math.Log2(x/pg)
			}
		}
	}
	return max(bits+entropy(outcome), 0), work
}

// after fills out with the candidates' probabilities after outcome o, and
// returns that of the outcome.
func (e experiment) after(p []float64, o int, out []float64) float64 {
	total := 0.0
	for h, ph := range p {
		out[h] = ph * e.like[h*e.outcomes+o]
		total += out[h]
	}
	if total > 0 {
		for h := range out {
			out[h] /= total
		}
	}
	return total
}

// sequence is a set of tests between candidates of which one is the truth,
// each with certain outcomes. It is what the optimal plan needs on a path that
// branches.
type sequence struct {
	weight []float64
	splits []uint64 // by test: the candidates that it fails under
	cost   func(from, test int) float64
	limit  int // the most states to look at
	memo   map[sequenceState]float64
}

type sequenceState struct {
	left uint64 // candidates still possible
	at   int    // the test made last, or atStart
}

// plan returns the expected cost, times the sum of the weights, of the best
// order of tests, and the first of them (-1: none tells anything); false when
// there are too many states.
func (s *sequence) plan() (weighted float64, first int, ok bool) {
	s.memo = map[sequenceState]float64{}
	all := uint64(1)<<len(s.weight) - 1
	v, first := s.best(sequenceState{all, atStart})
	return v, first, len(s.memo) <= s.limit
}

func (s *sequence) best(st sequenceState) (float64, int) {
	lowest, at := math.Inf(1), -1
	total := s.sum(st.left)
	for test, mask := range s.splits {
		fail, pass := st.left&mask, st.left&^mask
		if fail == 0 || pass == 0 {
			continue
		}
		v := s.cost(st.at, test) * total
		if v >= lowest {
			continue
		}
		v += s.value(sequenceState{fail, test}) + s.value(sequenceState{pass, test})
		if v < lowest {
			lowest, at = v, test
		}
	}
	if at < 0 {
		return 0, -1
	}
	return lowest, at
}

func (s *sequence) value(st sequenceState) float64 {
	if st.left&(st.left-1) == 0 {
		return 0
	}
	if v, ok := s.memo[st]; ok || len(s.memo) > s.limit {
		return v
	}
	v, _ := s.best(st)
	s.memo[st] = v
	return v
}

func (s *sequence) sum(left uint64) float64 {
	total := 0.0
	for i, w := range s.weight {
		if left>>i&1 == 1 {
			total += w
		}
	}
	return total
}

// atStart stands for the place where the technician is before the first reading.
const atStart = -1

// repairOrder is the order of least expected cost in which to repair suspects.
// With one fault among them it is that of p/c; with independent faults and a
// test after each repair, that of the odds over the cost, p/(c(1-p)).
func repairOrder(p, cost []float64, single bool) []int {
	index := func(i int) float64 {
		if single {
			return p[i] / cost[i]
		}
		return p[i] / (cost[i] * max(1-p[i], 1e-12))
	}
	order := make([]int, len(p))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(index(b), index(a)) })
	return order
}
