package confidence

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

func TestDecideTakesTheCheapest(t *testing.T) {
	costs := DefaultCosts()
	for _, c := range []struct {
		p    Posterior
		want Decision
	}{
		{Posterior{0.996, 0.004, 0}, Take}, // 0.8 expected, a question costs 1
		{Posterior{0.996, 0, 0.004}, Take},
		{Posterior{0.994, 0.006, 0}, Ask}, // 1.2
		{Posterior{0.994, 0.003, 0.003}, Ask},
		{Posterior{0.3, 0.3, 0.4}, Ask},
		{Posterior{0.1, 0.02, 0.88}, Ignore},  // 0.96 of a question lost
		{Posterior{0.13, 0.01, 0.86}, Ask},    // 1.12 lost, 1.03 asked
		{Posterior{0.02, 0.13, 0.85}, Ignore}, // 1.2 lost, 1.39 asked: about another sentence most likely
		{Posterior{0, 0, 1}, Ignore},
		{Posterior{1, 0, 0}, Take},
	} {
		if got := costs.Decide(c.p); got != c.want {
			t.Errorf("%+v: %v, want %v", c.p, got, c.want)
		}
	}
	// Whoever minds questions more is asked less.
	costs.Question = 4
	if got := costs.Decide(Posterior{0.985, 0.015, 0}); got != Take {
		t.Errorf("with dear questions: %v", got)
	}
}

// What is kept nowhere may be wrong more often before it is asked about.
func TestUnstored(t *testing.T) {
	costs := DefaultCosts().Unstored()
	for p, want := range map[Posterior]Decision{{0.9, 0.05, 0.05}: Take, {0.8, 0.1, 0.1}: Ask, {0.02, 0, 0.98}: Ignore} {
		if got := costs.Decide(p); got != want {
			t.Errorf("%+v: %v, want %v", p, got, want)
		}
	}
}

func TestCostsRefuseNonsense(t *testing.T) {
	for _, c := range []Costs{{Wrong: -1}, {Lost: math.NaN()}, {Question: math.Inf(1)}} {
		if c.Check() == nil {
			t.Errorf("%+v is taken", c)
		}
	}
	if err := DefaultCosts().Check(); err != nil {
		t.Error(err)
	}
}

// invented draws examples whose class follows known odds of one feature.
func invented(n int) []Example {
	r := rand.New(rand.NewPCG(3, 4))
	out := make([]Example, n)
	for i := range out {
		e := Evidence{Lead: 12 * r.Float64(), Agree: true, Grammar: -40, Ratio: -25, WorstWord: -55, Covered: 1, Words: 4}
		p := softmax(2-e.Lead/2, -1)
		out[i] = Example{Evidence: e}
		switch v := r.Float64(); {
		case v < p.Misheard:
			out[i].Class = WasMisheard
		case v < p.Misheard+p.Other:
			out[i].Class = WasOther
		}
	}
	return out
}

// mixOf is how often each class comes among examples.
func mixOf(examples []Example) Posterior {
	var n [3]float64
	for _, e := range examples {
		n[e.Class] += 1 / float64(len(examples))
	}
	return Posterior{n[WasRight], n[WasMisheard], n[WasOther]}
}

// What is fitted gives the probabilities that the examples were drawn with.
func TestFitFindsTheOdds(t *testing.T) {
	examples := invented(2000)
	mix := mixOf(examples)
	table, err := Fit(examples, mix)
	if err != nil {
		t.Fatal(err)
	}
	worst := 0.0
	for _, e := range examples[:500] {
		got, want := table.Posterior(e.Evidence), softmax(2-e.Evidence.Lead/2, -1)
		worst = max(worst, math.Abs(got.Right-want.Right), math.Abs(got.Misheard-want.Misheard))
		if sum := got.Right + got.Misheard + got.Other; math.Abs(sum-1) > 1e-9 {
			t.Fatalf("adds up to %g", sum)
		}
	}
	if worst > 0.08 {
		t.Errorf("off by up to %.3f", worst)
	}
	if _, err := Fit(examples[:1], mix); err == nil {
		t.Error("one example is enough")
	}
	// Where a class is four times as frequent, its odds are four times as high (Bayes).
	often := Posterior{mix.Right, mix.Misheard * 4, mix.Other}
	shifted, err := Fit(examples, often)
	if err != nil {
		t.Fatal(err)
	}
	table.Lapse, shifted.Lapse = 0, 0 // which comes on top
	for _, e := range examples[:20] {
		p, q := table.Posterior(e.Evidence), shifted.Posterior(e.Evidence)
		if ratio := q.Misheard / q.Right / (p.Misheard / p.Right); math.Abs(ratio-4) > 0.01 {
			t.Errorf("the odds are %.3f times as high", ratio)
		}
	}
}

// The log-odds of the figures are twice what they should be, and one too high:
// Tune halves them and takes half of one off.
func TestTune(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	var figures []float64
	var right []bool
	for range 4000 {
		odds := 3 * r.NormFloat64()
		right = append(right, r.Float64() < logistic(odds))
		figures = append(figures, logistic(2*odds+1))
	}
	got, err := Tune(figures, right)
	if err != nil || math.Abs(got.Slope-0.5) > 0.05 || math.Abs(got.Offset+0.5) > 0.15 {
		t.Errorf("%+v, error %v; want slope 0.5, offset -0.5", got, err)
	}
	if _, err := Tune(figures[:39], right[:39]); !errors.Is(err, ErrFew) {
		t.Errorf("39 phrases: %v", err)
	}
	all := make([]bool, 40)
	for i := range all {
		all[i] = true
	}
	if got, err := Tune(figures[:40], all); err != nil || got.Offset > 3 || got.Slope > 3 {
		t.Errorf("of 40 right ones: %+v, %v", got, err)
	}
}

func TestTuned(t *testing.T) {
	p := Posterior{0.8, 0.15, 0.05}
	if got := p.Tuned(Tuning{}); got != p {
		t.Errorf("no tuning makes %+v", got)
	}
	got := p.Tuned(Tuning{Slope: 0.5, Offset: 0.2})
	if want := logistic(0.5*math.Log(4) + 0.2); math.Abs(got.Right-want) > 1e-12 || math.Abs(got.Misheard/got.Other-3) > 1e-9 {
		t.Errorf("%+v, want %.4f right and the others three to one", got, want)
	}
}

// The built table says more of what speaks for a phrase, and survives figures
// that are none.
func TestBuilt(t *testing.T) {
	table, err := Built()
	if err != nil {
		t.Fatal(err)
	}
	if table.Utterances < 50 || table.Made == "" || table.Material == "" {
		t.Errorf("the table does not say where it comes from: %+v", table)
	}
	good := Evidence{
		Agree: true, Grammar: -30, Ratio: -15, WorstWord: -40, Margin: 900, Covered: 1, Words: 8,
		LogP: -4, Lead: 10, Free: 1, Far: 0.05, SNR: 40,
	}
	bad := good
	bad.Agree, bad.Lead, bad.LogP, bad.Free, bad.Far, bad.Grammar, bad.Ratio, bad.Margin = false, 0.1, -30, 25, 0.9, -60, -50, -300
	if g, b := table.Posterior(good).Right, table.Posterior(bad).Right; g < 0.95 || b > 0.7 {
		t.Errorf("%.3f right for a good one, %.3f for a bad one", g, b)
	}
	foreign := bad
	foreign.Lead = 12
	if p := table.Posterior(foreign); DefaultCosts().Decide(p) != Ignore {
		t.Errorf("%+v of what neither listener finds likely", p)
	}
	long := foreign
	long.Spoken, long.Far = true, 0.3
	if p := table.Posterior(long); p.Other >= foreignToBoth {
		t.Errorf("%+v of a long sentence whose phonemes fit best and whose letters are mostly those written", p)
	}
	long.Words = 4
	if p := table.Posterior(long); p.Other < foreignToBoth {
		t.Errorf("%+v of a short one", p)
	}
	near := good
	near.Lead, near.Margin = 0.2, 50
	if p := table.Posterior(near); DefaultCosts().Decide(p) != Ask {
		t.Errorf("%+v where another sentence is nearly as likely for both", p)
	}
	nan := Evidence{Grammar: math.Inf(-1), Ratio: math.Inf(-1), WorstWord: math.NaN(), Margin: math.Inf(1), LogP: math.Inf(-1), Lead: math.Inf(1), Nothing: true}
	if p := table.Posterior(nan); math.IsNaN(p.Right) || p.Right > 0.5 {
		t.Errorf("%+v of nothing", p)
	}
}

// What neither listener finds likely is other speech: the first by any of the
// limits under which one alone ignores it (-55, -43, -100 and six tenths covered),
// the second by its free text.
func TestForeignToBoth(t *testing.T) {
	limit := Evidence{Grammar: -55, Ratio: -43, WorstWord: -100, Covered: 0.6, Free: 5.1}
	for name, change := range map[string]func(*Evidence){
		"grammar": func(e *Evidence) { e.Grammar = -55.1 }, "ratio": func(e *Evidence) { e.Ratio = -43.1 },
		"worst word": func(e *Evidence) { e.WorstWord = -100.1 }, "covered": func(e *Evidence) { e.Covered = 0.59 },
	} {
		e := limit
		change(&e)
		agree, near := e, e
		agree.Agree, near.Free = true, 5
		if limit.foreign() || !e.foreign() || agree.foreign() || near.foreign() {
			t.Errorf("%s: at the limit %v, beyond it %v, where both agree %v, near the free text %v", name, limit.foreign(), e.foreign(), agree.foreign(), near.foreign())
		}
	}
}

// What says nothing is never taken, and mostly ignored; one word that both
// listeners hear, and that the free text is, is taken in a quiet room.
func TestBuiltOfFewWords(t *testing.T) {
	table, err := Built()
	if err != nil {
		t.Fatal(err)
	}
	arrived := Evidence{
		Agree: true, Grammar: -45, Ratio: -35, WorstWord: -45, Margin: 2600, Covered: 1, Words: 1,
		LogP: -1, Lead: math.Inf(1), SNR: 50, PhonemeLead: 15, Spoken: true,
	}
	if p := table.Posterior(arrived); DefaultCosts().Decide(p) != Take {
		t.Errorf("%+v of one word that both hear", p)
	}
	noise := Evidence{
		Empty: true, Grammar: -50, Ratio: -40, WorstWord: -50, Margin: 300, Covered: 0.05, Words: 1,
		LogP: -8, Lead: 0.5, Free: 6, Far: 1, SNR: 20,
	}
	if p := table.Posterior(noise); DefaultCosts().Decide(p) != Ignore {
		t.Errorf("%+v of a noise that begins", p)
	}
}

// The second listener's lead and the first one's margin make one figure; what the second
// finds hopeless is behind, whatever room the first one's grammar gave it.
func TestJoint(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		e    Evidence
		want float64
	}{
		{Evidence{Lead: 2, Margin: 500}, 4},                  // a unit is worth 0.004 nat
		{Evidence{Lead: inf, Margin: inf}, 30},               // 12 and 24 at most, 30 together
		{Evidence{Lead: -20, Margin: -9000}, -16},            // likewise below
		{Evidence{Lead: 2, Margin: 500, Nothing: true}, 0},   // the first heard nothing
		{Evidence{LogP: -1000, Lead: inf, Margin: 9e3}, -16}, // hopeless
		{Evidence{LogP: math.Inf(-1), Lead: inf, Margin: inf}, -16},
	} {
		if got := c.e.joint(); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%+v: %g, want %g", c.e, got, c.want)
		}
	}
}

// What the second listener writes far otherwise, and finds much likelier so, may be a
// sentence that the grammar has not: it is asked about, however far all others are behind.
func TestOutsideTheGrammar(t *testing.T) {
	table, err := Built()
	if err != nil {
		t.Fatal(err)
	}
	e := Evidence{Grammar: -30, Ratio: -20, WorstWord: -40, Margin: 5000, Covered: 1, Words: 6, Agree: true, LogP: -18.7, Lead: 30, Free: 10, Far: 0.35, SNR: 60, PhonemeFit: -12, PhonemeLead: 20, Spoken: true}
	said, near, likely, fits := e, e, e, e
	said.Says, near.Far, likely.Free, fits.PhonemeFit = true, 0.1, 2, -4
	for name, c := range map[string]struct {
		e    Evidence
		want Decision
	}{"another sentence": {e, Ask}, "the same in other words": {said, Take}, "the same but for letters": {near, Take}, "as likely": {likely, Take}, "its phonemes are what was heard": {fits, Take}} {
		if got := DefaultCosts().Decide(table.Posterior(c.e)); got != c.want {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
}
