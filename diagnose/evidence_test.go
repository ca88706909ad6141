package diagnose

import (
	"testing"

	"downlead/diagnose/calltest"
	"downlead/diagnose/fault"
	"downlead/diagnose/level"
	"downlead/diagnose/next"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// The odds of a part after a sighting are its odds before times the likelihood
// ratio, by hand.
func TestSightingMovesTheOdds(t *testing.T) {
	tab := level.BuiltinTables()
	c := sampleCall()
	setLevel(c, 7, entry.DishSide, -56)
	before := next.Infer(*c, level.Options{})
	c.Sightings = []trace.Sighting{{Seq: 9, Elements: []int{5}, Versions: make([]int, 8), Condition: "wet"}}
	m := fault.NewModel(*c, tab, nil)
	for i, p := range m.Parts {
		if p.Element != 5 {
			continue
		}
		prior, wet := tab.Prior["wall_plate"], tab.Sighting["wet"]
		sum, weighed := 0.0, 0.0
		for mode, q := range prior {
			r := wet.Of(entry.WallPlate, mode)
			sum, weighed = sum+q, weighed+q*r
		}
		for _, mode := range m.Net.Parts[i].Modes {
			want := prior[mode.Name] * wet[mode.Name] / (1 - sum + weighed)
			calltest.Near(t, "wall plate "+mode.Name, mode.Prior, want, 1e-12, "Bayes, by hand")
		}
	}
	after := next.Infer(*c, level.Options{})
	if after.Marginals[5] < 2.5*before.Marginals[5] {
		t.Errorf("water at the wall plate moves it from %.3f to %.3f only", before.Marginals[5], after.Marginals[5])
	}
	// A part replaced since has no water in it.
	replace(c, 5)
	setLevel(c, 7, entry.DishSide, -56)
	if inf := next.Infer(*c, level.Options{}); inf.Marginals[5] > 0.05 {
		t.Errorf("the new wall plate is suspected for the water in the old one: %.3f", inf.Marginals[5])
	}
}

// A passing baseline and a picture that comes and goes: faults that do not
// show are suspected, and one cause is enough.
func TestSymptomOpensWhatDoesNotShow(t *testing.T) {
	c := sampleCall()
	pass := entry.Reading{Verdict: entry.Pass, Level: decimal(-43), Strength: decimal(85)}
	observe(c, 7, entry.DishSide, pass)
	without := next.Infer(*c, level.Options{})
	if without.Healthy < 0.9 {
		t.Fatalf("a plain pass: healthy %.3f", without.Healthy)
	}
	c.Symptoms = []trace.Symptom{{Seq: 1, Symptom: "intermittent", Versions: make([]int, 8)}}
	with := next.Infer(*c, level.Options{})
	if with.Healthy > 0.75 {
		t.Errorf("it comes and goes: healthy %.3f; %+v", with.Healthy, with.Suspects)
	}
	for _, s := range with.Suspects[:3] {
		if s.Mode != level.ModeIntermittent && s.Mode != level.ModeDropout {
			t.Errorf("it comes and goes, and among the first suspects is %+v", s)
		}
	}
	two := 0.0
	for _, s := range with.Suspects {
		if len(s.Elements) > 1 {
			two += s.P
		}
	}
	if two > 0.05 {
		t.Errorf("two faults at once have %.3f, though one explains what was noticed", two)
	}
	c.Symptoms[0].When = "wind"
	if wind := next.Infer(*c, level.Options{}); wind.Marginals[0] < 2*with.Marginals[0] {
		t.Errorf("wind moves the dish from %.3f to %.3f only", with.Marginals[0], wind.Marginals[0])
	}
}

// After two receivers were exchanged the fault goes with one of them or stays
// with the outlet.
func TestSwapTells(t *testing.T) {
	p := splitPath()
	r := p.Receivers()
	c := trace.Call{Path: p, Settings: trace.Settings{FloorDBm: -50, Threshold: 75, TemperatureF: 68}, Versions: make([]int, len(p.Elements))}
	for _, x := range r {
		observe(&c, x, entry.DishSide, entry.Reading{Verdict: entry.Pass, Level: decimal(-46), Strength: decimal(82)})
	}
	c.Swaps = []trace.Swap{{Seq: 3, Receiver: r[0], Outlet: r[1], Follows: true, Versions: c.Versions}}
	inf := next.Infer(c, level.Options{})
	if inf.Marginals[r[0]] < 0.25 || inf.Suspects[0].Mode != level.ModeInput {
		t.Errorf("the fault went with the receiver: it has %.3f; %+v", inf.Marginals[r[0]], inf.Suspects)
	}
	c.Swaps[0].Follows, c.Swaps[0].Outlet = false, r[0]
	stays := next.Infer(c, level.Options{})
	if stays.Marginals[r[0]] > inf.Marginals[r[0]]/4 {
		t.Errorf("the fault stayed with the outlet: the receiver has %.3f, after %.3f", stays.Marginals[r[0]], inf.Marginals[r[0]])
	}
}

func TestEvidenceTablesAreChecked(t *testing.T) {
	for _, bad := range []level.EvidenceTable{{"rust": 2}, {"roof.flat": 2}, {"flat": 0}, {"flat": 1e9}} {
		if err := bad.Check(); err == nil {
			t.Errorf("%v is taken", bad)
		}
	}
	if err := (level.EvidenceTable{"dish.misaligned": 3, "open": 0.1}).Check(); err != nil {
		t.Error(err)
	}
}

// A pass that was said is no pass of a dish out of aim, whatever its level: with
// one room passing and another failing, the fault is not at the dish they share
// (common practice, no source).
func TestPassSpeaksAgainstAim(t *testing.T) {
	dish := func(verdict string) float64 {
		entries := append(calltest.TwoRooms(), calltest.Read("receiver #2", verdict, "-44"), calltest.Read("receiver #1", "fail"))
		inf := next.Infer(trace.Replay(calltest.RecordsOf(entries...)), level.Options{})
		return inf.Marginals[0]
	}
	unsaid, said := dish(""), dish("pass")
	if said > unsaid/3 {
		t.Errorf("with the pass said the dish is at %.3f, without it at %.3f", said, unsaid)
	}
}
