package review

import (
	"cmp"
	"slices"
	"strings"

	"downlead/diagnose/claim"
	"downlead/diagnose/level"
)

// shownSuspects is how many sets of suspects are listed, and leastSuspect the
// odds below which one is not: beyond that they help nobody decide what to
// repair.
const (
	shownSuspects = 5
	leastSuspect  = 0.02
)

type suspectData struct {
	What, Odds string
	Bar        int // odds in hundredths
}

// suspects sums the odds of every set of elements over the ways in which it
// may have failed, the likeliest first, each element with its likeliest way.
func suspects(d claim.Diagnosis, names namer) []suspectData {
	type set struct {
		elements []string
		mode     string
		p        float64
	}
	var sets []set
	for _, s := range d.Suspects { // the likeliest come first
		i := slices.IndexFunc(sets, func(k set) bool { return slices.Equal(k.elements, s.Elements) })
		if i < 0 {
			sets = append(sets, set{elements: s.Elements, mode: s.Mode})
			i = len(sets) - 1
		}
		sets[i].p += s.P
	}
	slices.SortStableFunc(sets, func(a, b set) int { return cmp.Compare(b.p, a.p) })
	var out []suspectData
	for _, k := range sets[:min(len(sets), shownSuspects)] {
		if k.p < leastSuspect {
			break
		}
		modes := strings.Split(k.mode, "+")
		parts := make([]string, len(k.elements))
		for i, id := range k.elements {
			parts[i] = names.element(id)
			if i < len(modes) {
				parts[i] += " (" + modeWords(modes[i]) + ")"
			}
		}
		out = append(out, suspectData{What: join(parts, "and"), Odds: percent(k.p), Bar: int(100 * k.p)})
	}
	return out
}

// suspicion is what the diagnosis holds against one element in all, and the
// likeliest way in which it failed.
func suspicion(d claim.Diagnosis, id string) (p float64, mode string) {
	best := map[string]float64{}
	for _, s := range d.Suspects {
		i := slices.Index(s.Elements, id)
		if i < 0 {
			continue
		}
		p += s.P
		if modes := strings.Split(s.Mode, "+"); i < len(modes) {
			best[modes[i]] += s.P
		}
	}
	for m, q := range best {
		if mode == "" || q > best[mode] || q == best[mode] && m < mode {
			mode = m
		}
	}
	return p, mode
}

// modeWords says a way of failing as a technician would.
func modeWords(mode string) string {
	switch mode {
	case level.ModeFlat:
		return "loses level"
	case level.ModeTilt:
		return "loses the high end"
	case level.ModeOpen:
		return "open or shorted"
	case level.ModeIntermittent:
		return "loses level now and then"
	case level.ModeDropout:
		return "opens now and then"
	case level.ModeMisaligned:
		return "out of aim"
	case level.ModePolarity:
		return "one polarisation lost"
	}
	return plain(mode)
}
