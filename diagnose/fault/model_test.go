package fault

import (
	"math"
	"testing"

	"downlead/diagnose/calltest"
	"downlead/diagnose/level"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// twoOutputs is a splitter with a wall plate on each output, both read.
func twoOutputs() trace.Call {
	c := trace.Call{
		Path: path.Path{
			Elements: []path.PathElement{
				{ID: "dish 1", Element: entry.Dish},
				{ID: "lnb 1", Element: entry.LNB},
				{ID: "splitter 1", Element: entry.Splitter, Ways: 2},
				{ID: "wall_plate 1", Element: entry.WallPlate, Port: 1},
				{ID: "receiver 1", Element: entry.Receiver},
				{ID: "wall_plate 2", Element: entry.WallPlate, Port: 2},
				{ID: "receiver 2", Element: entry.Receiver},
			},
			Parent: []int{-1, 0, 1, 2, 3, 2, 5},
		},
		Settings: trace.Settings{FloorDBm: -50, TemperatureF: 68}, Versions: make([]int, 7),
	}
	for k, r := range []int{4, 6} {
		c.Observations = append(c.Observations, trace.Observation{
			Seq: int64(k + 1), Element: r, Side: entry.DishSide, Round: 1, Versions: make([]int, 7),
			Reading: entry.Reading{Verdict: entry.Fail, Level: calltest.Dec("-55")},
		})
	}
	return c
}

// Half of a splitter's faults are on all its outputs, the rest on one of them
// each. Common practice, no source.
func TestFaultsOfASplitterDivideOverItsOutputs(t *testing.T) {
	m := NewModel(twoOutputs(), level.BuiltinTables(), nil)
	for i, p := range m.Parts {
		if p.Element != 2 {
			continue
		}
		v := m.Net.Parts[i].Modes[0].Variants
		if len(v) != 3 || v[0].share != 0.5 || v[1].share != 0.25 || v[2].share != 0.25 {
			t.Fatalf("the shares of %s are %+v, want half on all and a quarter on each of two", m.Net.Parts[i].Modes[0].Name, v)
		}
		return
	}
	t.Fatal("no splitter among the parts")
}

// A verdict yet to be given is a misread, and then anything, as often as said.
func TestPredictedVerdictMayBeMisread(t *testing.T) {
	like := make([]float64, 2)
	sure := prediction{mean: 0, sd: 1}
	sure.Speak(netPlace{limit: 50}, 0.04, like)
	calltest.Near(t, "a fail where all is well", like[0], 0.02, 1e-12, "half of the share of misreads, by hand")
	prediction{dead: true}.Speak(netPlace{limit: 50}, 0.04, like)
	calltest.Near(t, "a pass on a dead end", like[1], 0.02, 1e-12, "half of the share of misreads, by hand")
}

// That an installation never worked is a figure of its own: a run too long for
// the signal is sound only so often.
func TestNeverWorkedIsItsOwnFigure(t *testing.T) {
	healthy := func(never, misread float64) float64 {
		tab := level.BuiltinTables()
		tab.Source.NeverWorked, tab.Meter.Misread = never, misread
		c := twoOutputs()
		for _, w := range []int{3, 5} {
			c.Path.Elements[w] = path.PathElement{ID: "cable", Element: entry.Cable, LengthFt: 220, Port: c.Path.Elements[w].Port}
		}
		return NewModel(c, tab, nil).Conclude(NewModel(c, tab, nil).Net.Posterior()).Healthy
	}
	if rare, often := healthy(0.002, 0.02), healthy(0.4, 0.02); often < 2*rare || often < 0.2 {
		t.Errorf("with a run too long, sound has %.3f where one in 500 never worked and %.3f where two in five never did", rare, often)
	}
}

// That somebody called about a sound installation: of the verdict that stands for
// the call, half of what says nothing is a fail.
func TestACallAboutWhatIsSoundIsItsOwnFigure(t *testing.T) {
	tab := level.BuiltinTables()
	tab.Source.CalledSound, tab.Source.NeverWorked, tab.Meter.Misread = 0.03, 0.001, 0.02
	m := NewModel(twoOutputs(), tab, nil)
	last := m.Net.verdicts[len(m.Net.verdicts)-1]
	calltest.Near(t, "the call, where all is well", last.misread/2, 0.03, 1e-12, "the table's figure, by hand")
	if !last.fail {
		t.Error("who calls says that it passes")
	}
}

// Each number is read as exactly as the meter reads its kind.
func TestNumbersHaveTheirOwnSpread(t *testing.T) {
	tab := level.BuiltinTables()
	tab.Meter.LevelSD, tab.Meter.StrengthSD, tab.Meter.MERSD = 1.1, 3.3, 0.7
	c := twoOutputs()
	c.Observations = c.Observations[:1]
	r := &c.Observations[0].Reading
	r.Strength, r.MER = calltest.Dec("60"), calltest.Dec("9")
	m := NewModel(c, tab, nil)
	if len(m.Net.numbers) != 3 {
		t.Fatalf("%d numbers", len(m.Net.numbers))
	}
	for i, want := range []float64{1.1, 3.3, 0.7} {
		calltest.Near(t, "spread of a number", m.Net.numbers[i].sd, want, 1e-12, "the table's figure, by hand")
	}
}

// What a fault may be doing is shared out among the ways it does it: they are one
// in all, or less by the outputs that nobody has read.
func TestSharesOfAModeAddUpToOne(t *testing.T) {
	m := NewModel(twoOutputs(), level.BuiltinTables(), nil)
	n := 0
	for i, p := range m.Net.Parts {
		for _, mode := range p.Modes {
			sum := 0.0
			for _, v := range mode.Variants {
				sum += v.share
			}
			n++
			if math.Abs(sum-1) > 1e-9 {
				t.Errorf("%s of element %d: the shares add up to %g", mode.Name, m.Parts[i].Element, sum)
			}
		}
	}
	if n < 10 {
		t.Errorf("%d modes", n)
	}
}
