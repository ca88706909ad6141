package fault

import (
	"cmp"
	"math"
	"slices"
)

// posterior is what the readings leave of every set of up to three faults.
// Faults that no reading tells apart share a class, and sets are weighed class
// by class: exactly, but for those whose weight is bounded far under the best.
type posterior struct {
	net     *net
	Classes []netClass
	odds    *oddsTable
	Sets    []faultSet
	logZ    float64 // log of the readings' probability density, prior included
	rest    float64 // probability of sets that were weighed and are too unlikely to list
}

// faultSet is one choice of classes with its weight.
type faultSet struct {
	logWeight float64
	base      *base
	class     [MaxFaultsAtOnce]int16
	count     int8
	misread   [2]int8 // the numbers that the likeliest reading of the data calls misread
	misreads  int8
}

func (s *faultSet) classSlice(buf *[MaxFaultsAtOnce]int) []int {
	for i := range s.count {
		buf[i] = int(s.class[i])
	}
	return buf[:s.count]
}

// A set is left out unweighed when its weight is bounded so many nats under
// the best one's, and so is a choice of misreads. e^-14 is 8e-7 each; small
// problems are weighed in full, as far as a float64 tells.
const (
	pruneLarge   = 14
	pruneSmall   = 40
	smallClasses = 20
)

// weigher holds what weighing one set after another needs.
type weigher struct {
	*posterior
	vectors vectors
	bases   map[uint64]*base
	logOK   float64
	ceiling float64
	prune   float64 // nats
	visited int     // sets of three
	best    float64
	fit     fit
	scratch verdictScratch
	terms   []term
}

// term is the weight of a set under one choice of misreads.
type term struct {
	log float64
	m   misreads
}

// Posterior weighs every set of faults.
func (n *net) Posterior() *posterior {
	p := &posterior{net: n, Classes: n.classes()}
	slices.SortStableFunc(p.Classes, func(a, b netClass) int { return cmp.Compare(b.weight, a.weight) })
	for _, c := range p.Classes {
		slices.SortStableFunc(c.members, func(a, b NetFault) int { return cmp.Compare(b.odds, a.odds) })
	}
	p.odds = newOdds(p.Classes, len(n.Parts))
	w := &weigher{posterior: p, vectors: n.vectors(p.Classes), bases: map[uint64]*base{}, best: math.Inf(-1)}
	w.fit.residual, w.fit.diagonal = make([]float64, len(n.numbers)), make([]float64, len(n.numbers))
	w.scratch = newVerdictScratch(n)
	for i := range n.Parts {
		w.logOK += math.Log(n.quiet(i))
	}
	w.prune = pruneLarge
	if len(p.Classes) <= smallClasses {
		w.prune = pruneSmall
	}
	w.enumerate()
	p.normalise(w.best, w.prune)
	return p
}

// enumerate visits every set of classes whose weight is not bounded away. The
// classes stand by falling weight, so the bound ends each loop.
func (w *weigher) enumerate() {
	k := len(w.Classes)
	var cls [MaxFaultsAtOnce]int
	w.visit(nil, 1)
	for a := range k {
		cls[0] = a
		w.visit(cls[:1], w.odds.odds(cls[:1]))
	}
	w.raise()
	for a := 0; w.net.MaxFaults >= 2 && a < k; a++ {
		wa := w.odds.weight[a]
		for b := a; b < k && !w.hopeless(wa*w.odds.weight[b]); b++ {
			cls[0], cls[1] = a, b
			w.visit(cls[:2], w.odds.odds2(a, b))
		}
	}
	if w.net.MaxFaults < 3 {
		return
	}
	near := w.nearPairs()
	for a := 0; a < k && w.visited < mostTriples; a++ {
		for b := a; b < k; b++ {
			wab := w.odds.weight[a] * w.odds.weight[b]
			c := b
			for ; c < k && !w.hopeless(wab*w.odds.weight[c]); c++ {
				if near != nil && !near[a*k+b] && !near[a*k+c] && !near[b*k+c] {
					continue
				}
				cls[0], cls[1], cls[2] = a, b, c
				w.visit(cls[:3], w.odds.odds3(a, b, c))
				w.visited++
			}
			if c == b {
				break // so are all later b
			}
		}
	}
}

// mostTriples bounds the time that a call with very many readings takes: the
// likeliest by their priors come first.
const mostTriples = 60_000

// nearPairs marks the pairs of classes whose weight came near the best; a set
// of three is weighed when it holds one. It is nil where all are to be weighed.
func (w *weigher) nearPairs() []bool {
	if w.prune == pruneSmall {
		return nil
	}
	k := len(w.Classes)
	near := make([]bool, k*k)
	for i := range w.Sets {
		s := &w.Sets[i]
		switch a := int(s.class[0]); {
		case s.logWeight < w.best-w.prune:
		case s.count == 2:
			near[a*k+int(s.class[1])] = true
		case s.count == 1: // with a class that adds nothing, or what it explains by itself
			for b := range k {
				near[min(a, b)*k+max(a, b)] = true
			}
		}
	}
	return near
}

// hopeless reports that no set of so much odds can come near the best one.
func (w *weigher) hopeless(odds float64) bool {
	return odds < math.Exp(w.best-w.prune-w.logOK-w.ceiling)
}

// raise sets the ceiling: the log density of the numbers under any faults is at
// most the best of the bases that single faults need, and what killing more
// readings could add.
func (w *weigher) raise() {
	top, more := math.Inf(-1), 0.0
	for _, b := range w.bases {
		top = max(top, b.constant)
	}
	n := w.net
	for i, r := range n.numbers {
		variance := r.sd * r.sd
		for _, t := range n.tolerance {
			variance += t[i] * t[i]
		}
		more += max(0, n.deadLog(i)-logNormal(0, 0, math.Sqrt(variance)))
	}
	w.ceiling = top + more + w.toldAtMost()
	if n.Supply != nil {
		w.ceiling += n.Supply.Most
	}
}

// visit weighs one set of classes.
func (w *weigher) visit(cls []int, odds float64) {
	if odds <= 0 {
		return
	}
	var deadNumber, deadVerd uint64
	var supply SupplyState
	for _, c := range cls {
		supply = supply.with(w.Classes[c].supply)
		deadNumber |= w.Classes[c].deadNumber
		deadVerd |= w.Classes[c].deadVerd
	}
	b := w.bases[deadNumber]
	if b == nil {
		b = w.net.newBase(w.vectors, deadNumber)
		w.bases[deadNumber] = b
	}
	prior := math.Log(odds) + w.logOK
	if w.net.Supply != nil {
		prior += w.net.Supply.Log(supply)
	}
	if w.net.sound != nil {
		prior += w.net.told(w.Classes, cls)
	}
	if prior+b.constant < w.best-w.prune {
		return
	}
	f := &w.fit
	b.fit(f, w.Classes, cls)
	w.collect(b, prior)
	total, top := math.Inf(-1), misreads{}
	highest := math.Inf(-1)
	for _, t := range w.terms {
		limit := max(w.best, total) - w.prune
		if t.log < limit {
			continue // the verdicts can only take away from it
		}
		if len(w.net.verdicts) > 0 {
			t.log = w.verdicts(b, f, &t, cls, deadVerd, limit)
		}
		total = logAdd(total, t.log)
		if t.log > highest {
			highest, top = t.log, t.m
		}
	}
	if total > w.best {
		w.rest *= math.Exp(w.best - total)
		w.best = total
	}
	if total < w.best-w.prune {
		w.rest += math.Exp(total - w.best)
		return
	}
	s := faultSet{logWeight: total, base: b, count: int8(len(cls)), misreads: int8(top.count)}
	for i, c := range cls {
		s.class[i] = int16(c)
	}
	for i := range top.count {
		s.misread[i] = int8(top.at[i])
	}
	w.Sets = append(w.Sets, s)
}

// collect lists the choices of misreads that can matter to the set just fitted.
func (w *weigher) collect(b *base, prior float64) {
	f := &w.fit
	w.terms = append(w.terms[:0], term{log: prior + f.logLik})
	limit := w.best - w.prune
	if w.net.Misread <= 0 || prior+f.logLik+f.misfit+b.lost1 < limit {
		return
	}
	b.fill(f)
	for _, i := range b.live {
		v := f.residual[i]
		if prior+f.logLik+b.lost[i]+0.5*v*v/f.diagonal[i]+b.slack < limit {
			continue
		}
		l, m := b.without1(f, i)
		w.terms = append(w.terms, term{prior + l, m})
	}
	if prior+f.logLik+f.misfit+b.lost2 < limit {
		return
	}
	// Of two misreads at least one stands out; small problems take them all.
	all := w.prune == pruneSmall
	for _, i := range b.live {
		if !all && !standsOut(f, i) {
			continue
		}
		for _, j := range b.live {
			if j == i || j < i && (all || standsOut(f, j)) {
				continue
			}
			l, m := b.without2(f, i, j)
			if prior+l >= limit {
				w.terms = append(w.terms, term{prior + l, m})
			}
		}
	}
}

// standsOut reports that a number lies two standard deviations off what the
// others make of it.
func standsOut(f *fit, i int) bool {
	return f.residual[i]*f.residual[i] >= 4*f.diagonal[i]
}

// normalise turns the weights into log probabilities and drops what the best
// set leaves behind.
func (p *posterior) normalise(best, prune float64) {
	sum := 0.0
	for _, s := range p.Sets {
		if s.logWeight < best-prune {
			p.rest += math.Exp(s.logWeight - best)
			continue
		}
		sum += math.Exp(s.logWeight - best)
	}
	p.Sets = slices.DeleteFunc(p.Sets, func(s faultSet) bool { return s.logWeight < best-prune })
	p.logZ = best + math.Log(sum+p.rest)
	p.rest /= sum + p.rest
	for i := range p.Sets {
		p.Sets[i].logWeight -= p.logZ
	}
	slices.SortFunc(p.Sets, func(a, b faultSet) int {
		switch {
		case a.logWeight > b.logWeight:
			return -1
		case a.logWeight < b.logWeight:
			return 1
		}
		return slices.Compare(a.class[:a.count], b.class[:b.count])
	})
}

func logAdd(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	if math.IsInf(b, -1) {
		return a
	}
	return a + math.Log1p(math.Exp(b-a))
}

// each calls fn for every set of faults, part by part, that has at least the
// probability floor; sets are given with their class-level set.
func (p *posterior) each(floor float64, fn func(faults []NetFault, prob float64, s *faultSet)) {
	var faults [MaxFaultsAtOnce]NetFault
	for i := range p.Sets {
		s := &p.Sets[i]
		prob := math.Exp(s.logWeight)
		if prob < floor {
			return // the sets are sorted
		}
		var buf [MaxFaultsAtOnce]int
		cls := s.classSlice(&buf)
		p.pick(cls, 0, 0, faults[:0], prob/p.odds.odds(cls), floor, func(fs []NetFault, q float64) { fn(fs, q, s) })
	}
}

// pick chooses one member from each class, no two of one part and no choice
// twice. Members stand by falling odds, so the floor ends each loop.
func (p *posterior) pick(cls []int, at, from int, chosen []NetFault, prob, floor float64, fn func([]NetFault, float64)) {
	if at == len(cls) {
		if prob >= floor {
			fn(chosen, prob)
		}
		return
	}
	members, rest := p.Classes[cls[at]].members, 1.0
	for _, c := range cls[at+1:] {
		rest *= p.Classes[c].members[0].odds
	}
next:
	for m := from; m < len(members) && prob*members[m].odds*rest >= floor; m++ {
		for _, c := range chosen {
			if c.Part == members[m].Part {
				continue next
			}
		}
		follow := 0
		if at+1 < len(cls) && cls[at+1] == cls[at] {
			follow = m + 1
		}
		p.pick(cls, at+1, follow, append(chosen, members[m]), prob*members[m].odds, floor, fn)
	}
}
