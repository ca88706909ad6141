package quality

import (
	"fmt"
	"math"
	"slices"
)

// z95 is the two-sided 95 % point of the standard normal distribution
// (NIST/SEMATECH e-Handbook 1.3.6.7.1 to more places).
const z95 = 1.959963984540054

// Wilson returns the 95 % score interval of a proportion of k in n
// (E. B. Wilson 1927; method 3 of R. G. Newcombe, Statistics in Medicine 17,
// 1998). With n = 0 nothing is known: 0 to 1.
func Wilson(k, n int) (low, high float64) {
	if n == 0 {
		return 0, 1
	}
	p, nf := float64(k)/float64(n), float64(n)
	centre := 2*nf*p + z95*z95
	spread := z95 * math.Sqrt(z95*z95+4*nf*p*(1-p))
	whole := 2 * (nf + z95*z95)
	return max(0, (centre-spread)/whole), min(1, (centre+spread)/whole)
}

// Group is one subgroup of a p-chart: Bad of N.
type Group struct {
	Label string  `json:"label"`
	N     int     `json:"n"`
	Bad   int     `json:"bad"`
	Low   float64 `json:"low"`  // lower control limit
	High  float64 `json:"high"` // upper control limit
	Out   bool    `json:"out"`  // beyond a limit
}

// PChart is a control chart of proportions.
type PChart struct {
	Definition string  `json:"definition"`
	Mean       float64 `json:"mean"` // all bad over all
	Groups     []Group `json:"groups"`
}

// PLimits returns the control limits of a proportion for a subgroup of n:
// mean plus and minus three standard deviations, not below 0 nor above 1
// (NIST/SEMATECH e-Handbook 6.3.3.2).
func PLimits(mean float64, n int) (low, high float64) {
	if n == 0 {
		return 0, 1
	}
	s := 3 * math.Sqrt(mean*(1-mean)/float64(n))
	return max(0, mean-s), min(1, mean+s)
}

// newPChart fills in the limits of groups that have N and Bad.
func newPChart(definition string, groups []Group) PChart {
	c := PChart{Definition: definition, Groups: groups}
	n, bad := 0, 0
	for _, g := range groups {
		n, bad = n+g.N, bad+g.Bad
	}
	if n > 0 {
		c.Mean = float64(bad) / float64(n)
	}
	for i := range c.Groups {
		g := &c.Groups[i]
		g.Low, g.High = PLimits(c.Mean, g.N)
		if g.N > 0 {
			p := float64(g.Bad) / float64(g.N)
			g.Out = p < g.Low || p > g.High
		}
	}
	return c
}

// Spread describes a sample by its quartiles, by the p(N+1) method of
// NIST/SEMATECH e-Handbook 7.2.6.2: the value at rank p(N+1), interpolated,
// and the extremes where that rank falls outside.
type Spread struct {
	Name       string  `json:"name"`
	Definition string  `json:"definition"`
	Unit       string  `json:"unit"`
	N          int     `json:"n"`
	Missing    int     `json:"missing"` // jobs that do not have it
	Min        float64 `json:"min"`
	Q1         float64 `json:"lower_quartile"`
	Median     float64 `json:"median"`
	Q3         float64 `json:"upper_quartile"`
	Max        float64 `json:"max"`
}

func newSpread(name, definition, unit string, values []float64, missing int) Spread {
	s := Spread{Name: name, Definition: definition, Unit: unit, N: len(values), Missing: missing}
	if len(values) == 0 {
		return s
	}
	v := slices.Sorted(slices.Values(values))
	s.Min, s.Max = v[0], v[len(v)-1]
	s.Q1, s.Median, s.Q3 = percentile(v, 0.25), percentile(v, 0.5), percentile(v, 0.75)
	return s
}

// percentile is the p(N+1) percentile of sorted values.
func percentile(v []float64, p float64) float64 {
	rank := p * float64(len(v)+1)
	k := int(math.Floor(rank))
	switch {
	case k < 1:
		return v[0]
	case k >= len(v):
		return v[len(v)-1]
	}
	return v[k-1] + (rank-float64(k))*(v[k]-v[k-1])
}

// words puts a spread into one line.
func (s Spread) words() string {
	if s.N == 0 {
		return fmt.Sprintf("none known (%d missing)", s.Missing)
	}
	return fmt.Sprintf("median %s %s, quartiles %s to %s, all %s to %s (n = %d, %d missing)",
		short(s.Median), s.Unit, short(s.Q1), short(s.Q3), short(s.Min), short(s.Max), s.N, s.Missing)
}

// short prints at most one decimal place.
func short(x float64) string {
	if x == math.Trunc(x) {
		return fmt.Sprintf("%.0f", x)
	}
	return fmt.Sprintf("%.1f", x)
}
