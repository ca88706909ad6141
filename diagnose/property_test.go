package diagnose

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"downlead/diagnose/calltest"
	"downlead/diagnose/claim"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// randomHome says a random home: one to four receivers, one or two splitters.
func randomHome(r *rand.Rand) []entry.Entry {
	n := 1 + r.IntN(4)
	trunk := "dish, lnb, cable 60, ground_block, cable 20"
	if n == 1 {
		return []entry.Entry{calltest.ChainOf(trunk + ", wall_plate, jumper, receiver #1")}
	}
	out := []entry.Entry{calltest.ChainOf(fmt.Sprintf("%s, splitter #1 /%d", trunk, n))}
	on, port := 1, 0
	for k := 1; k <= n; k++ {
		port++
		if k == 2 && n > 2 && r.IntN(2) == 0 { // a second splitter on the first one
			out = append(out, calltest.ChainOf("splitter #1 :2, cable 15, splitter #2 /4"))
			on, port = 2, 1
		}
		out = append(out, calltest.ChainOf(fmt.Sprintf("splitter #%d :%d, cable %d, wall_plate #%d, jumper, receiver #%d", on, port, 20+10*k, k, k)))
	}
	return out
}

// passesAt reports whether a signal gets past every faulty element.
func passesAt(p path.Path, reach int, faulty []int) bool {
	return !slices.ContainsFunc(p.Branch(reach), func(e int) bool { return slices.Contains(faulty, e) })
}

// measure reads a random choice of points of a home with faults, always one
// behind every receiver, as a meter without error would.
func measure(r *rand.Rand, p path.Path, faulty []int, fraction float64) []entry.Entry {
	var out []entry.Entry
	for _, pl := range p.Points() {
		if p.Elements[pl.Element].Element != entry.Receiver && r.Float64() > fraction {
			continue
		}
		v := entry.Pass
		if !passesAt(p, p.Reach(pl.Element, pl.Side), faulty) {
			v = entry.Fail
		}
		out = append(out, entry.Reading{Point: p.PointAt(pl), Verdict: v})
	}
	r.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}

func TestBracketsHoldTheFault(t *testing.T) {
	const seed = 20261102
	r := rand.New(rand.NewPCG(seed, 1))
	for trial := range 1200 {
		home := randomHome(r)
		p := trace.ReplayCurrent(calltest.RecordsOf(home...)).Path
		var faulty []int
		for range 1 + r.IntN(3) {
			if i := r.IntN(len(p.Elements)); p.Elements[i].Element != entry.Receiver {
				faulty = append(faulty, i)
			}
		}
		c := trace.ReplayCurrent(calltest.RecordsOf(append(home, measure(r, p, faulty, r.Float64())...)...))
		if drawn(c.Path) != drawn(p) {
			t.Fatalf("trial %d seed %d: readings moved the path\n%s\n%s", trial, seed, drawn(p), drawn(c.Path))
		}
		spans := c.Spans()
		for _, s := range spans {
			if !slices.ContainsFunc(faulty, func(f int) bool { return slices.Contains(s.Elements, f) }) {
				t.Fatalf("trial %d seed %d: no fault of %v in bracket %v of %s", trial, seed, faulty, s.Elements, drawn(p))
			}
		}
		for _, leaf := range p.Receivers() {
			failing := !passesAt(p, p.Parent[leaf], faulty)
			bracketed := slices.ContainsFunc(spans, func(s trace.Span) bool { return slices.Contains(s.Feeds, leaf) })
			if failing != bracketed {
				t.Fatalf("trial %d seed %d: receiver %d fails %v, bracketed %v", trial, seed, leaf, failing, bracketed)
			}
		}
		if x := c.Contradictions(); len(x) > 0 {
			t.Fatalf("trial %d seed %d: true readings contradict: %s", trial, seed, x[0].Text)
		}
		fewest := trace.FewestFaults(spans)
		if len(spans) > 0 && len(spans) <= trace.MostFaults && len(fewest) == 0 {
			t.Fatalf("trial %d seed %d: nothing explains %d failing branches", trial, seed, len(spans))
		}
		if distinct := slices.Compact(slices.Sorted(slices.Values(faulty))); len(fewest) > 0 && len(fewest[0]) > len(distinct) {
			t.Fatalf("trial %d seed %d: %d faults needed to explain %v", trial, seed, len(fewest[0]), distinct)
		}
		if len(faulty) == 1 && len(spans) > 1 {
			groups := c.SharedSpans(spans)
			if len(groups) == 0 || !slices.ContainsFunc(groups, func(g trace.Shared) bool { return slices.Contains(g.Elements, faulty[0]) }) {
				t.Fatalf("trial %d seed %d: the one fault %d is in no shared bracket of %s", trial, seed, faulty[0], drawn(p))
			}
		}
	}
}

func TestAPassBeyondAFailIsAContradiction(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for range 400 {
		home := randomHome(r)
		p := trace.ReplayCurrent(calltest.RecordsOf(home...)).Path
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
		first, second := entry.Reading{Point: p.PointAt(a), Verdict: entry.Fail}, entry.Reading{Point: p.PointAt(b), Verdict: entry.Pass}
		c := trace.ReplayCurrent(calltest.RecordsOf(append(home, first, second)...))
		x := c.Contradictions()
		if len(x) != 1 || len(x[0].Entries) != 2 {
			t.Fatalf("fail %v, pass %v: %v", first.Point, second.Point, x)
		}
		if x[0].Repeat != first.Point && x[0].Repeat != second.Point {
			t.Fatalf("asks to repeat %v, which is neither reading", x[0].Repeat)
		}
		// A repair between them, or the true order of verdicts, makes peace.
		first.Verdict, second.Verdict = entry.Pass, entry.Fail
		if y := trace.ReplayCurrent(calltest.RecordsOf(append(home, first, second)...)).Contradictions(); len(y) > 0 {
			t.Fatalf("pass then fail contradicts: %s", y[0].Text)
		}
	}
}

func TestContradictionWords(t *testing.T) {
	home := []entry.Entry{calltest.ChainOf(calltest.OneReceiver)}
	c := trace.ReplayCurrent(calltest.RecordsOf(append(home, calltest.Read("ground_block dish", "fail", "-50.5"), calltest.Read("wall_plate dish", "pass", "-44"))...))
	x := c.Contradictions()
	want := "It fails at the ground block, dish side (entry 2), yet passes further on, at the wall plate, dish side (entry 3). Both cannot be true. Measure again at the ground block, dish side."
	if len(x) != 1 || x[0].Text != want {
		t.Fatalf("got %v", x)
	}
	for name, more := range map[string][]entry.Entry{
		"another slot":        {calltest.SlotReading("ground_block dish", "fail", 119), calltest.SlotReading("wall_plate dish", "pass", 110)},
		"measured again":      {calltest.Read("ground_block dish", "fail"), calltest.Read("wall_plate dish", "pass"), calltest.Read("ground_block dish", "pass")},
		"a repair in between": {calltest.Read("ground_block dish", "fail"), entry.Action{Action: "re_aimed", Element: entry.Dish}, calltest.Read("wall_plate dish", "pass")},
	} {
		if x := trace.ReplayCurrent(calltest.RecordsOf(append(slices.Clone(home), more...)...)).Contradictions(); len(x) > 0 {
			t.Errorf("%s: %s", name, x[0].Text)
		}
	}
}

// A fail at an output that nobody numbered may be at the other one.
func TestAFailAtSomeOutputContradictsNothing(t *testing.T) {
	some := entry.Reading{Point: entry.Point{Element: entry.Splitter, Side: entry.ReceiverSide}, Verdict: entry.Fail}
	if x := trace.ReplayCurrent(calltest.RecordsOf(append(calltest.TwoRooms(), some, calltest.Read("receiver #2", "pass"))...)).Contradictions(); len(x) > 0 {
		t.Error(x[0].Text)
	}
	some.Point.Port = 2
	if x := trace.ReplayCurrent(calltest.RecordsOf(append(calltest.TwoRooms(), some, calltest.Read("receiver #2", "pass"))...)).Contradictions(); len(x) != 1 {
		t.Errorf("the output numbered: %v", x)
	}
}

func TestExplainFitsAScreen(t *testing.T) {
	for name, states := range concluded() {
		for _, s := range states {
			text := claim.Explain(s.Diagnosis, s.call)
			lines := strings.Split(text, "\n")
			if len(lines) > 24 {
				t.Errorf("%s: %d lines:\n%s", name, len(lines), text)
			}
			for _, l := range lines {
				if len(l) > claim.ScreenWidth {
					t.Errorf("%s: too wide: %q", name, l)
				}
			}
		}
	}
}
