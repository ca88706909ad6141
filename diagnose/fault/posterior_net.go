package fault

import (
	"math"
	"slices"
)

// net is a diagnosis problem without its path: parts that may each have one
// fault, what every fault does to every site, and what was read there. Sites
// are numbered: first the numbers read, then the verdicts given without one,
// then places where nothing has been read yet. All shifts are deviations in dB
// (or in the reading's own unit) below what a healthy path gives.
type net struct {
	Parts     []netPart
	numbers   []netNumber
	verdicts  []netVerdict
	Places    []netPlace
	tolerance [][]float64     // independent standard deviations shared by sites: [source][site]
	Misread   float64         // share of readings that may be anything
	MaxFaults int             // at once; 1 to 3
	feltOnly  bool            // count a fault that does nothing to any reading as none
	sound     []float64       // by report: how likely it is with no fault
	Supply    *supplyReadings // the voltages read; nil when there are none
}

// netPart is one version of an element.
type netPart struct {
	Modes []netMode // the failure modes; what is left of their priors is "ok"
}

// netMode is one way in which a part fails. Its variants are what it may be doing
// to the sites: an intermittent fault shows or not, a dish is off one slot or
// all. Their shares sum to one.
type netMode struct {
	Name     string
	Prior    float64
	Variants []netVariant
}

type netVariant struct {
	share  float64
	shift  []float64 // by site
	spread float64   // relative standard deviation of the whole shift
	open   []bool    // by site: nothing arrives; nil means none
	Supply SupplyState
	Effect DcEffect         // on the supply, where voltages were read
	told   []float64        // by report: log of how likely it is with this fault; nil where there is none
	latent bool             // counts although no reading has felt it
	Match  func(*Site) bool // the sites that it is felt at, among those beyond the part
}

// netNumber is a figure that was read.
type netNumber struct {
	deviation float64 // below what a healthy path gives
	sd        float64 // of the meter
	dead      float64 // mean deviation on a dead end
	deadSD    float64
	anything  float64 // density of a misread, per unit
}

// netVerdict is a pass or a fail without the number it came from: a fail has the
// probability Phi((deviation - limit)/sd).
type netVerdict struct {
	limit, sd float64
	fail      bool
	dead      float64 // deviation on a dead end
	misread   float64 // share that says nothing
}

// netPlace is a site to be read.
type netPlace struct {
	sd     float64 // of the meter
	limit  float64 // deviation at which the verdict turns
	dead   float64
	deadSD float64
}

// NetFault is one variant of a mode of a part.
type NetFault struct {
	Part, Mode int
	odds       float64 // against the part being quiet
	Variant    *netVariant
}

// ok is the prior probability that the part has no fault.
func (p netPart) ok() float64 {
	ok := 1.0
	for _, m := range p.Modes {
		ok -= m.Prior
	}
	return ok
}

// quiet is the probability that a part does nothing to the readings: that it
// is ok or, where only felt faults count, that its fault is none of those.
func (n *net) quiet(i int) float64 {
	q := n.Parts[i].ok()
	if !n.feltOnly {
		return q
	}
	for _, m := range n.Parts[i].Modes {
		for k := range m.Variants {
			if !n.felt(&m.Variants[k]) {
				q += m.Prior * m.Variants[k].share
			}
		}
	}
	return q
}

// felt reports that a variant does something to a reading.
func (n *net) felt(v *netVariant) bool {
	for s := range len(n.numbers) + len(n.verdicts) {
		if v.shift[s] != 0 || v.open != nil && v.open[s] {
			return true
		}
	}
	return v.latent || v.Supply != (SupplyState{})
}

// faults lists every fault that counts and has any probability.
func (n *net) faults() []NetFault {
	var out []NetFault
	for i, p := range n.Parts {
		quiet := n.quiet(i)
		for j, m := range p.Modes {
			for k := range m.Variants {
				v := &m.Variants[k]
				if odds := m.Prior * v.share / quiet; odds > 0 && !(n.feltOnly && !n.felt(v)) {
					out = append(out, NetFault{i, j, odds, v})
				}
			}
		}
	}
	return out
}

// Beyond is the prior probability of more faults at once than are enumerated.
func (n *net) Beyond() float64 {
	// count[k] is the probability of k faults among the parts so far.
	count := []float64{1, 0, 0, 0}
	for _, p := range n.Parts {
		ok := p.ok()
		for k := len(count) - 1; k > 0; k-- {
			count[k] = count[k]*ok + count[k-1]*(1-ok)
		}
		count[0] *= ok
	}
	total := 0.0
	for k := range n.MaxFaults + 1 {
		total += count[k]
	}
	return max(1-total, 0)
}

// netClass is a set of faults that no reading tells apart.
type netClass struct {
	shift      []float64 // at numbers and verdicts
	spread     float64
	deadNumber uint64 // bit i: nothing arrives at number i
	deadVerd   uint64
	supply     SupplyState
	told       []float64
	weight     float64 // sum of the members' odds
	members    []NetFault
	null       bool // it does nothing to any reading
}

// classes groups the faults by what they do to the readings.
func (n *net) classes() []netClass {
	sites := len(n.numbers) + len(n.verdicts)
	var out []netClass
	for _, f := range n.faults() {
		c := netClass{shift: f.Variant.shift[:sites], spread: f.Variant.spread, supply: f.Variant.Supply, told: f.Variant.told, null: true}
		for s := range sites {
			dead := f.Variant.open != nil && f.Variant.open[s]
			if dead && s < len(n.numbers) {
				c.deadNumber |= 1 << s
			} else if dead {
				c.deadVerd |= 1 << (s - len(n.numbers))
			}
			if dead || c.shift[s] != 0 {
				c.null = false
			}
		}
		if c.null {
			c.spread = 0
		}
		k := 0
		for k < len(out) && !out[k].same(&c) {
			k++
		}
		if k == len(out) {
			out = append(out, c)
		}
		out[k].weight += f.odds
		out[k].members = append(out[k].members, f)
	}
	return out
}

func (c *netClass) same(d *netClass) bool {
	if c.supply != d.supply || c.deadNumber != d.deadNumber || c.deadVerd != d.deadVerd || c.spread != d.spread {
		return false
	}
	return slices.Equal(c.shift, d.shift) && slices.Equal(c.told, d.told)
}

// oddsTable returns the summed odds of picking one fault from each class, no two
// of one part: products of sums, less what they count twice.
type oddsTable struct {
	weight []float64 // by class
	byPart []float64 // [class*parts+part]
	pair   []float64 // [class*classes+class]: sum over parts of the product
	parts  int
}

func newOdds(classes []netClass, parts int) *oddsTable {
	k := len(classes)
	j := &oddsTable{make([]float64, k), make([]float64, k*parts), make([]float64, k*k), parts}
	for c := range classes {
		j.weight[c] = classes[c].weight
		for _, f := range classes[c].members {
			j.byPart[c*parts+f.Part] += f.odds
		}
	}
	for a := range k {
		for b := range k {
			for p := range parts {
				j.pair[a*k+b] += j.byPart[a*parts+p] * j.byPart[b*parts+p]
			}
		}
	}
	return j
}

// tiny is the rounding error, relative to the product, of the differences of
// sums below: several units in the last place of a float64.
const tiny = 1e-14

func (j *oddsTable) odds(cls []int) float64 {
	switch len(cls) {
	case 0:
		return 1
	case 1:
		return j.weight[cls[0]]
	case 2:
		return j.odds2(cls[0], cls[1])
	}
	return j.odds3(cls[0], cls[1], cls[2])
}

func (j *oddsTable) odds2(a, b int) float64 {
	product := j.weight[a] * j.weight[b]
	w := product - j.pair[a*len(j.weight)+b]
	if w <= tiny*product {
		return 0
	}
	if a == b {
		w /= 2
	}
	return w
}

// odds3 takes a <= b <= c.
func (j *oddsTable) odds3(a, b, c int) float64 {
	k := len(j.weight)
	wa, wb, wc := j.weight[a], j.weight[b], j.weight[c]
	ab, ac, bc := j.pair[a*k+b], j.pair[a*k+c], j.pair[b*k+c]
	product := wa * wb * wc
	w := product - wa*bc - wb*ac - wc*ab
	if ab > 0 && ac > 0 && bc > 0 {
		for p := range j.parts {
			w += 2 * j.byPart[a*j.parts+p] * j.byPart[b*j.parts+p] * j.byPart[c*j.parts+p]
		}
	}
	if w <= tiny*product {
		return 0
	}
	switch {
	case a == b && b == c:
		return w / 6
	case a == b || b == c:
		return w / 2
	}
	return w
}

// phi is the standard normal distribution function.
func phi(x float64) float64 { return 0.5 * math.Erfc(-x/math.Sqrt2) }

// logNormal is the log density of a normal distribution.
func logNormal(x, mean, sd float64) float64 {
	z := (x - mean) / sd
	return -0.5*z*z - math.Log(sd) - 0.5*math.Log(2*math.Pi)
}
