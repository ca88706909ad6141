package fault

import (
	"cmp"
	"math"
	"slices"
)

// Experiment is one thing that could be observed: what every candidate makes
// of it. like[h*outcomes+o] is the probability of outcome o if candidate h is
// the truth.
type Experiment struct {
	Outcomes int
	Like     []float64
}

// Entropy of a distribution, in bits.
func Entropy(p []float64) float64 {
	h := 0.0
	for _, x := range p {
		if x > 0 {
			h -= x * math.Log(x)
		}
	}
	return h / math.Ln2
}

// Information returns what observing e is expected to tell about the group
// that the true candidate is in, in bits:
//
//	I(group; outcome) = H(outcome) - sum over groups of P(group) H(outcome | group)
//
// With every candidate a group of its own, H less it is the expected entropy
// that de Kleer and Williams (1987) choose the next measurement by.
//
// work is scratch space, grown as needed and returned for the next call.
func (e Experiment) Information(p []float64, group []int, groups int, work []float64) (float64, []float64) {
	size := (groups + 1) * e.Outcomes
	work = slices.Grow(work[:0], size)[:size]
	clear(work)
	joint, outcome := work[:groups*e.Outcomes], work[groups*e.Outcomes:]
	for h, ph := range p {
		if ph == 0 {
			continue
		}
		row := joint[group[h]*e.Outcomes:]
		for o, l := range e.Like[h*e.Outcomes : (h+1)*e.Outcomes] {
			row[o] += ph * l
		}
	}
	bits := 0.0
	for g := range groups {
		pg := 0.0
		row := joint[g*e.Outcomes : (g+1)*e.Outcomes]
		for o, x := range row {
			outcome[o] += x
			pg += x
		}
		if pg <= 0 {
			continue
		}
		for _, x := range row {
			if x > 0 {
				bits += x * math.Log(x/pg) / math.Ln2
			}
		}
	}
	return max(bits+Entropy(outcome), 0), work
}

// After fills out with the candidates' probabilities after outcome o, and
// returns that of the outcome.
func (e Experiment) After(p []float64, o int, out []float64) float64 {
	total := 0.0
	for h, ph := range p {
		out[h] = ph * e.Like[h*e.Outcomes+o]
		total += out[h]
	}
	if total > 0 {
		for h := range out {
			out[h] /= total
		}
	}
	return total
}

// Sequence is a set of tests between candidates of which one is the truth,
// each with certain outcomes. It is what the optimal plan needs on a path that
// branches.
type Sequence struct {
	Weight []float64
	Splits []uint64 // by test: the candidates that it fails under
	Cost   func(from, test int) float64
	Limit  int // the most states to look at
	memo   map[sequenceState]float64
}

type sequenceState struct {
	left uint64 // candidates still possible
	at   int    // the test made last, or atStart
}

// Plan returns the expected cost, times the sum of the weights, of the best
// order of tests, and the first of them (-1: none tells anything); false when
// there are too many states.
func (s *Sequence) Plan() (weighted float64, first int, ok bool) {
	s.memo = map[sequenceState]float64{}
	all := uint64(1)<<len(s.Weight) - 1
	v, first := s.best(sequenceState{all, AtStart})
	return v, first, len(s.memo) <= s.Limit
}

func (s *Sequence) best(st sequenceState) (float64, int) {
	lowest, at := math.Inf(1), -1
	total := s.Sum(st.left)
	for test, mask := range s.Splits {
		fail, pass := st.left&mask, st.left&^mask
		if fail == 0 || pass == 0 {
			continue
		}
		v := s.Cost(st.at, test) * total
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

func (s *Sequence) value(st sequenceState) float64 {
	if st.left&(st.left-1) == 0 {
		return 0
	}
	if v, ok := s.memo[st]; ok || len(s.memo) > s.Limit {
		return v
	}
	v, _ := s.best(st)
	s.memo[st] = v
	return v
}

func (s *Sequence) Sum(left uint64) float64 {
	total := 0.0
	for i, w := range s.Weight {
		if left>>i&1 == 1 {
			total += w
		}
	}
	return total
}

// AtStart stands for the place where the technician is before the first reading.
const AtStart = -1

// RepairOrder is the order of least expected cost in which to repair suspects.
// With one fault among them it is that of p/c; with independent faults and a
// test after each repair, that of the odds over the cost, p/(c(1-p)).
func RepairOrder(p, cost []float64, single bool) []int {
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
