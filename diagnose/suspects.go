package diagnose

import (
	"cmp"
	"slices"
	"strings"
)

// The failure modes, as they stand in Suspect.Mode and in the tables. A
// suspect of several elements has their modes joined by "+".
const (
	ModeFlat         = "flat"         // loses the same at every frequency
	ModeTilt         = "tilt"         // loses more as the frequency rises
	ModeOpen         = "open"         // an open or a short: nothing passes
	ModeIntermittent = "intermittent" // a flat loss that comes and goes
	ModeDropout      = "dropout"      // an open or a short that comes and goes
	ModeMisaligned   = "misaligned"   // strength falls, level barely moves
	ModePolarity     = "polarity"     // one polarisation is lost
)

var modeNames = []string{ModeFlat, ModeTilt, ModeOpen, ModeIntermittent, ModeDropout, ModeMisaligned, ModePolarity}

// setKey names a set of up to three elements, each with a mode or without.
type setKey [maxFaultsAtOnce][2]int16

// conclusion is a posterior in terms of the path.
type conclusion struct {
	healthy   float64
	marginals []float64 // by element of the path: at fault now, and seen to be
	suspects  []Suspect
	causes    []Suspect
	belief    belief
}

// belief is the posterior as the choice of the next point sees it: the
// likeliest sets of faults, what is to be repaired under each, and what each
// makes of every place.
type belief struct {
	p       []float64
	group   []int   // index of the target
	targets [][]int // elements to be repaired
	pred    [][]prediction
}

// The floors under which a set of faults is not listed.
const (
	floorListed  = 1e-6 // of all probability, when summing
	floorSuspect = 2e-3 // among the suspects
	floorPlanned = 5e-4 // in the choice of the next point
	mostSuspects = 12
	mostPlanned  = 90
)

// conclude sums the posterior by what is at fault now, and by what was wrong
// with parts since repaired.
func (m *model) conclude(p *posterior) conclusion {
	type planned struct {
		p      float64
		set    *faultSet
		faults [maxFaultsAtOnce]netFault
		target setKey
	}
	con := conclusion{marginals: make([]float64, len(m.call.Path.Elements))}
	now, before := map[setKey]float64{}, map[setKey]float64{}
	plan := make([]planned, 0, 2*mostPlanned)
	p.each(floorListed, func(faults []netFault, prob float64, s *faultSet) {
		var current, old, target setKey
		n, o := 0, 0
		for _, f := range faults {
			part := m.parts[f.part]
			id := [2]int16{int16(part.element + 1), int16(m.modeOf(f))}
			if part.current {
				current[n] = id
				n++
				con.marginals[part.element] += prob
			} else {
				old[o] = id
				o++
			}
		}
		current.sort()
		old.sort()
		now[current] += prob
		if o > 0 {
			before[old] += prob
		}
		if prob >= floorPlanned {
			target = current
			for i := range target {
				target[i][1] = 0
			}
			h := planned{p: prob, set: s, target: target}
			copy(h.faults[:], faults)
			plan = append(plan, h)
		}
	})
	con.healthy = now[setKey{}]
	delete(now, setKey{})
	con.suspects, con.causes = m.suspects(now), m.suspects(before)

	slices.SortStableFunc(plan, func(a, b planned) int { return cmp.Compare(b.p, a.p) })
	plan = plan[:min(len(plan), mostPlanned)]
	total := 0.0
	for _, h := range plan {
		total += h.p
	}
	predict, groups := newPredictors(p), map[setKey]int{}
	all := make([]prediction, len(plan)*len(m.places))
	for i, h := range plan {
		g, ok := groups[h.target]
		if !ok {
			g = len(groups)
			groups[h.target] = g
			con.belief.targets = append(con.belief.targets, h.target.elements())
		}
		pred := all[i*len(m.places) : (i+1)*len(m.places)]
		predict.predict(h.set, h.faults[:h.set.count], pred)
		con.belief.p = append(con.belief.p, h.p/total)
		con.belief.group = append(con.belief.group, g)
		con.belief.pred = append(con.belief.pred, pred)
	}
	return con
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
func (m *model) modeOf(f netFault) int {
	return slices.Index(modeNames, m.net.parts[f.part].modes[f.mode].name) + 1
}

// suspects lists sets of faults, the likeliest first.
func (m *model) suspects(sets map[setKey]float64) []Suspect {
	var out []Suspect
	for k, p := range sets {
		if p < floorSuspect {
			continue
		}
		s := Suspect{P: p}
		var modes []string
		for _, e := range k {
			if e[0] > 0 {
				s.Elements = append(s.Elements, m.call.Path.Elements[e[0]-1].ID)
				modes = append(modes, modeNames[e[1]-1])
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
