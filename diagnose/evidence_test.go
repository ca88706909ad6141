package diagnose

import (
	"testing"

	"downlead/grammar"
)

// The odds of a part after a sighting are its odds before times the likelihood
// ratio, by hand.
func TestSightingMovesTheOdds(t *testing.T) {
	tab := BuiltinTables()
	c := sampleCall()
	c.level(7, grammar.DishSide, -56)
	before := Infer(*c, Options{})
	c.Sightings = []Sighting{{Seq: 9, Elements: []int{5}, Versions: make([]int, 8), Condition: "wet"}}
	m := newModel(*c, tab, nil)
	for i, p := range m.parts {
		if p.element != 5 {
			continue
		}
		prior, wet := tab.Prior["wall_plate"], tab.Sighting["wet"]
		sum, weighed := 0.0, 0.0
		for mode, q := range prior {
			r := wet.of(grammar.WallPlate, mode)
			sum, weighed = sum+q, weighed+q*r
		}
		for _, mode := range m.net.parts[i].modes {
			want := prior[mode.name] * wet[mode.name] / (1 - sum + weighed)
			near(t, "wall plate "+mode.name, mode.prior, want, 1e-12, "Bayes, by hand")
		}
	}
	after := Infer(*c, Options{})
	if after.Marginals[5] < 2.5*before.Marginals[5] {
		t.Errorf("water at the wall plate moves it from %.3f to %.3f only", before.Marginals[5], after.Marginals[5])
	}
	// A part replaced since has no water in it.
	c.replace(5)
	c.level(7, grammar.DishSide, -56)
	if inf := Infer(*c, Options{}); inf.Marginals[5] > 0.05 {
		t.Errorf("the new wall plate is suspected for the water in the old one: %.3f", inf.Marginals[5])
	}
}

// A passing baseline and a picture that comes and goes: faults that do not
// show are suspected, and one cause is enough.
func TestSymptomOpensWhatDoesNotShow(t *testing.T) {
	c := sampleCall()
	pass := grammar.Reading{Verdict: grammar.Pass, Level: decimal(-43), Strength: decimal(85)}
	c.observe(7, grammar.DishSide, pass)
	without := Infer(*c, Options{})
	if without.Healthy < 0.9 {
		t.Fatalf("a plain pass: healthy %.3f", without.Healthy)
	}
	c.Symptoms = []Symptom{{Seq: 1, Symptom: "intermittent", Versions: make([]int, 8)}}
	with := Infer(*c, Options{})
	if with.Healthy > 0.75 {
		t.Errorf("it comes and goes: healthy %.3f; %+v", with.Healthy, with.Suspects)
	}
	for _, s := range with.Suspects[:3] {
		if s.Mode != ModeIntermittent && s.Mode != ModeDropout {
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
	if wind := Infer(*c, Options{}); wind.Marginals[0] < 2*with.Marginals[0] {
		t.Errorf("wind moves the dish from %.3f to %.3f only", with.Marginals[0], wind.Marginals[0])
	}
}

// After two receivers were exchanged the fault goes with one of them or stays
// with the outlet.
func TestSwapTells(t *testing.T) {
	p := splitPath()
	r := p.Receivers()
	c := Call{Path: p, Settings: Settings{FloorDBm: -50, Threshold: 75, TemperatureF: 68}, Versions: make([]int, len(p.Elements))}
	for _, x := range r {
		c.observe(x, grammar.DishSide, grammar.Reading{Verdict: grammar.Pass, Level: decimal(-46), Strength: decimal(82)})
	}
	c.Swaps = []Swap{{Seq: 3, Receiver: r[0], Follows: true, Versions: c.Versions}}
	inf := Infer(c, Options{})
	if inf.Marginals[r[0]] < 0.25 || inf.Suspects[0].Mode != ModeInput {
		t.Errorf("the fault went with the receiver: it has %.3f; %+v", inf.Marginals[r[0]], inf.Suspects)
	}
	c.Swaps[0].Follows = false
	stays := Infer(c, Options{})
	if stays.Marginals[r[0]] > inf.Marginals[r[0]]/4 {
		t.Errorf("the fault stayed with the outlet: the receiver has %.3f, after %.3f", stays.Marginals[r[0]], inf.Marginals[r[0]])
	}
}

func TestEvidenceTablesAreChecked(t *testing.T) {
	for _, bad := range []EvidenceTable{{"rust": 2}, {"roof.flat": 2}, {"flat": 0}, {"flat": 1e9}} {
		if err := bad.check(); err == nil {
			t.Errorf("%v is taken", bad)
		}
	}
	if err := (EvidenceTable{"dish.misaligned": 3, "open": 0.1}).check(); err != nil {
		t.Error(err)
	}
}
