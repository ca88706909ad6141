package diagnose

import (
	"fmt"
	"testing"

	"downlead/grammar"
)

// benchCall is a home of n elements, receivers included, behind a two-way
// splitter, with a flat fault in the trunk, and r readings spread over it:
// two in three with a level, the rest spoken verdicts.
func benchCall(n, r int) Call {
	kinds := []grammar.Element{grammar.Cable, grammar.Fitting, grammar.GroundBlock, grammar.Cable, grammar.Barrel}
	c := Call{Settings: Settings{FloorDBm: -50, TemperatureF: 68}}
	add := func(kind grammar.Element, parent, port int) int {
		id := len(c.Path.Elements)
		c.Path.Elements = append(c.Path.Elements, PathElement{ID: fmt.Sprintf("%s %d", kind, id), Element: kind, Port: port, LengthFt: 15, Ways: 2})
		c.Path.Parent = append(c.Path.Parent, parent)
		return id
	}
	last := add(grammar.LNB, add(grammar.Dish, -1, 0), 0)
	for k := 0; len(c.Path.Elements) < n/2; k++ {
		last = add(kinds[k%len(kinds)], last, 0)
	}
	fork := add(grammar.Splitter, last, 0)
	for port := 1; port <= 2; port++ {
		last = fork
		first := port
		for k := 0; len(c.Path.Elements) < n/2+port*(n-n/2)/2-1; k++ {
			last = add(kinds[k%len(kinds)], last, first)
			first = 0
		}
		add(grammar.Receiver, last, first)
	}
	c.Versions = make([]int, len(c.Path.Elements))
	places := c.Path.Points()
	for k := range r {
		pl := places[k*(len(places)-1)/max(r-1, 1)]
		o := Observation{Seq: int64(k + 1), Element: pl.Element, Side: pl.Side, Port: pl.Port, Round: 1, Versions: c.Versions}
		mean, _ := ExpectedLevel(c, nil, o)
		if c.Path.Reach(pl.Element, pl.Side) >= n/4 {
			mean -= 11
		}
		v := grammar.Pass
		if mean < -50 {
			v = grammar.Fail
		}
		o.Reading = grammar.Reading{Verdict: v}
		if k%3 != 2 {
			o.Reading.Level = decimal(mean + float64(k%5-2)*0.4)
		}
		c.Observations = append(c.Observations, o)
	}
	return c
}

func BenchmarkPosterior(b *testing.B) {
	for _, n := range []int{8, 16, 24, 40} {
		for faults := 1; faults <= maxFaultsAtOnce; faults++ {
			b.Run(fmt.Sprintf("elements=%d/faults=%d", n, faults), func(b *testing.B) {
				c, t := benchCall(n, 12), BuiltinTables()
				b.ReportAllocs()
				for b.Loop() {
					m := newModel(c, t, nil)
					m.net.maxFaults = faults
					p := m.net.posterior()
					b.ReportMetric(float64(len(p.classes)), "classes")
					b.ReportMetric(float64(len(p.sets)), "sets")
				}
			})
		}
	}
}

func BenchmarkInfer(b *testing.B) {
	for _, n := range []int{8, 16, 24, 40} {
		b.Run(fmt.Sprintf("elements=%d", n), func(b *testing.B) {
			c := benchCall(n, 12)
			b.ReportAllocs()
			for b.Loop() {
				Infer(c, Options{})
			}
		})
	}
}
