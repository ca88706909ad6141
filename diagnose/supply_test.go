package diagnose

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"

	"downlead/diagnose/calltest"
	"downlead/diagnose/fault"
	"downlead/diagnose/level"
	"downlead/diagnose/next"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// circuit is the supply of a path solved by nodal analysis, written apart from
// the code under test: a centre and a shield node behind every element, a
// source between the two at each feed, a load of constant current at the LNB.
type circuit struct {
	path   path.Path
	tables *level.Tables
	volts  map[int]float64 // by feeding receiver
	open   int             // element whose centre conductor is open; -1 none
	short  int             // element behind which centre and shield touch; -1 none
}

// solve returns the voltage between the conductors behind every element.
func (c circuit) solve(t *testing.T) []float64 {
	t.Helper()
	n := len(c.path.Elements)
	centre := func(e int) int { return 2 * e }
	shield := func(e int) int { return 2*e + 1 }
	out := make([]float64, n)
	lnb := slices.IndexFunc(c.path.Elements, func(e path.PathElement) bool { return e.Element == entry.LNB })
	load := 60.0 // ohm, to begin with
	for range 60 {
		g, b := mat.NewDense(2*n, 2*n, nil), mat.NewVecDense(2*n, nil)
		join := func(x, y int, siemens float64) {
			g.Set(x, x, g.At(x, x)+siemens)
			g.Set(y, y, g.At(y, y)+siemens)
			g.Set(x, y, g.At(x, y)-siemens)
			g.Set(y, x, g.At(y, x)-siemens)
		}
		for e := lnb + 1; e < n; e++ {
			x := c.path.Elements[e]
			length := map[entry.Element]float64{entry.Cable: x.LengthFt, entry.Jumper: x.LengthFt}[x.Element]
			sheet := c.tables.Cable["rg6"]
			through := 1 / (1e-6 + sheet.CentreOhm*length/1000)
			if e == c.open {
				through = 1e-12
			}
			up := c.path.Parent[e]
			join(centre(up), centre(e), through)
			join(shield(up), shield(e), 1/(1e-6+sheet.ShieldOhm*length/1000))
		}
		for e := range lnb { // the dish takes no part
			join(centre(e), centre(lnb), 1)
			join(shield(e), shield(lnb), 1)
		}
		join(centre(lnb), shield(lnb), 1/load)
		if c.short >= 0 {
			join(centre(c.short), shield(c.short), 1e3)
		}
		for e, v := range c.volts { // a stiff source, as its Norton equivalent
			join(centre(e), shield(e), 1e4)
			b.SetVec(centre(e), b.AtVec(centre(e))+1e4*v)
			b.SetVec(shield(e), b.AtVec(shield(e))-1e4*v)
		}
		for e := range n { // no node floats
			g.Set(shield(e), shield(e), g.At(shield(e), shield(e))+1e-9)
			g.Set(centre(e), centre(e), g.At(centre(e), centre(e))+1e-9)
		}
		var v mat.VecDense
		if err := v.SolveVec(g, b); err != nil {
			t.Logf("solving the network: %v", err) // ill-conditioned is expected, singular is not
		}
		for e := range n {
			out[e] = v.AtVec(centre(e)) - v.AtVec(shield(e))
		}
		next := max(out[lnb], 0.1) / c.tables.Supply.Amperes
		if out[lnb] < 8 { // too little to run on
			next = 60
		}
		load += 0.5 * (next - load)
	}
	return out
}

// The drop to every point, centre conductor and shield by the sheet's ohms,
// against nodal analysis (gonum).
func TestSupplyAgainstNodalAnalysis(t *testing.T) {
	tab := level.BuiltinTables()
	rng := rand.New(rand.NewPCG(3, 7))
	points := 0
	for range 40 {
		h := newHome(rng, tab, simLevels)
		feeds := h.path.Receivers()
		feed := feeds[rng.IntN(len(feeds))]
		c := circuit{path: h.path, tables: tab, volts: map[int]float64{feed: 18}, open: -1, short: -1}
		v := c.solve(t)
		call := trace.Call{Path: h.path, Versions: make([]int, len(h.path.Elements))}
		for e := range h.path.Elements {
			if e == 0 || e == feed || !h.path.Above(e, feed) {
				continue
			}
			runs := fault.SupplyRuns(h.path, tab, e, func(i int) bool { return h.path.Elements[i].Element == entry.Receiver && i != feed })
			if len(runs) != 1 || runs[0].Feed != feed {
				t.Fatalf("behind %s the feeds are %+v, not receiver %d", h.path.Elements[e].ID, runs, feed)
			}
			calltest.Near(t, "behind "+h.path.Elements[e].ID, 18-tab.Supply.Amperes*runs[0].Ohm, v[e], 0.01, "nodal analysis")
			if feed == feeds[0] {
				at := trace.Observation{Element: e, Side: entry.ReceiverSide}
				calltest.Near(t, "SupplyAt "+h.path.Elements[e].ID, level.SupplyAt(call, tab, at, 18), v[e], 0.01, "nodal analysis")
			}
			points++
		}
	}
	if points < 200 {
		t.Errorf("only %d points compared", points)
	}
}

func supplied(v float64) entry.Reading { return entry.Reading{Volts: decimal(v)} }

// 18 V at the ground block and none at the LNB: what lies between.
func TestSupplyLostBetweenTwoPoints(t *testing.T) {
	c := sampleCall()
	observe(c, 3, entry.DishSide, supplied(18))
	observe(c, 1, entry.ReceiverSide, supplied(0))
	inf := next.Infer(*c, level.Options{})
	if p := inf.Marginals[2]; p < 0.9 {
		t.Errorf("18 V at the ground block and 0 V at the LNB: the cable between has %.3f, want over 0.9; %+v", p, inf.Suspects)
	}
	for _, other := range []int{1, 3, 4, 5, 7} {
		if p := inf.Marginals[other]; p > 0.04 {
			t.Errorf("the %s has %.3f", c.Path.Elements[other].ID, p)
		}
	}
}

// What the voltages of a faulty installation, worked out by nodal analysis,
// make of the parts: the fault lies between the last voltage and the first
// point without one.
func TestSupplyLocatesAnOpen(t *testing.T) {
	tab := level.BuiltinTables()
	for _, bad := range []int{2, 4, 6} {
		path := samplePath()
		v := circuit{path: path, tables: tab, volts: map[int]float64{7: 18}, open: bad, short: -1}.solve(t)
		c := sampleCall()
		// A reading right at each end of the open part.
		c.Observations = nil
		for _, e := range []int{bad, bad - 1} {
			side, at := entry.DishSide, e+1
			if e == 1 {
				side, at = entry.ReceiverSide, 1
			}
			observe(c, at, side, supplied(max(v[e], 0)))
		}
		inf := next.Infer(*c, level.Options{})
		if p := inf.Marginals[bad]; p < 0.85 {
			t.Errorf("%s open, %.1f V on its receiver side and %.1f V on its dish side: it has %.3f; %+v",
				path.Elements[bad].ID, v[bad], v[bad-1], p, inf.Suspects[:min(3, len(inf.Suspects))])
		}
	}
}

// A receiver that gives nothing, with a signal that passes behind it.
func TestSupplyNotFed(t *testing.T) {
	c := sampleCall()
	setLevel(c, 7, entry.DishSide, -42)
	observe(c, 7, entry.DishSide, supplied(0))
	observe(c, 7, entry.DishSide, supplied(0.1))
	inf := next.Infer(*c, level.Options{})
	if p := inf.Marginals[7]; p < 0.8 || inf.Suspects[0].Mode != level.ModeNoFeed {
		t.Errorf("no volts at the receiver's own connector: it has %.3f; %+v", p, inf.Suspects)
	}
	c = sampleCall()
	setLevel(c, 7, entry.DishSide, -42)
	observe(c, 7, entry.DishSide, supplied(18.1))
	observe(c, 3, entry.DishSide, supplied(17.6))
	observe(c, 1, entry.ReceiverSide, supplied(17.2))
	if inf = next.Infer(*c, level.Options{}); inf.Healthy < 0.92 {
		t.Errorf("a full supply everywhere: healthy %.3f; %+v", inf.Healthy, inf.Suspects)
	}
}

// The weight of the voltages under each single fault, by hand from the written
// model, for two points and one feed.
func TestSupplyPosteriorByHand(t *testing.T) {
	tab := level.BuiltinTables()
	c := sampleCall()
	observe(c, 3, entry.DishSide, supplied(17.5))
	observe(c, 1, entry.ReceiverSide, supplied(12.4))
	s := tab.Supply
	density := func(x, mean, sd float64) float64 {
		return math.Exp(-(x-mean)*(x-mean)/(2*sd*sd)) / (sd * math.Sqrt(2*math.Pi))
	}
	ohm := func(ft float64) float64 { return (31.024 + 8) * ft / 1000 } // ASTM B869-04 Table 1, 18 AWG; the shield common practice
	toBlock, toLNB := s.Amperes*ohm(46), s.Amperes*ohm(106)
	weigh := func(joint bool) float64 {
		total := 0.0
		for _, loaded := range []bool{true, false} {
			for _, high := range []bool{true, false} {
				w := 0.25
				for k, x := range []float64{17.5, 12.4} {
					drop, sd := 0.0, 0.0
					if loaded {
						drop = []float64{toBlock, toLNB}[k]
						sd = s.DropSpread * drop
						if joint && k == 1 {
							drop, sd = drop+s.JointVolts, math.Hypot(sd, s.JointSD)
						}
					}
					wide := math.Sqrt(s.SourceSD*s.SourceSD + s.MeterSD*s.MeterSD + sd*sd)
					now, then := s.Low, s.High
					if high {
						now, then = s.High, s.Low
					}
					p := (1-s.Changed)*density(x, now-drop, wide) + s.Changed*density(x, then-drop, wide)
					w *= (1-s.Misread)*p + s.Misread/fault.VoltsRange
				}
				total += w
			}
		}
		return total
	}
	m := fault.NewModel(*c, tab, nil)
	var none, joint fault.SupplyState
	for i, p := range m.Parts {
		if p.Element != 2 {
			continue
		}
		for _, mode := range m.Net.Parts[i].Modes {
			for _, v := range mode.Variants {
				if v.Effect == fault.DcJoint && v.Supply != none {
					joint = v.Supply
				}
			}
		}
	}
	if joint == none {
		t.Fatal("no fault of the cable leaves a poor joint")
	}
	calltest.Near(t, "all sound", m.Net.Supply.Log(none), math.Log(weigh(false)), 1e-9, "independent computation")
	calltest.Near(t, "a poor joint in the cable between", m.Net.Supply.Log(joint), math.Log(weigh(true)), 1e-9, "independent computation")
	if m.Net.Supply.Log(joint) > m.Net.Supply.Most {
		t.Error("the bound on what voltages can add is too low")
	}
}

// Any number of feeds and voltages: the numbers stay probabilities.
func TestSupplyManyFeeds(t *testing.T) {
	tab := level.BuiltinTables()
	rng := rand.New(rand.NewPCG(5, 5))
	for k := range 20 {
		h := newHome(rng, tab, simLevels)
		c := trace.Call{Path: h.path, Settings: trace.Settings{FloorDBm: -50, Threshold: 75, TemperatureF: 68}, Versions: make([]int, len(h.path.Elements))}
		for range 1 + rng.IntN(20) {
			pl := c.Path.Points()[rng.IntN(len(c.Path.Points()))]
			c.Observations = append(c.Observations, trace.Observation{
				Seq: int64(len(c.Observations) + 1), Element: pl.Element, Side: pl.Side, Port: pl.Port, Round: 1,
				Versions: slices.Clone(c.Versions), Reading: supplied(math.Round(20*rng.Float64()*10) / 10),
			})
		}
		inf := next.Infer(c, level.Options{Tables: tab})
		sum := inf.Healthy
		for e, p := range inf.Marginals {
			if !(p >= 0 && p <= 1+1e-9) {
				t.Fatalf("home %d: element %d has %v", k, e, p)
			}
			sum += p
		}
		if sum < 0.95 { // at least one fault, or none
			t.Errorf("home %d: the faults and their absence come to %v", k, sum)
		}
	}
}
