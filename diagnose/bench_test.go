package diagnose

import (
	"fmt"
	"testing"

	"downlead/diagnose/fault"
	"downlead/diagnose/level"
	"downlead/diagnose/next"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// benchCall is a home of n elements, receivers included, behind a two-way
// splitter, with a flat fault in the trunk, and r readings spread over it:
// two in three with a level, the rest spoken verdicts.
func benchCall(n, r int) trace.Call {
	kinds := []entry.Element{entry.Cable, entry.Fitting, entry.GroundBlock, entry.Cable, entry.Barrel}
	c := trace.Call{Settings: trace.Settings{FloorDBm: -50, TemperatureF: 68}}
	add := func(kind entry.Element, parent, port int) int {
		id := len(c.Path.Elements)
		c.Path.Elements = append(c.Path.Elements, path.PathElement{ID: fmt.Sprintf("%s %d", kind, id), Element: kind, Port: port, LengthFt: 15, Ways: 2})
		c.Path.Parent = append(c.Path.Parent, parent)
		return id
	}
	last := add(entry.LNB, add(entry.Dish, -1, 0), 0)
	for k := 0; len(c.Path.Elements) < n/2; k++ {
		last = add(kinds[k%len(kinds)], last, 0)
	}
	fork := add(entry.Splitter, last, 0)
	for port := 1; port <= 2; port++ {
		last = fork
		first := port
		for k := 0; len(c.Path.Elements) < n/2+port*(n-n/2)/2-1; k++ {
			last = add(kinds[k%len(kinds)], last, first)
			first = 0
		}
		add(entry.Receiver, last, first)
	}
	c.Versions = make([]int, len(c.Path.Elements))
	places := c.Path.Points()
	for k := range r {
		pl := places[k*(len(places)-1)/max(r-1, 1)]
		o := trace.Observation{Seq: int64(k + 1), Element: pl.Element, Side: pl.Side, Port: pl.Port, Round: 1, Versions: c.Versions}
		mean, _ := level.ExpectedLevel(c, nil, o)
		if c.Path.Reach(pl.Element, pl.Side) >= n/4 {
			mean -= 11
		}
		v := entry.Pass
		if mean < -50 {
			v = entry.Fail
		}
		o.Reading = entry.Reading{Verdict: v}
		if k%3 != 2 {
			o.Reading.Level = decimal(mean + float64(k%5-2)*0.4)
		}
		c.Observations = append(c.Observations, o)
	}
	return c
}

func BenchmarkPosterior(b *testing.B) {
	for _, n := range []int{8, 16, 24, 40} {
		for faults := 1; faults <= fault.MaxFaultsAtOnce; faults++ {
			b.Run(fmt.Sprintf("elements=%d/faults=%d", n, faults), func(b *testing.B) {
				c, t := benchCall(n, 12), level.BuiltinTables()
				b.ReportAllocs()
				for b.Loop() {
					m := fault.NewModel(c, t, nil)
					m.Net.MaxFaults = faults
					p := m.Net.Posterior()
					b.ReportMetric(float64(len(p.Classes)), "classes")
					b.ReportMetric(float64(len(p.Sets)), "sets")
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
				next.Infer(c, level.Options{})
			}
		})
	}
}
