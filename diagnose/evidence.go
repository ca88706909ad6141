package diagnose

import (
	"math"
	"slices"
)

// report is something told of the whole installation. A set of faults makes it
// as likely as that of its faults which makes it likeliest does: one cause
// explains it, and the others need not. sound is how likely it is with none.
type report struct {
	sound float64
	ratio func(p modelPart, mode string) float64
}

// reports lists what was told of the installation.
func (m *model) reports() []report {
	var out []report
	for _, s := range m.call.Symptoms {
		out = append(out, report{sound: 1, ratio: func(p modelPart, mode string) float64 {
			if !m.call.within(p, s.Versions, s.Receivers) {
				return 1
			}
			kind := m.call.Path.Elements[p.element].Element
			return m.tables.Symptom[s.Symptom].of(kind, mode) * m.tables.When[s.When].of(kind, mode)
		}})
	}
	for _, s := range m.call.Swaps {
		out = append(out, report{sound: m.tables.Swap.Otherwise, ratio: func(p modelPart, mode string) float64 {
			own := p.element == s.Receiver
			if m.call.within(p, s.Versions, []int{s.Receiver}) && own == s.Follows {
				return 1
			}
			return m.tables.Swap.Otherwise
		}})
	}
	return out
}

// swapTested returns the version of a receiver whose exchange tells something.
func (m *model) swapTested(i int) []int {
	for _, s := range m.call.Swaps {
		if s.Receiver == i {
			return []int{(&site{versions: s.Versions}).version(i)}
		}
	}
	return nil
}

// within reports whether a part was there in that version, on the way to one
// of the receivers.
func (c Call) within(p modelPart, versions, receivers []int) bool {
	if p.element < len(versions) && versions[p.element] != p.version {
		return false
	}
	return len(receivers) == 0 || slices.ContainsFunc(receivers, func(r int) bool { return c.Path.Above(p.element, r) })
}

// comesAndGoes reports whether a symptom makes a fault that shows only at
// times likelier in a part: it then counts although no reading has felt it.
func (m *model) comesAndGoes(p modelPart, mode string) bool {
	if mode != ModeIntermittent && mode != ModeDropout {
		return false
	}
	return slices.ContainsFunc(m.told, func(r report) bool { return r.ratio(p, mode) > r.sound })
}

// tell gives the variants of a mode what they make of the reports.
func (m *model) tell(p modelPart, mode string, variants []netVariant) []netVariant {
	if len(m.told) == 0 {
		return variants
	}
	ratios := make([]float64, len(m.told))
	for i, r := range m.told {
		ratios[i] = math.Log(r.ratio(p, mode))
	}
	latent := m.comesAndGoes(p, mode) || mode == ModeInput
	for i := range variants {
		variants[i].told, variants[i].latent = ratios, latent
	}
	return variants
}

// told is the log likelihood of the reports under a set of classes.
func (n *net) told(classes []netClass, cls []int) float64 {
	total := 0.0
	for i, sound := range n.sound {
		best := sound
		for k, c := range cls {
			if r := classes[c].told; k == 0 || r[i] > best {
				best = r[i]
			}
		}
		total += best
	}
	return total
}

// toldAtMost is the most that told can be.
func (w *weigher) toldAtMost() float64 {
	total := 0.0
	for i, best := range w.net.sound {
		for _, c := range w.classes {
			best = max(best, c.told[i])
		}
		total += best
	}
	return total
}

// seen is how much likelier the sightings are with a mode of a part than with
// the part sound.
func (m *model) seen(p modelPart, mode string) float64 {
	ratio := 1.0
	for _, s := range m.call.Sightings {
		if slices.Contains(s.Elements, p.element) && m.call.within(p, s.Versions, nil) {
			ratio *= m.tables.Sighting[s.Condition].of(m.call.Path.Elements[p.element].Element, mode)
		}
	}
	return ratio
}
