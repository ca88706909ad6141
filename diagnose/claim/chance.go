package claim

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"downlead/diagnose/level"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// Chance is how likely one part is at fault now, alone or beside others, and
// the way in which it likeliest failed. It is the one figure that is said of a
// part, on the screen, in the page, by voice and in print.
type Chance struct {
	ID   string
	Mode string
	P    float64
}

// Suspected lists the parts that are claimed to be why something fails, the
// likeliest first; empty while nothing fails.
func (d Diagnosis) Suspected() []Chance {
	var out []Chance
	for _, c := range d.Claims {
		if c.Code == Suspected {
			out = append(out, Chance{ID: c.Subject, Mode: d.mode(c.Subject), P: c.Figures["p"]})
		}
	}
	return out
}

// chance is the probability that an element is among what is at fault now.
func (d Diagnosis) chance(id string) float64 {
	if d.marginals != nil {
		return d.marginals[id]
	}
	p := 0.0
	for _, s := range d.Suspects {
		if slices.Contains(s.Elements, id) {
			p += s.P
		}
	}
	return p
}

// atOnce is the probability, at least, that all of several are, in whatever way
// each of them failed.
func (d Diagnosis) atOnce(ids []string) float64 {
	p, sum := 0.0, 1.0
	for _, id := range ids {
		sum += d.chance(id) - 1
	}
	for _, s := range d.Suspects { // not all are listed
		if !slices.ContainsFunc(ids, func(id string) bool { return !slices.Contains(s.Elements, id) }) {
			p += s.P
		}
	}
	return max(p, sum)
}

// chanceOf is the probability, at most, that one of several is.
func (d Diagnosis) chanceOf(ids []string) float64 {
	p := 0.0
	for _, id := range ids {
		p += d.chance(id)
	}
	return min(p, 1)
}

// mode is the way in which an element likeliest failed.
func (d Diagnosis) mode(id string) string {
	odds, best := map[string]float64{}, ""
	for _, s := range d.Suspects {
		if i, modes := slices.Index(s.Elements, id), strings.Split(s.Mode, "+"); i >= 0 && i < len(modes) {
			odds[modes[i]] += s.P
		}
	}
	for m, p := range odds {
		if best == "" || p > odds[best] || p == odds[best] && m < best {
			best = m
		}
	}
	return best
}

// The parts that are named as suspects: four at most, none under one in
// twenty, and none at all where the likeliest is under one in ten.
const (
	mostSuspected  = 4
	leastSuspected = 0.05
	leastNamed     = 0.1
)

// likely lists the parts that may be why something fails, the likeliest first:
// those on the way to the first point of a branch that fails. One on the way to
// a further one is named only where it surely is at fault, or where none of the
// others is and it is likelier than they: that the first fails may be misread.
func (d Diagnosis) likely(c trace.Call, spans []trace.Span) []Chance {
	var out []Chance
	spots, best := c.Spots(), 0.0
	first := func(i int) bool {
		return len(spans) == 0 || slices.ContainsFunc(spans, func(f trace.Span) bool { return c.Path.Above(i, f.Fail.Reach) })
	}
	for i, e := range c.Path.Elements {
		if first(i) {
			best = max(best, d.chance(e.ID))
		}
	}
	for i, e := range c.Path.Elements {
		p := d.chance(e.ID)
		onWay := first(i)
		further := (p >= surely || best < surely && p > best) && slices.ContainsFunc(spots, func(s trace.Spot) bool { return !s.Stale && s.Verdict == entry.Fail && c.Path.Above(i, s.Reach) })
		if p >= leastSuspected && (onWay || further) && !e.Removed {
			out = append(out, Chance{ID: e.ID, Mode: d.mode(e.ID), P: p})
		}
	}
	slices.SortStableFunc(out, func(a, b Chance) int { return cmp.Compare(b.P, a.P) })
	if len(out) > 0 && out[0].P < leastNamed {
		return nil
	}
	return out[:min(len(out), mostSuspected)]
}

// ModeWords says a failure mode in a technician's words; "" for none.
func ModeWords(mode string) string {
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
	case level.ModeNoPower:
		return "passes no power"
	case level.ModeNoFeed:
		return "gives no supply"
	case level.ModeInput:
		return "its own input fails"
	}
	return strings.ReplaceAll(mode, "_", " ")
}

// MinutesWords says how long something takes, in whole minutes, one at least.
func MinutesWords(minutes float64) string { return fmt.Sprintf("%.0f", max(1, minutes)) }
