package diagnose

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"downlead/grammar"
)

// randomHome says a random home: one to four receivers, one or two splitters.
func randomHome(r *rand.Rand) []grammar.Entry {
	n := 1 + r.IntN(4)
	trunk := "dish, lnb, cable 60, ground_block, cable 20"
	if n == 1 {
		return []grammar.Entry{chainOf(trunk + ", wall_plate, jumper, receiver #1")}
	}
	out := []grammar.Entry{chainOf(fmt.Sprintf("%s, splitter #1 /%d", trunk, n))}
	on, port := 1, 0
	for k := 1; k <= n; k++ {
		port++
		if k == 2 && n > 2 && r.IntN(2) == 0 { // a second splitter on the first one
			out = append(out, chainOf("splitter #1 :2, cable 15, splitter #2 /4"))
			on, port = 2, 1
		}
		out = append(out, chainOf(fmt.Sprintf("splitter #%d :%d, cable %d, wall_plate #%d, jumper, receiver #%d", on, port, 20+10*k, k, k)))
	}
	return out
}

// passesAt reports whether a signal gets past every faulty element.
func passesAt(p Path, reach int, faulty []int) bool {
	return !slices.ContainsFunc(p.Branch(reach), func(e int) bool { return slices.Contains(faulty, e) })
}

// measure reads a random choice of points of a home with faults, always one
// behind every receiver, as a meter without error would.
func measure(r *rand.Rand, p Path, faulty []int, fraction float64) []grammar.Entry {
	var out []grammar.Entry
	for _, pl := range p.Points() {
		if p.Elements[pl.Element].Element != grammar.Receiver && r.Float64() > fraction {
			continue
		}
		v := grammar.Pass
		if !passesAt(p, p.Reach(pl.Element, pl.Side), faulty) {
			v = grammar.Fail
		}
		out = append(out, grammar.Reading{Point: p.PointAt(pl), Verdict: v})
	}
	r.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}

func TestBracketsHoldTheFault(t *testing.T) {
	const seed = 20261102
	r := rand.New(rand.NewPCG(seed, 1))
	for trial := range 1200 {
		home := randomHome(r)
		p := replay(recordsOf(home...)).Path
		var faulty []int
		for range 1 + r.IntN(3) {
			if i := r.IntN(len(p.Elements)); p.Elements[i].Element != grammar.Receiver {
				faulty = append(faulty, i)
			}
		}
		c := replay(recordsOf(append(home, measure(r, p, faulty, r.Float64())...)...))
		if drawn(c.Path) != drawn(p) {
			t.Fatalf("trial %d seed %d: readings moved the path\n%s\n%s", trial, seed, drawn(p), drawn(c.Path))
		}
		spans := c.spans()
		for _, s := range spans {
			if !slices.ContainsFunc(faulty, func(f int) bool { return slices.Contains(s.elements, f) }) {
				t.Fatalf("trial %d seed %d: no fault of %v in bracket %v of %s", trial, seed, faulty, s.elements, drawn(p))
			}
		}
		for _, leaf := range p.Receivers() {
			failing := !passesAt(p, p.Parent[leaf], faulty)
			bracketed := slices.ContainsFunc(spans, func(s span) bool { return slices.Contains(s.feeds, leaf) })
			if failing != bracketed {
				t.Fatalf("trial %d seed %d: receiver %d fails %v, bracketed %v", trial, seed, leaf, failing, bracketed)
			}
		}
		if x := c.contradictions(); len(x) > 0 {
			t.Fatalf("trial %d seed %d: true readings contradict: %s", trial, seed, x[0].Text)
		}
		fewest := fewestFaults(spans)
		if len(spans) > 0 && len(spans) <= mostFaults && len(fewest) == 0 {
			t.Fatalf("trial %d seed %d: nothing explains %d failing branches", trial, seed, len(spans))
		}
		if distinct := slices.Compact(slices.Sorted(slices.Values(faulty))); len(fewest) > 0 && len(fewest[0]) > len(distinct) {
			t.Fatalf("trial %d seed %d: %d faults needed to explain %v", trial, seed, len(fewest[0]), distinct)
		}
		if len(faulty) == 1 && len(spans) > 1 {
			groups := c.sharedSpans(spans)
			if len(groups) == 0 || !slices.ContainsFunc(groups, func(g shared) bool { return slices.Contains(g.elements, faulty[0]) }) {
				t.Fatalf("trial %d seed %d: the one fault %d is in no shared bracket of %s", trial, seed, faulty[0], drawn(p))
			}
		}
	}
}

func TestAPassBeyondAFailIsAContradiction(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for range 400 {
		home := randomHome(r)
		p := replay(recordsOf(home...)).Path
		places := p.Points()
		a, b := places[r.IntN(len(places))], places[r.IntN(len(places))]
		ra, rb := p.Reach(a.Element, a.Side), p.Reach(b.Element, b.Side)
		if ra == rb || !p.Above(ra, rb) {
			continue
		}
		way := p.Branch(rb)
		if next := way[slices.Index(way, ra)+1]; a.Port > 0 && p.Elements[next].Port != a.Port {
			continue // another output: both can be true
		}
		first, second := grammar.Reading{Point: p.PointAt(a), Verdict: grammar.Fail}, grammar.Reading{Point: p.PointAt(b), Verdict: grammar.Pass}
		c := replay(recordsOf(append(home, first, second)...))
		x := c.contradictions()
		if len(x) != 1 || len(x[0].Entries) != 2 {
			t.Fatalf("fail %v, pass %v: %v", first.Point, second.Point, x)
		}
		if x[0].Repeat != first.Point && x[0].Repeat != second.Point {
			t.Fatalf("asks to repeat %v, which is neither reading", x[0].Repeat)
		}
		// A repair between them, or the true order of verdicts, makes peace.
		first.Verdict, second.Verdict = grammar.Pass, grammar.Fail
		if y := replay(recordsOf(append(home, first, second)...)).contradictions(); len(y) > 0 {
			t.Fatalf("pass then fail contradicts: %s", y[0].Text)
		}
	}
}

func TestContradictionWords(t *testing.T) {
	home := []grammar.Entry{chainOf(oneReceiver)}
	c := replay(recordsOf(append(home, read("ground_block dish", "fail", "-50.5"), read("wall_plate dish", "pass", "-44"))...))
	x := c.contradictions()
	want := "It fails at the ground block, dish side (entry 2), yet passes further on, at the wall plate, dish side (entry 3). Both cannot be true. Measure again at the ground block, dish side."
	if len(x) != 1 || x[0].Text != want {
		t.Fatalf("got %v", x)
	}
	for name, more := range map[string][]grammar.Entry{
		"another slot":        {slotReading("ground_block dish", "fail", 119), slotReading("wall_plate dish", "pass", 110)},
		"measured again":      {read("ground_block dish", "fail"), read("wall_plate dish", "pass"), read("ground_block dish", "pass")},
		"a repair in between": {read("ground_block dish", "fail"), grammar.Action{Action: "re_aimed", Element: grammar.Dish}, read("wall_plate dish", "pass")},
	} {
		if x := replay(recordsOf(append(slices.Clone(home), more...)...)).contradictions(); len(x) > 0 {
			t.Errorf("%s: %s", name, x[0].Text)
		}
	}
}

// A fail at an output that nobody numbered may be at the other one.
func TestAFailAtSomeOutputContradictsNothing(t *testing.T) {
	some := grammar.Reading{Point: grammar.Point{Element: grammar.Splitter, Side: grammar.ReceiverSide}, Verdict: grammar.Fail}
	if x := replay(recordsOf(append(twoRooms(), some, read("receiver #2", "pass"))...)).contradictions(); len(x) > 0 {
		t.Error(x[0].Text)
	}
	some.Point.Port = 2
	if x := replay(recordsOf(append(twoRooms(), some, read("receiver #2", "pass"))...)).contradictions(); len(x) != 1 {
		t.Errorf("the output numbered: %v", x)
	}
}

func TestExplainFitsAScreen(t *testing.T) {
	for name, states := range concluded() {
		for _, s := range states {
			text := Explain(s.Diagnosis, s.call)
			lines := strings.Split(text, "\n")
			if len(lines) > 24 {
				t.Errorf("%s: %d lines:\n%s", name, len(lines), text)
			}
			for _, l := range lines {
				if len(l) > screenWidth {
					t.Errorf("%s: too wide: %q", name, l)
				}
			}
		}
	}
}
