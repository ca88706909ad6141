package fault

import (
	"math"
	"sort"
	"strings"
	"testing"

	"downlead/diagnose/calltest"
)

// The small nets below have three modes (ok, a flat loss of 6 dB, open), a
// meter of 1 dB and a dead end at 40 +/- 1 dB under the healthy level. The
// expected figures are an independent computation: the enumeration of every
// combination of modes in another language, confirmed by sum-product on a grid.

type testMode struct {
	name  string
	prior float64
	loss  []float64 // by band; nil is open
	duty  float64   // 0 means always
}

type testPart struct {
	name   string
	parent int // -1 at the dish
	modes  []testMode
}

type testReading struct {
	at        int // the output of this part
	band      int
	round     int
	deviation float64
	sd        float64
}

type testVerdict struct {
	at         int
	fail       bool
	margin, sd float64
}

var twoModes = []testMode{{"flat6", 0.02, []float64{6}, 0}, {"open", 0.01, nil, 0}}

func rowOf(modes []testMode, names ...string) []testPart {
	var out []testPart
	for i, name := range names {
		out = append(out, testPart{name, i - 1, modes})
	}
	return out
}

func upstream(parts []testPart, i int) map[int]bool {
	out := map[int]bool{}
	for ; i >= 0; i = parts[i].parent {
		out[i] = true
	}
	return out
}

// testNet builds a net; rounds is the number of occasions.
func testNet(parts []testPart, readings []testReading, verdicts []testVerdict, places []int) *net {
	n := &net{MaxFaults: 3}
	type site struct{ at, band, round int }
	var sites []site
	rounds := 1
	for _, r := range readings {
		n.numbers = append(n.numbers, netNumber{deviation: r.deviation, sd: r.sd, dead: 40, deadSD: 1, anything: 1. / 80})
		sites = append(sites, site{r.at, r.band, r.round})
		rounds = max(rounds, r.round+1)
	}
	for _, v := range verdicts {
		n.verdicts = append(n.verdicts, netVerdict{limit: v.margin, sd: v.sd, fail: v.fail, dead: 40})
		sites = append(sites, site{at: v.at})
	}
	for _, p := range places {
		n.Places = append(n.Places, netPlace{sd: 1, limit: 3, dead: 40, deadSD: 1})
		sites = append(sites, site{at: p})
	}
	for i, p := range parts {
		var np netPart
		for _, m := range p.modes {
			nm := mode0(m, rounds, len(sites), func(pattern, s int) bool {
				return upstream(parts, sites[s].at)[i] && pattern>>sites[s].round&1 == 1
			}, func(s int) int { return sites[s].band })
			np.Modes = append(np.Modes, nm)
		}
		n.Parts = append(n.Parts, np)
	}
	return n
}

func mode0(m testMode, rounds, sites int, hits func(pattern, s int) bool, band func(int) int) netMode {
	nm := netMode{Name: m.name, Prior: m.prior}
	patterns := []int{1<<rounds - 1}
	if m.duty > 0 {
		patterns = nil
		for p := range 1 << rounds {
			patterns = append(patterns, p)
		}
	}
	for _, p := range patterns {
		v := netVariant{share: 1, shift: make([]float64, sites), open: make([]bool, sites)}
		if m.duty > 0 {
			for r := range rounds {
				if p>>r&1 == 1 {
					v.share *= m.duty
				} else {
					v.share *= 1 - m.duty
				}
			}
		}
		for s := range sites {
			if !hits(p, s) {
				continue
			}
			if m.loss == nil {
				v.open[s] = true
			} else {
				v.shift[s] = m.loss[band(s)]
			}
		}
		nm.Variants = append(nm.Variants, v)
	}
	return nm
}

// named lists the probability of every set of faults, "C1:flat6+C3:open".
func named(n *net, parts []testPart, p *posterior) map[string]float64 {
	out := map[string]float64{}
	p.each(0, func(faults []NetFault, prob float64, _ *faultSet) {
		var names []string
		for _, f := range faults {
			names = append(names, parts[f.Part].name+":"+n.Parts[f.Part].Modes[f.Mode].Name)
		}
		sort.Strings(names)
		key := strings.Join(names, "+")
		if key == "" {
			key = "none"
		}
		out[key] += prob
	})
	return out
}

func TestPosteriorVectors(t *testing.T) {
	chain := rowOf(twoModes, "C1", "C2", "C3")
	tree := []testPart{{"C1", -1, twoModes}, {"A", 0, twoModes}, {"B", 0, twoModes}}
	num := func(at int, dev float64) testReading { return testReading{at: at, deviation: dev, sd: 1} }
	tests := []struct {
		name     string
		parts    []testPart
		numbers  []testReading
		verdicts []testVerdict
		evidence float64 // 12 places
		want     map[string]float64
	}{
		{"T0", chain, nil, nil, 1, map[string]float64{"none": .912673}},
		{
			"T1", chain,
			[]testReading{num(2, 6.3)},
			nil, 2.153086865121e-2,
			map[string]float64{"C1:flat6": .333333319, "C2:flat6": .333333319, "C3:flat6": .333333319},
		},
		{
			"T2", chain,
			[]testReading{num(0, 0.4), num(2, 6.3)},
			nil, 5.286117892296e-3,
			map[string]float64{"C2:flat6": .499999927, "C3:flat6": .499999927},
		},
		{
			"T3", chain,
			[]testReading{num(0, 0.4), num(2, 12.2)},
			nil, 5.587567056001e-5,
			map[string]float64{"C2:flat6+C3:flat6": .999999219},
		},
		{
			"T4", chain,
			[]testReading{num(0, 6.2), num(2, 39.5)},
			nil, 5.479369657604e-5,
			map[string]float64{
				"C1:flat6+C3:open": .487437077, "C1:flat6+C2:open": .487437077,
				"C1:flat6+C2:flat6+C3:open": .010050249, "C1:flat6+C2:open+C3:open": .005025125,
			},
		},
		{
			"T5", chain, nil,
			[]testVerdict{{0, false, 3, 1}, {2, true, 3, 1}},
			5.845619427542e-2,
			map[string]float64{
				"C2:flat6": .321047748, "C3:flat6": .321047748, "C2:open": .160740858, "C3:open": .160740858,
				"none": .021047425,
			},
		},
		{"T6", tree, []testReading{num(1, 6.2), num(2, 0.3)}, nil, 2.806497062407e-3, map[string]float64{"A:flat6": .999999683}},
		{
			"T7", tree,
			[]testReading{num(1, 6.2), num(2, 5.7)},
			nil, 2.864362349134e-3,
			map[string]float64{"C1:flat6": .979797886, "A:flat6+B:flat6": .020202018},
		},
		{
			"T8", tree,
			[]testReading{num(1, 12.1), num(2, 6.1)},
			nil, 6.113769941012e-5,
			map[string]float64{"A:flat6+C1:flat6": .999999586},
		},
		{
			"T9", tree, nil,
			[]testVerdict{{1, true, 3, 1}, {2, false, 3, 1}},
			2.942085368411e-2,
			map[string]float64{"A:flat6": .637888680, "A:open": .319375464, "none": .041819058},
		},
		{
			"T10", chain, nil,
			[]testVerdict{{0, true, 3, 1}, {1, false, 3, 1}, {2, true, 3, 1}},
			6.583247292690e-5,
			map[string]float64{"C1:flat6": .384822946, "C3:flat6": .384822946, "C3:open": .192671560},
		},
		{
			"two bands, tilt", rowOf(bandModes, "C1", "C2"),
			[]testReading{{at: 1, band: 0, deviation: 2.4, sd: 1}, {at: 1, band: 1, deviation: 7.7, sd: 1}},
			nil, 0,
			map[string]float64{"C1:tilt": .499795216, "C2:tilt": .499795216},
		},
		{
			"two bands, flat and tilt", rowOf(bandModes, "C1", "C2"),
			[]testReading{{at: 1, band: 0, deviation: 8.3, sd: 1}, {at: 1, band: 1, deviation: 13.6, sd: 1}},
			nil, 0,
			map[string]float64{"C1:flat+C2:tilt": .499914613, "C1:tilt+C2:flat": .499914613},
		},
		{
			"intermittent in three rounds", rowOf(onOffModes, "C1"),
			[]testReading{{deviation: .2, sd: 1}, {round: 1, deviation: .1, sd: 1}, {round: 2, deviation: 9.8, sd: 1}},
			nil, 0,
			map[string]float64{"C1:int": 1.0},
		},
		{
			"intermittent or hard", rowOf(onOffModes, "C1"),
			[]testReading{{deviation: 9.8, sd: 1}},
			nil, 0,
			map[string]float64{"C1:hard": .689655172, "C1:int": .310344828},
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			n := testNet(tt.parts, tt.numbers, tt.verdicts, nil)
			p := n.Posterior()
			if tt.evidence > 0 {
				calltest.Near(t, "evidence", math.Exp(p.logZ)/tt.evidence, 1, 1e-9, "independent computation")
			}
			got := named(n, tt.parts, p)
			for key, want := range tt.want {
				calltest.Near(t, key, got[key], want, 1.5e-9, "independent computation")
			}
		})
	}
}

var (
	bandModes  = []testMode{{"flat", .02, []float64{6, 6}, 0}, {"tilt", .02, []float64{2, 8}, 0}}
	onOffModes = []testMode{{"int", .03, []float64{10}, .3}, {"hard", .02, []float64{10}, 0}}
)

func TestPosteriorOfNothing(t *testing.T) {
	parts := rowOf(twoModes, "C1", "C2", "C3")
	n := testNet(parts, nil, nil, nil)
	byCount, entropy := [4]float64{}, 0.0
	n.Posterior().each(0, func(faults []NetFault, prob float64, _ *faultSet) {
		byCount[len(faults)] += prob
		entropy -= prob * math.Log2(prob)
	})
	for k, want := range []float64{.912673, .084681, .002619, .000027} {
		calltest.Near(t, "faults at once", byCount[k], want, 1e-9, "independent computation, case T0")
	}
	calltest.Near(t, "entropy", entropy, .665822199, 1e-9, "independent computation, case T0")
}

// Shared tolerance: every element's healthy loss is uncertain by 0.5 dB, which
// all readings beyond it share; the meter has 0.8 dB.
func TestPosteriorSharedTolerance(t *testing.T) {
	parts := rowOf([]testMode{{"loss", .05, []float64{3}, 0}}, "C1", "C2")
	n := testNet(parts, []testReading{{at: 0, deviation: 1.4, sd: .8}, {at: 1, deviation: 4.6, sd: .8}}, nil, nil)
	n.tolerance = [][]float64{{.5, .5}, {0, .5}}
	got := named(n, parts, n.Posterior())
	for key, want := range map[string]float64{
		"C2:loss": .796035446, "C1:loss": .157600908, "C1:loss+C2:loss": .038722913, "none": .007640732,
	} {
		calltest.Near(t, key, got[key], want, 1e-9, "independent computation")
	}
}

// Repairs: C2 is replaced between the two rounds, so that the old readings
// speak of the old part and the new ones of the new.
func TestPosteriorAcrossRepair(t *testing.T) {
	fresh := []testMode{{"flat6", .004, []float64{6}, 0}, {"open", .001, nil, 0}}
	build := func(end0, end1 float64) (*net, []testPart) {
		parts := []testPart{{"C1", -1, twoModes}, {"old C2", 0, twoModes}, {"C2", 0, fresh}, {"C3", 1, twoModes}}
		numbers := []testReading{{at: 0, deviation: .4, sd: 1}, {at: 3, deviation: end0, sd: 1}, {at: 3, deviation: end1, sd: 1}}
		n := testNet(parts, numbers, nil, nil)
		// The last reading goes through the new part instead of the old one.
		for i := range n.Parts[1].Modes {
			n.Parts[1].Modes[i].Variants[0].shift[2] = 0
			n.Parts[1].Modes[i].Variants[0].open[2] = false
		}
		n.Parts[2].Modes[0].Variants[0].shift[2] = 6
		n.Parts[2].Modes[1].Variants[0].open[2] = true
		return n, parts
	}
	now := func(all map[string]float64, want string) float64 {
		total := 0.0
		for key, p := range all {
			var rest []string
			for f := range strings.SplitSeq(key, "+") {
				if !strings.HasPrefix(f, "old ") && f != "none" {
					rest = append(rest, f)
				}
			}
			if strings.Join(rest, "+") == want {
				total += p
			}
		}
		return total
	}
	n, parts := build(12.2, 6.1)
	calltest.Near(t, "C3 still at fault", now(named(n, parts, n.Posterior()), "C3:flat6"), .999999831, 1.5e-9, "independent computation")
	n, parts = build(6.3, 0.2)
	all := named(n, parts, n.Posterior())
	calltest.Near(t, "nothing left", now(all, ""), .999999949, 1.5e-9, "independent computation")
	cause := 0.0
	for key, p := range all {
		if key == "old C2:flat6" {
			cause += p
		}
	}
	calltest.Near(t, "the old part was the cause", cause, .999999827, 1.5e-9, "independent computation")
}
