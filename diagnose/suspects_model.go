package diagnose

import (
	"math"
	"slices"

	"downlead/grammar"
)

// model is a call as a net: parts are the versions of the path's elements that
// some reading went through, sites the readings and the places to read.
type model struct {
	call   Call
	tables *Tables
	net    *net
	sites  []site
	parts  []modelPart
	places []Place
	told   []report
	start  int // index of the first place among the sites
}

// modelPart is one version of an element.
type modelPart struct {
	element, version int
	current          bool
}

// quantity is what a site's deviation is counted in.
type quantity int

const (
	levelDB quantity = iota
	strengthPoints
	merDB
	verdictDB // the level, as a spoken verdict or "no signal" follows it
)

// site is a quantity at a point at a time.
type site struct {
	quantity
	budget      []elementLoss
	versions    []int // nil: all as installed
	f           float64
	transponder int
	slot        int
	polarity    string
	occasion    int
	expected    float64
	healthy     bool // no fault reaches it: what the installation was when it was put in
}

// version of element i at the site's time, or Absent.
func (s *site) version(i int) int {
	if i >= len(s.versions) {
		return 0
	}
	return s.versions[i]
}

// newModel builds the net of a call. places are the joints to predict.
func newModel(c Call, t *Tables, places []Place) *model {
	m := &model{call: c, tables: t, places: places}
	m.net = &net{misread: t.Meter.Misread, maxFaults: maxFaultsAtOnce}
	occasions := m.occasions()
	m.read(occasions)
	m.readVolts(occasions)
	m.worked()
	m.complained(occasions)
	m.start = len(m.sites)
	for _, pl := range places {
		o := Observation{Element: pl.Element, Side: pl.Side, Port: pl.Port, Versions: c.Versions}
		s := m.siteOf(o, levelDB, -1)
		m.sites = append(m.sites, s)
		m.net.places = append(m.net.places, netPlace{
			sd: t.Meter.LevelSD, limit: s.expected - c.Settings.FloorDBm,
			dead: s.expected - t.Meter.Dead, deadSD: t.Meter.DeadSD,
		})
	}
	m.findParts()
	m.tolerances()
	m.told = m.reports()
	for _, r := range m.told {
		m.net.sound = append(m.net.sound, math.Log(r.sound))
	}
	for _, p := range m.parts {
		m.net.parts = append(m.net.parts, m.netPart(p))
	}
	// A fault that no reading has felt, an intermittent one that was never on,
	// is as good as none, unless nothing has been read at all.
	m.net.feltOnly = m.start > 0 || m.net.supply != nil
	if !m.net.feltOnly {
		m.net.maxFaults = 2 // with no reading every set keeps its prior; triples would add nothing to see
	}
	return m
}

// reading is a number or a verdict on its way into the net.
type reading struct {
	site    site
	number  *netNumber
	verdict *netVerdict
}

// read turns the observations into sites: numbers first, then verdicts, each
// in an order of their own, so that the order of the entries does not matter.
func (m *model) read(occasions []int) {
	var all []reading
	for k, o := range m.call.Observations {
		all = append(all, m.readOne(o, occasions[k])...)
	}
	numbers, verdicts := all[:0:0], all[:0:0]
	for _, r := range all {
		if r.number != nil {
			numbers = append(numbers, r)
		} else {
			verdicts = append(verdicts, r)
		}
	}
	// Of very many readings the oldest have the least to say.
	numbers = numbers[max(0, len(numbers)-mostNumbers):]
	verdicts = verdicts[max(0, len(verdicts)-mostVerdicts):]
	slices.SortStableFunc(verdicts, func(a, b reading) int { return len(a.site.budget) - len(b.site.budget) })
	for _, r := range numbers {
		m.sites = append(m.sites, r.site)
		m.net.numbers = append(m.net.numbers, *r.number)
	}
	for _, r := range verdicts {
		m.sites = append(m.sites, r.site)
		m.net.verdicts = append(m.net.verdicts, *r.verdict)
	}
}

// occasions numbers the times at which an intermittent fault may have been in
// one state or the other: a new one starts with a repair, and when a point is
// read again.
func (m *model) occasions() []int {
	type key struct {
		joint       jointKey
		slot, tp    int
		polarity    string
		level, mark bool
	}
	out := make([]int, len(m.call.Observations))
	seen, now, repairs := map[key]bool{}, 0, 0
	for k, o := range m.call.Observations {
		done := 0
		for _, r := range m.call.Repairs {
			if r.Seq < o.Seq {
				done++
			}
		}
		id := key{m.call.jointOf(o), o.Reading.Slot, o.Reading.Transponder, o.Reading.Polarity, o.Reading.Level.Said(), o.Reading.Strength.Said()}
		if k > 0 && (done != repairs || seen[id]) {
			now++
			clear(seen)
		}
		repairs, seen[id] = done, true
		out[k] = now
	}
	for k := range out { // the oldest are taken together
		out[k] = max(0, out[k]-(now-maxOccasions+1))
	}
	return out
}

// maxOccasions bounds the on-off patterns of an intermittent fault to 2^2: now
// and before.
const maxOccasions = 2

func (m *model) siteOf(o Observation, q quantity, occasion int) site {
	r := o.Reading
	s := site{
		quantity: q, budget: m.call.budget(m.tables, o), versions: o.Versions, transponder: r.Transponder,
		slot: r.Slot, polarity: polarity(r.Transponder, r.Polarity), occasion: occasion,
	}
	s.f, _ = intermediate(m.tables, r.Transponder)
	switch q {
	case strengthPoints:
		s.expected = m.tables.Source.Strength
	case merDB:
		s.expected = m.tables.Source.MER
	default:
		s.expected = m.tables.Source.LevelDBm
		for _, l := range s.budget {
			s.expected -= l.mean
		}
	}
	return s
}

// readOne turns one observation into what it says: its numbers, or its
// verdict where it has none.
func (m *model) readOne(o Observation, occasion int) []reading {
	t, r := m.tables, o.Reading
	var out []reading
	number := func(q quantity, x, sd, dead, deadSD, width float64) {
		s := m.siteOf(o, q, occasion)
		out = append(out, reading{site: s, number: &netNumber{
			deviation: s.expected - x, sd: sd, dead: s.expected - dead, deadSD: deadSD, anything: 1 / width,
		}})
	}
	verdict := func(q quantity, limit, sd, dead float64, fail bool) {
		s := m.siteOf(o, q, occasion)
		out = append(out, reading{site: s, verdict: &netVerdict{
			limit: s.expected - limit, sd: sd, fail: fail, dead: s.expected - dead, misread: t.Meter.Misread,
		}})
	}
	if r.NoSignal {
		verdict(verdictDB, t.Meter.Nothing, t.Meter.NothingSD, t.Meter.Dead, true)
		return out
	}
	if r.Level.Said() {
		number(levelDB, r.Level.Float(), t.Meter.LevelSD, t.Meter.Dead, t.Meter.DeadSD, levelRangeDB)
	}
	if r.Strength.Said() {
		number(strengthPoints, r.Strength.Float(), t.Meter.StrengthSD, 0, t.Meter.StrengthSD, strengthRange)
	}
	if r.MER.Said() {
		number(merDB, r.MER.Float(), t.Meter.MERSD, 0, t.Meter.MERSD, merRangeDB)
	}
	if r.Verdict == "" {
		return out
	}
	fail := r.Verdict == grammar.Fail
	if len(out) == 0 {
		verdict(verdictDB, m.call.Settings.FloorDBm, t.Meter.VerdictSD, t.Meter.Dead, fail)
		return out
	}
	// A fail with a good level and no other number was a fail of the strength.
	limit := m.call.Settings.limit(r.Slot)
	if computed, _ := VerdictOf(r, m.call.Settings); fail && computed == grammar.Pass && !r.Strength.Said() && limit > 0 {
		verdict(strengthPoints, limit, t.Meter.StrengthSD, 0, true)
	}
	return out
}

// The widths over which a misread number may lie anywhere: the ranges that
// meters show. Common practice.
const (
	levelRangeDB  = 80
	strengthRange = 100
	merRangeDB    = 30
)

// worked adds what everyone takes for granted: the installation passed behind
// its receivers when it was put in, with no fault. Only the receiver with the
// least to spare among those fed by what was measured is asked for.
func (m *model) worked() {
	if len(m.sites) == 0 {
		return
	}
	path, least := m.call.Path, math.Inf(1)
	var weakest site
	for _, r := range path.Receivers() {
		fed := slices.ContainsFunc(m.call.Observations, func(o Observation) bool {
			return path.Above(path.Reach(o.Element, o.Side), r)
		})
		if !fed {
			continue
		}
		s := m.siteOf(Observation{Element: r, Side: grammar.DishSide}, verdictDB, 0)
		if spare := s.expected - m.call.Settings.FloorDBm; spare < least {
			least, weakest = spare, s
		}
	}
	if math.IsInf(least, 1) {
		return
	}
	weakest.healthy = true
	m.sites = append(m.sites, weakest)
	m.net.verdicts = append(m.net.verdicts, netVerdict{
		limit: least, sd: m.tables.Meter.VerdictSD, dead: weakest.expected - m.tables.Meter.Dead, misread: m.tables.Source.NeverWorked,
	})
}

// complained adds that somebody called about it: behind the first receiver
// that failed, the signal had failed before the meter said so.
func (m *model) complained(occasions []int) {
	c := m.call
	for k, o := range c.Observations {
		if c.Path.Elements[o.Element].Element != grammar.Receiver || verdictOf(o.Reading, c.Settings) != grammar.Fail {
			continue
		}
		s := m.siteOf(o, verdictDB, occasions[k])
		m.sites = append(m.sites, s)
		m.net.verdicts = append(m.net.verdicts, netVerdict{
			limit: s.expected - c.Settings.FloorDBm, sd: m.tables.Meter.VerdictSD, fail: true,
			dead: s.expected - m.tables.Meter.Dead, misread: 2 * m.tables.Source.CalledSound,
		})
		return
	}
}

// The most numbers and verdicts that are weighed: those of some twenty
// readings. A mask holds 64.
const (
	mostNumbers  = 40
	mostVerdicts = 14
)

// findParts lists the versions of elements that a reading went through, and
// the present version of each such element; every element where nothing was
// read. Receivers lie behind all readings.
func (m *model) findParts() {
	c := m.call
	now := site{versions: c.Versions}
	for i, e := range c.Path.Elements {
		versions := append(m.suppliesTested(i), m.swapTested(i)...)
		if e.Element == grammar.Receiver && len(versions) == 0 {
			continue
		}
		for k := range m.start {
			s := &m.sites[k]
			if v := s.version(i); v != Absent && !slices.Contains(versions, v) && !s.healthy && s.passes(i) {
				versions = append(versions, v)
			}
		}
		if v := now.version(i); v != Absent && !slices.Contains(versions, v) && (len(versions) > 0 || m.start == 0 && m.net.supply == nil) {
			versions = append(versions, v)
		}
		slices.Sort(versions)
		for _, v := range versions {
			m.parts = append(m.parts, modelPart{i, v, v == now.version(i) && !e.Removed})
		}
	}
}

// passes reports that element i lies between the dish and the site.
func (s *site) passes(i int) bool {
	return slices.ContainsFunc(s.budget, func(l elementLoss) bool { return l.element == i })
}

// tolerances lists what healthy installations differ by: the source, one
// transponder against another, each part's own loss, and the frequency of
// readings that did not say it.
func (m *model) tolerances() {
	t, n := m.tables, len(m.sites)
	type key struct {
		what            quantity
		element, v1, v2 int
		slot, tp        int
	}
	rows := map[key]int{}
	add := func(k key, s int, sd float64) {
		row, ok := rows[k]
		if !ok {
			row = len(m.net.tolerance)
			rows[k] = row
			m.net.tolerance = append(m.net.tolerance, make([]float64, n))
		}
		m.net.tolerance[row][s] += sd
	}
	dish, lnb := m.kind(grammar.Dish), m.kind(grammar.LNB)
	for i := range m.sites {
		s := &m.sites[i]
		source := key{what: s.quantity, element: -1, v1: s.version(dish), v2: s.version(lnb)}
		switch s.quantity {
		case strengthPoints:
			source.slot = s.slot
			add(source, i, t.Source.StrengthSD)
			continue
		case merDB:
			source.slot = s.slot
			add(source, i, t.Source.MERSD)
			continue
		}
		own := min(t.Source.LNBSD, t.Source.SD)
		add(key{what: levelDB, element: -1, v1: Absent}, i, math.Sqrt(t.Source.SD*t.Source.SD-own*own))
		add(key{what: levelDB, element: -4, v2: s.version(lnb)}, i, own)
		add(key{element: -2, slot: s.slot, tp: s.transponder}, i, t.Source.TransponderSD)
		for _, l := range s.budget {
			if l.sd > 0 {
				add(key{element: l.element, v1: s.version(l.element)}, i, l.sd)
			}
			if l.drift != 0 {
				add(key{element: -3}, i, l.drift)
			}
		}
	}
}

// kind is the index of the first element of a kind, or a number beyond all.
func (m *model) kind(e grammar.Element) int {
	for i, pe := range m.call.Path.Elements {
		if pe.Element == e {
			return i
		}
	}
	return len(m.call.Path.Elements)
}
