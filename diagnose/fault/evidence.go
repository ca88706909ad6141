package fault

import (
	"math"
	"slices"

	"downlead/diagnose/level"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// report is something told of the whole installation. A set of faults makes it
// as likely as that of its faults which makes it likeliest does: one cause
// explains it, and the others need not. sound is how likely it is with none.
type report struct {
	sound float64
	ratio func(p ModelPart, mode string) float64
}

// reports lists what was told of the installation.
func (m *Model) reports() []report {
	var out []report
	for _, s := range m.Call.Symptoms {
		out = append(out, report{sound: 1, ratio: func(p ModelPart, mode string) float64 {
			if !within(m.Call, p, s.Versions, s.Receivers) {
				return 1
			}
			kind := m.Call.Path.Elements[p.Element].Element
			return m.Tables.Symptom[s.Symptom].Of(kind, mode) * m.Tables.When[s.When].Of(kind, mode)
		}})
	}
	for _, s := range m.Call.Swaps {
		out = append(out, report{sound: m.Tables.Swap.Otherwise, ratio: func(p ModelPart, mode string) float64 {
			kind := m.Call.Path.Elements[p.Element].Element
			switch {
			case s.Follows && p.Element == s.Receiver:
				return 1
			case !s.Follows && kind != entry.Receiver && within(m.Call, p, s.Versions, []int{s.Outlet}):
				return 1
			}
			return m.Tables.Swap.Otherwise
		}})
	}
	return out
}

// swapTested returns the version of a receiver whose exchange tells something.
func (m *Model) swapTested(i int) []int {
	for _, s := range m.Call.Swaps {
		if s.Receiver == i {
			return []int{(&Site{versions: s.Versions}).version(i)}
		}
	}
	return nil
}

// within reports whether a part was there in that version, on the way to one
// of the receivers.
func within(c trace.Call, p ModelPart, versions, receivers []int) bool {
	if p.Element < len(versions) && versions[p.Element] != p.version {
		return false
	}
	return len(receivers) == 0 || slices.ContainsFunc(receivers, func(r int) bool { return c.Path.Above(p.Element, r) })
}

// comesAndGoes reports whether a symptom makes a fault that shows only at
// times likelier in a part: it then counts although no reading has felt it.
func (m *Model) comesAndGoes(p ModelPart, mode string) bool {
	if mode != level.ModeIntermittent && mode != level.ModeDropout {
		return false
	}
	return slices.ContainsFunc(m.told, func(r report) bool { return r.ratio(p, mode) > r.sound })
}

// tell gives the variants of a mode what they make of the reports.
func (m *Model) tell(p ModelPart, mode string, variants []netVariant) []netVariant {
	if len(m.told) == 0 {
		return variants
	}
	ratios := make([]float64, len(m.told))
	for i, r := range m.told {
		ratios[i] = math.Log(r.ratio(p, mode))
	}
	latent := m.comesAndGoes(p, mode) || mode == level.ModeInput
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
		for _, c := range w.Classes {
			best = max(best, c.told[i])
		}
		total += best
	}
	return total
}

// seen is how much likelier the sightings are with a mode of a part than with
// the part sound.
func (m *Model) seen(p ModelPart, mode string) float64 {
	ratio := 1.0
	for _, s := range m.Call.Sightings {
		if slices.Contains(s.Elements, p.Element) && within(m.Call, p, s.Versions, nil) {
			ratio *= m.Tables.Sighting[s.Condition].Of(m.Call.Path.Elements[p.Element].Element, mode)
		}
	}
	return ratio
}
