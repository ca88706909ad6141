package fault

import (
	"cmp"
	"slices"
	"strings"

	"downlead/diagnose/level"
)

// setKey names a set of up to three elements, each with a mode or without.
type setKey [MaxFaultsAtOnce][2]int16

// Conclusion is a posterior in terms of the path.
type Conclusion struct {
	Healthy   float64
	Marginals []float64 // by element of the path: at fault now, and seen to be
	Suspects  []Suspect
	Causes    []Suspect
	Belief    belief
}

// belief is the posterior as the choice of the next point sees it: the
// likeliest sets of faults, what is to be repaired under each, and what each
// makes of every place.
type belief struct {
	P       []float64
	Group   []int   // index of the target
	Targets [][]int // elements to be repaired
	Pred    [][]prediction
	Faults  [][]NetFault
}

// The floors under which a set of faults is not listed.
const (
	floorListed  = 3e-6 // of all probability, when summing
	FloorSuspect = 2e-3 // among the suspects
	floorPlanned = 1e-3 // in the choice of the next point
	mostSuspects = 12
	mostPlanned  = 72
)

// planned is a set of faults that the choice of the next point reckons with.
type planned struct {
	p      float64
	set    *faultSet
	faults [MaxFaultsAtOnce]NetFault
	target setKey
}

// Conclude sums the posterior by what is at fault now, and by what was wrong
// with parts since repaired.
func (m *Model) Conclude(p *posterior) Conclusion {
	con := Conclusion{Marginals: make([]float64, len(m.Call.Path.Elements))}
	now, before := map[setKey]float64{}, map[setKey]float64{}
	plan := make([]planned, 0, mostPlanned)
	p.each(floorListed, func(faults []NetFault, prob float64, s *faultSet) {
		current, old := m.divide(faults)
		for _, e := range current.elements() {
			con.Marginals[e] += prob
		}
		now[current] += prob
		if old != (setKey{}) {
			before[old] += prob
		}
		if prob < floorPlanned {
			return
		}
		h := planned{p: prob, set: s, target: current}
		copy(h.faults[:], faults)
		for i := range h.target {
			h.target[i][1] = 0
		}
		plan = append(plan, h)
	})
	con.Healthy = now[setKey{}]
	delete(now, setKey{})
	con.Suspects, con.Causes = m.suspects(now), m.suspects(before)
	con.Belief = m.believe(p, plan)
	return con
}

// divide sorts faults into those of parts as they are now and of earlier ones.
func (m *Model) divide(faults []NetFault) (current, old setKey) {
	n, o := 0, 0
	for _, f := range faults {
		part := m.Parts[f.Part]
		id := [2]int16{int16(part.Element + 1), int16(m.modeOf(f))}
		if part.Current {
			current[n] = id
			n++
		} else {
			old[o] = id
			o++
		}
	}
	current.sort()
	old.sort()
	return current, old
}

// believe keeps the likeliest sets and works out what each makes of every place.
func (m *Model) believe(p *posterior, plan []planned) belief {
	slices.SortStableFunc(plan, func(a, b planned) int { return cmp.Compare(b.p, a.p) })
	plan = plan[:min(len(plan), mostPlanned)]
	total := 0.0
	for _, h := range plan {
		total += h.p
	}
	var out belief
	predict, groups := newPredictors(p), map[setKey]int{}
	all := make([]prediction, len(plan)*len(m.Places))
	for i, h := range plan {
		g, ok := groups[h.target]
		if !ok {
			g = len(groups)
			groups[h.target] = g
			out.Targets = append(out.Targets, h.target.elements())
		}
		pred := all[i*len(m.Places) : (i+1)*len(m.Places)]
		predict.predict(h.set, h.faults[:h.set.count], pred)
		out.P = append(out.P, h.p/total)
		out.Group = append(out.Group, g)
		out.Pred = append(out.Pred, pred)
		out.Faults = append(out.Faults, plan[i].faults[:h.set.count])
	}
	return out
}

func (k *setKey) sort() {
	slices.SortFunc(k[:], func(a, b [2]int16) int {
		if (a[0] == 0) != (b[0] == 0) { // the empty places last
			return cmp.Compare(b[0], a[0])
		}
		return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1]))
	})
}

func (k setKey) elements() []int {
	var out []int
	for _, e := range k {
		if e[0] > 0 {
			out = append(out, int(e[0])-1)
		}
	}
	return out
}

// modeOf is a fault's mode as an index of modeNames, from 1.
func (m *Model) modeOf(f NetFault) int {
	return slices.Index(level.ModeNames, m.Net.Parts[f.Part].Modes[f.Mode].Name) + 1
}

// suspects lists sets of faults, the likeliest first.
func (m *Model) suspects(sets map[setKey]float64) []Suspect {
	var out []Suspect
	for k, p := range sets {
		if p < FloorSuspect {
			continue
		}
		s := Suspect{P: p}
		var modes []string
		for _, e := range k {
			if e[0] > 0 {
				s.Elements = append(s.Elements, m.Call.Path.Elements[e[0]-1].ID)
				modes = append(modes, level.ModeNames[e[1]-1])
			}
		}
		s.Mode = strings.Join(modes, "+")
		out = append(out, s)
	}
	slices.SortFunc(out, func(a, b Suspect) int {
		return cmp.Or(cmp.Compare(b.P, a.P), slices.Compare(a.Elements, b.Elements), strings.Compare(a.Mode, b.Mode))
	})
	return out[:min(len(out), mostSuspects)]
}

// Suspect is a set of elements that may be at fault together, and its odds.
type Suspect struct {
	Elements []string `json:"elements"`
	Mode     string   `json:"mode"`
	P        float64  `json:"p"`
}

// Within is the probability that at least one of the elements is at fault.
func (con Conclusion) Within(elements []int) float64 {
	sum := 0.0
	for h, p := range con.Belief.P {
		if slices.ContainsFunc(con.Belief.Targets[con.Belief.Group[h]], func(e int) bool { return slices.Contains(elements, e) }) {
			sum += p
		}
	}
	return sum
}
