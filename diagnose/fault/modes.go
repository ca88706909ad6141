package fault

import (
	"math"
	"slices"

	"downlead/diagnose/level"
	"downlead/diagnose/trace"
)

// netPart gives a version of an element its failure modes.
func (m *Model) netPart(p ModelPart) netPart {
	prior := m.Tables.Prior[string(m.Call.Path.Elements[p.Element].Element)]
	factor := m.wornBy(p)
	var out netPart
	fault, weight := 0.0, 0.0
	for _, name := range level.ModeNames {
		if q := prior[name] * factor; q > 0 {
			w := q * m.seen(p, name)
			fault, weight = fault+q, weight+w
			out.Modes = append(out.Modes, netMode{Name: name, Prior: w, Variants: m.tell(p, name, m.variants(p, name))})
		}
	}
	for i := range out.Modes { // what was seen there moves the odds of the part
		out.Modes[i].Prior /= 1 - fault + weight
	}
	return out
}

// wornBy is the factor on a kind's priors for this version of it: as found,
// replaced on this call, or only mended.
func (m *Model) wornBy(p ModelPart) float64 {
	if p.version == 0 {
		return 1
	}
	if replaced(m.Call, p.Element, p.version) {
		return m.Tables.Repair.ReplacedFactor
	}
	total := 0.0
	for _, q := range m.Tables.Prior[string(m.Call.Path.Elements[p.Element].Element)] {
		total += q
	}
	if total == 0 {
		return 0
	}
	return m.Tables.Repair.MendedFault / total
}

// Version of element i now.
func Version(c trace.Call, i int) int {
	if i >= len(c.Versions) {
		return 0
	}
	return c.Versions[i]
}

// replaced reports whether a version of an element is a new part, and not the
// old one mended.
func replaced(c trace.Call, element, version int) bool {
	made := 0
	for _, r := range c.Repairs {
		if !slices.Contains(r.Elements, element) || slices.Contains([]string{"removed", "added", "moved", "restored"}, r.Action.Action) {
			continue
		}
		if made++; made == version {
			return r.Action.Action == "replaced" || r.Action.Action == "rerouted"
		}
	}
	return false
}

// variants is what a failure mode of a part may be doing to the sites.
func (m *Model) variants(p ModelPart, mode string) []netVariant {
	switch mode {
	case level.ModeIntermittent, level.ModeDropout:
		return m.electric(p, mode, m.patterns(p, mode))
	case level.ModeMisaligned:
		return m.perSlot(p)
	case level.ModePolarity:
		return m.perPolarity(p)
	case level.ModeNoPower: // a meter that feeds the LNB itself sees no signal beyond it; behind another feed it sees nothing amiss
		dead := m.perOutput(p, mode)
		var out []netVariant
		for _, v := range dead {
			v.share /= 2
			w := v
			w.open = nil
			out = append(out, v, w)
		}
		return m.electric(p, mode, out)
	case level.ModeNoFeed, level.ModeInput:
		return m.electric(p, mode, []netVariant{m.variant(p, mode, 1, func(*Site) bool { return true })})
	}
	return m.electric(p, mode, m.perOutput(p, mode))
}

// perOutput lists which outputs of a part a fault may be on: all, or, of a
// part that has several, one of those that readings have come through, or some.
func (m *Model) perOutput(p ModelPart, mode string) []netVariant {
	var ports []int
	for i := range m.Sites {
		if port := m.Sites[i].port(p.Element); port > 0 && !slices.Contains(ports, port) {
			ports = append(ports, port)
		}
	}
	all := func(*Site) bool { return true }
	if len(ports) == 0 {
		return []netVariant{m.variant(p, mode, 1, all)}
	}
	ways := max(m.Call.Path.Elements[p.Element].Ways, len(ports), 2)
	whole, one, some := 1-oneOutput, oneOutput/float64(ways), 0.0
	if ways > 2 {
		whole, some = whole-someOutputs, someOutputs/(math.Exp2(float64(ways))-float64(ways)-2)
	}
	out := []netVariant{m.variant(p, mode, whole, all)}
	unread := math.Exp2(float64(ways - len(ports))) // in how many ways those that no reading came through may be
	for _, set := range outputSets(len(ports)) {
		share := some * unread
		switch len(set) {
		case 1:
			share = one + some*(unread-1)
		case len(ports): // not all of them: that is the whole part
			share = some * (unread - 1)
		}
		if share > 0 {
			out = append(out, m.variant(p, mode, share, func(s *Site) bool {
				return slices.Contains(set, slices.Index(ports, s.port(p.Element)))
			}))
		}
	}
	return out
}

// outputSets lists the sets of n outputs that are weighed, as indices.
func outputSets(n int) [][]int {
	var out [][]int
	if n > mostOutputs {
		for b := range n {
			out = append(out, []int{b})
			for a := range b {
				out = append(out, []int{a, b})
			}
		}
		return out
	}
	for mask := 1; mask < 1<<n; mask++ {
		var set []int
		for i := range n {
			if mask>>i&1 == 1 {
				set = append(set, i)
			}
		}
		out = append(out, set)
	}
	return out
}

// oneOutput is the share of a splitter's faults that are on one of its outputs,
// someOutputs of those on more than one and not on all: water in it or
// corrosion. The others are on all. Common practice, no source.
const (
	oneOutput   = 0.5
	someOutputs = 0.1
)

// mostOutputs is up to how many outputs with readings any set of them is
// weighed; of more, one and two at a time: the sets double with every output.
const mostOutputs = 4

// port is the output of element i that the signal takes to the site; 0 when it
// is the only one, or the element is not on the way.
func (s *Site) port(i int) int {
	for _, l := range s.Budget {
		if l.Element == i {
			return l.Port
		}
	}
	return 0
}

// variant applies a mode to the sites behind the part that match.
func (m *Model) variant(p ModelPart, mode string, share float64, match func(*Site) bool) netVariant {
	f := m.Tables.Fault[mode]
	open := mode == level.ModeOpen || mode == level.ModeDropout || mode == level.ModePolarity || mode == level.ModeNoPower
	v := netVariant{share: share, shift: make([]float64, len(m.Sites)), spread: f.SD, Match: match}
	if open {
		v.open, v.spread = make([]bool, len(m.Sites)), 0
	}
	for i := range m.Sites {
		s := &m.Sites[i]
		if mode == level.ModeNoFeed || mode == level.ModeInput || s.healthy || s.version(p.Element) != p.version || !s.Passes(p.Element) || !match(s) {
			continue
		}
		if open {
			v.open[i] = true
			continue
		}
		loss := level.Slope(m.Tables, f.Low, f.High, s.f)
		switch s.quantity {
		case strengthPoints:
			loss = f.Strength + loss*m.Tables.Source.StrengthPerDB
		case merDB:
			loss = f.MER + loss*m.Tables.Source.MERPerDB
		case verdictDB:
			loss += f.Verdict
		}
		v.shift[i] = loss
	}
	return v
}

// patterns lists the ways an intermittent fault may have shown itself. A
// place yet to be read is taken to find it as the last occasion did. Where
// every reading finds it anew, an occasion that takes several together is as
// likely as all of them: on at five fails is not on at one.
func (m *Model) patterns(p ModelPart, mode string) []netVariant {
	last, duty := 0, m.Tables.Fault[mode].Duty
	for i := range m.Sites {
		last = max(last, m.Sites[i].occasion)
	}
	times := make([]float64, last+1)
	for o := range times {
		times[o] = 1
		if m.Restless() {
			times[o] = max(1, float64(m.readingsThrough(p, o)))
		}
	}
	var out []netVariant
	for pattern := range 1 << (last + 1) {
		share := 1.0
		for o := range last + 1 {
			if pattern>>o&1 == 1 {
				share *= math.Pow(duty, times[o])
			} else {
				share *= math.Pow(1-duty, times[o])
			}
		}
		out = append(out, m.variant(p, mode, share, func(s *Site) bool {
			o := s.occasion
			if o < 0 {
				o = last
			}
			return pattern>>o&1 == 1
		}))
	}
	return out
}

// readingsThrough counts the readings of an occasion that a part had a say in.
func (m *Model) readingsThrough(p ModelPart, occasion int) int {
	seen := map[int64]bool{}
	for i := range m.Sites {
		if s := &m.Sites[i]; s.occasion == occasion && s.reading > 0 && s.version(p.Element) == p.version && s.Passes(p.Element) {
			seen[s.reading] = true
		}
	}
	return len(seen)
}

// perSlot lists what a dish may be off: every slot, or one of several.
func (m *Model) perSlot(p ModelPart) []netVariant {
	var slots []int
	for i := range m.Start {
		if s := m.Sites[i].slot; s > 0 && !slices.Contains(slots, s) {
			slots = append(slots, s)
		}
	}
	all := func(*Site) bool { return true }
	if len(slots) < 2 {
		return []netVariant{m.variant(p, level.ModeMisaligned, 1, all)}
	}
	out := []netVariant{m.variant(p, level.ModeMisaligned, 0.5, all)}
	for _, slot := range slots {
		out = append(out, m.variant(p, level.ModeMisaligned, 0.5/float64(len(slots)), func(s *Site) bool { return s.slot == slot }))
	}
	return out
}

// perPolarity lists which polarisation an LNB may have lost, and whether a
// reading that names no transponder was taken on it.
func (m *Model) perPolarity(p ModelPart) []netVariant {
	var out []netVariant
	for _, lost := range []string{"odd", "even"} {
		for _, unnamed := range []bool{true, false} {
			out = append(out, m.variant(p, level.ModePolarity, 0.25, func(s *Site) bool {
				return s.polarity == lost || s.polarity == "" && unnamed
			}))
		}
	}
	return out
}
