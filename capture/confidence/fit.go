package confidence

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// Class is what an utterance was.
type Class int

// The classes, in the order of Posterior's fields.
const (
	WasRight Class = iota
	WasMisheard
	WasOther
)

// Example is an utterance of which it is known what it was.
type Example struct {
	Evidence Evidence
	Class    Class
}

// ridge is how strongly coefficients are pulled towards those of prior: few
// utterances are misheard, and what was not seen must not count for nothing.
const ridge = 0.6

// firm is how strongly a coefficient is held that the examples pull beyond 0.
const firm = 1e6

// belief is what is known of a feature before anything was measured: its
// coefficients for Misheard and Other, and the sign that they can have, 0 for
// either. Without signs, the few utterances that were misheard in spite of good
// evidence turn it against itself.
type belief struct{ misheard, other, sign float64 }

// prior are judgements: listeners of different kinds that agree seldom err,
// free text that is another or much likelier than the sentence was other speech,
// and what says nothing is a noise that begins.
func prior() map[string]belief {
	return map[string]belief{
		"agree": {-3, -3, -1}, "agree_lead": {-1.5, -1, -1}, "joint": {-2, -1, -1}, "logp_word": {-0.2, -0.2, -1}, "free": {0.7, 1.5, 1}, "far": {1, 3, 1}, "ratio": {-0.3, -1, -1},
		"covered": {0, -2, -1}, "empty": {4, 7, 1}, "few_words": {0.3, 1, 1}, "quiet": {-2, -1, -1},
		"phoneme_lead": {-2, -1, -1}, "phoneme_fit": {-1, -2, -1}, "spoken": {-2, -2, -1}, "all": {-2, -2, -1},
	}
}

// OnCall is how often a stretch of sound on a call is each thing, a judgement: most
// of what is said near the tool is for it, and in an ordinary room it is heard. The
// material of a fit has far more noise and other speech, so that there is something to learn from.
func OnCall() Posterior { return Posterior{Right: 0.8, Misheard: 0.03, Other: 0.17} }

// astray is the share of examples whose evidence is taken to say nothing of their class: a
// sentence of which the end is not in the stretch at all is heard by everybody alike, and no listener is
// at fault. Without it, three such sentences among a thousand flatten the slopes for
// all the others (contaminated regression: J. Copas, Journal of the Royal Statistical Society B 50, 1988).
// Chosen on voices left out, of 0, 0.1, 0.3, 0.5, 1, 2 and 3 %: what was wrong without a question stayed the same.
const astray = 0.03

// lapse is the probability that the sentence is another one whatever the evidence: 2
// of the 907 sentences of which it spoke best, by voices left out, both of them cut off.
const lapse = 0.003

// problem is a fit that goes on: the features and classes of the examples, how much
// each counts, and where the coefficients are pulled to and how strongly, those of Misheard before
// those of Other.
type problem struct {
	x            [][]float64
	class        []Class
	weight       []float64
	middle, pull []float64
}

// likelihood is the probability of an example's class by the coefficients.
func (p *problem) likelihood(i int, w []float64) float64 {
	k := len(w) / 2
	q := softmax(dot(w[:k], p.x[i]), dot(w[k:], p.x[i]))
	return max([3]float64{q.Right, q.Misheard, q.Other}[p.class[i]], 1e-300)
}

// loss is what Fit makes small: the negative log-likelihood and the pull.
func (p *problem) loss(w []float64) float64 {
	sum := 0.0
	for i := range p.x {
		sum -= p.weight[i] * math.Log(p.likelihood(i, w))
	}
	for j := range w {
		sum += p.pull[j] / 2 * (w[j] - p.middle[j]) * (w[j] - p.middle[j])
	}
	return sum
}

// slopes are the first and second derivatives of the loss.
func (p *problem) slopes(w []float64) (*mat.VecDense, *mat.SymDense) {
	k := len(w) / 2
	g, h := mat.NewVecDense(2*k, nil), mat.NewSymDense(2*k, nil)
	add := func(i, j int, v float64) {
		if i <= j {
			h.SetSym(i, j, h.At(i, j)+v)
		}
	}
	for i, x := range p.x {
		q := softmax(dot(w[:k], x), dot(w[k:], x))
		d := [2]float64{q.Misheard, q.Other}
		curve := [2][2]float64{{d[0] * (1 - d[0]), -d[0] * d[1]}, {-d[0] * d[1], d[1] * (1 - d[1])}}
		if c := p.class[i]; c != WasRight {
			d[c-1]--
		}
		for a := range 2 {
			for j, xj := range x {
				xj *= p.weight[i]
				g.SetVec(a*k+j, g.AtVec(a*k+j)+d[a]*xj)
				for b := range 2 {
					for l, xl := range x {
						add(a*k+j, b*k+l, curve[a][b]*xj*xl)
					}
				}
			}
		}
	}
	for j := range w {
		g.SetVec(j, g.AtVec(j)+p.pull[j]*(w[j]-p.middle[j]))
		add(j, j, p.pull[j])
	}
	return g, h
}

// Fit finds the coefficients under which the examples are likeliest, but for those that went
// astray (multinomial logistic regression with a ridge and signs, by Newton's method; C. Bishop,
// Pattern Recognition and Machine Learning, 2006, 4.3.4), and moves the odds from
// the mix of the examples to that of call. It is an error to have none of a class.
func Fit(examples []Example, call Posterior) (Table, error) {
	var counts [3]float64
	p := &problem{weight: slices.Repeat([]float64{1}, len(examples))}
	for _, e := range examples {
		counts[e.Class]++
		p.x, p.class = append(p.x, e.Evidence.features()), append(p.class, e.Class)
	}
	for class, n := range counts {
		if n == 0 {
			return Table{}, fmt.Errorf("fit: no example of class %d among %d", class, len(examples))
		}
	}
	names := featureNames()
	k := len(names)
	var w []float64
	var err error
	for range 10 { // expectation and maximisation: how much each counts, then the coefficients
		if w, err = p.signed(names); err != nil {
			return Table{}, err
		}
		counts = [3]float64{}
		for i, c := range p.class {
			belongs := (1 - astray) * p.likelihood(i, w)
			p.weight[i] = belongs / (belongs + astray/float64(len(counts)))
			counts[c] += p.weight[i]
		}
	}
	n := func(c Class) float64 { return counts[c] }
	w[0] += math.Log(call.Misheard / call.Right * n(WasRight) / n(WasMisheard)) // of the feature that is always 1
	w[k] += math.Log(call.Other / call.Right * n(WasRight) / n(WasOther))
	t := Table{Utterances: len(examples), Call: call, Lapse: lapse, Misheard: map[string]float64{}, Other: map[string]float64{}}
	for j, name := range names {
		t.Misheard[name], t.Other[name] = rounded(w[j]), rounded(w[k+j])
	}
	return t, nil
}

// signed solves the problem for features of these names, holding at 0 what would have the wrong sign.
func (p *problem) signed(names []string) ([]float64, error) {
	k := len(names)
	sign := make([]float64, 2*k)
	p.middle, p.pull = make([]float64, 2*k), slices.Repeat([]float64{ridge}, 2*k)
	for j, name := range names {
		known := prior()[name]
		p.middle[j], p.middle[k+j] = known.misheard, known.other
		sign[j], sign[k+j] = known.sign, known.sign
	}
	for {
		w, err := p.solve()
		held := false
		for j, v := range w {
			if v*sign[j] < -1e-3 && p.pull[j] < firm {
				p.middle[j], p.pull[j], held = 0, firm, true
			}
		}
		if err != nil || !held {
			return w, err
		}
	}
}

// solve goes down by Newton's steps, halved as long as they lead up.
func (p *problem) solve() ([]float64, error) {
	w := slices.Clone(p.middle)
	loss := p.loss(w)
	for range 100 {
		g, h := p.slopes(w)
		var c mat.Cholesky
		var step mat.VecDense
		if !c.Factorize(h) {
			return w, errors.New("fit: the examples do not say enough")
		}
		if err := c.SolveVecTo(&step, g); err != nil {
			return w, fmt.Errorf("fit: %w", err)
		}
		next, lower := slices.Clone(w), math.Inf(1)
		for scale := 1.0; scale > 1e-6; scale /= 2 {
			for j := range next {
				next[j] = w[j] - scale*step.AtVec(j)
			}
			if lower = p.loss(next); lower <= loss {
				break
			}
		}
		if !(lower < loss-1e-9) {
			break
		}
		w, loss = next, lower
	}
	return w, nil
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

func rounded(v float64) float64 { return math.Round(v*1e4) / 1e4 }

// leastPhrases is how many phrases Tune wants: fewer say little.
const leastPhrases = 40

// ErrFew says that there are too few phrases to tune by.
var ErrFew = errors.New("too few phrases")

// Tune fits the two parameters of Tuning to phrases of which it is known
// whether they were right: confidence[i] is the figure of a phrase before. Fewer
// than 40 phrases give ErrFew; a mild pull towards no change keeps it finite
// where all of them were right.
func Tune(confidence []float64, right []bool) (Tuning, error) {
	if len(confidence) < leastPhrases {
		return Tuning{}, fmt.Errorf("%w: %d, and it takes %d", ErrFew, len(confidence), leastPhrases)
	}
	slope, offset := 1.0, 0.0
	const pull = 4.0
	for range 200 { // Newton's method with the exact second derivatives
		gs, g0 := pull*(slope-1), pull*offset
		hss, hs0, h00 := pull, 0.0, pull
		for i, c := range confidence {
			c = clip(c, 1e-6, 1-1e-6)
			x := math.Log(c / (1 - c))
			p := logistic(slope*x + offset)
			d := p
			if right[i] {
				d--
			}
			gs += d * x
			g0 += d
			q := p * (1 - p)
			hss += q * x * x
			hs0 += q * x
			h00 += q
		}
		det := hss*h00 - hs0*hs0
		slope -= clip((h00*gs-hs0*g0)/det, -0.5, 0.5)
		offset -= clip((hss*g0-hs0*gs)/det, -0.5, 0.5)
	}
	return Tuning{Slope: rounded(clip(slope, 0.1, 5)), Offset: rounded(clip(offset, -5, 5))}, nil
}
