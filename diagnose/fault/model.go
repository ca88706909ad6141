package fault

import (
	"math"
	"slices"

	"downlead/diagnose/level"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// Model is a call as a net: parts are the versions of the path's elements that
// some reading went through, sites the readings and the places to read.
type Model struct {
	Call   trace.Call
	Tables *level.Tables
	Net    *net
	Sites  []Site
	Parts  []ModelPart
	Places []path.Place
	told   []report
	Start  int // index of the first place among the sites
}

// ModelPart is one version of an element.
type ModelPart struct {
	Element, version int
	Current          bool
}

// quantity is what a site's deviation is counted in.
type quantity int

const (
	LevelDB quantity = iota
	strengthPoints
	merDB
	verdictDB // the level, as a spoken verdict or "no signal" follows it
)

// Site is a quantity at a point at a time.
type Site struct {
	quantity
	Budget      []level.ElementLoss
	versions    []int // nil: all as installed
	f           float64
	transponder int
	slot        int
	polarity    string
	occasion    int
	reading     int64 // seq of the observation; 0 for a place yet to be read
	expected    float64
	healthy     bool // no fault reaches it: what the installation was when it was put in
}

// version of element i at the site's time, or Absent.
func (s *Site) version(i int) int {
	if i >= len(s.versions) {
		return 0
	}
	return s.versions[i]
}

// NewModel builds the net of a call. places are the joints to predict.
func NewModel(c trace.Call, t *level.Tables, places []path.Place) *Model {
	m := &Model{Call: c, Tables: t, Places: places}
	m.Net = &net{Misread: t.Meter.Misread, MaxFaults: MaxFaultsAtOnce}
	occasions := m.occasions()
	m.read(occasions)
	m.readVolts(occasions)
	m.worked()
	m.complained(occasions)
	m.Start = len(m.Sites)
	for _, pl := range places {
		o := trace.Observation{Element: pl.Element, Side: pl.Side, Port: pl.Port, Versions: c.Versions}
		s := m.SiteOf(o, LevelDB, -1)
		m.Sites = append(m.Sites, s)
		m.Net.Places = append(m.Net.Places, netPlace{
			sd: t.Meter.LevelSD, limit: s.expected - c.Settings.FloorDBm,
			dead: s.expected - t.Meter.Dead, deadSD: t.Meter.DeadSD,
		})
	}
	m.findParts()
	m.tolerances()
	m.told = m.reports()
	for _, r := range m.told {
		m.Net.sound = append(m.Net.sound, math.Log(r.sound))
	}
	for _, p := range m.Parts {
		m.Net.Parts = append(m.Net.Parts, m.netPart(p))
	}
	// A fault that no reading has felt, an intermittent one that was never on,
	// is as good as none, unless nothing has been read at all.
	m.Net.feltOnly = m.Start > 0 || m.Net.Supply != nil
	if m.Restless() {
		m.Net.MaxFaults = 2 // every pattern of on and off is weighed; sets of three of them would be too many
	}
	if !m.Net.feltOnly {
		m.Net.MaxFaults = 2 // with no reading every set keeps its prior; triples would add nothing to see
	}
	return m
}

func (m *Model) SiteOf(o trace.Observation, q quantity, occasion int) Site {
	r := o.Reading
	s := Site{
		quantity: q, Budget: level.Budget(m.Call, m.Tables, o), versions: o.Versions, transponder: r.Transponder,
		slot: r.Slot, polarity: level.Polarity(r.Transponder, r.Polarity), occasion: occasion, reading: o.Seq,
	}
	s.f, _ = level.Intermediate(m.Tables, r.Transponder)
	switch q {
	case strengthPoints:
		s.expected = m.Tables.Source.Strength
	case merDB:
		s.expected = m.Tables.Source.MER
	default:
		s.expected = m.Tables.Source.LevelDBm
		for _, l := range s.Budget {
			s.expected -= l.Mean
		}
	}
	return s
}

// findParts lists the versions of elements that a reading went through, and
// the present version of each such element; every element where nothing was
// read. Receivers lie behind all readings.
func (m *Model) findParts() {
	c := m.Call
	now := Site{versions: c.Versions}
	for i, e := range c.Path.Elements {
		versions := append(m.suppliesTested(i), m.swapTested(i)...)
		if e.Element == entry.Receiver && len(versions) == 0 {
			continue
		}
		for k := range m.Start {
			s := &m.Sites[k]
			if v := s.version(i); v != trace.Absent && !slices.Contains(versions, v) && !s.healthy && s.Passes(i) {
				versions = append(versions, v)
			}
		}
		if v := now.version(i); v != trace.Absent && !slices.Contains(versions, v) && (len(versions) > 0 || m.Start == 0 && m.Net.Supply == nil) {
			versions = append(versions, v)
		}
		slices.Sort(versions)
		for _, v := range versions {
			m.Parts = append(m.Parts, ModelPart{i, v, v == now.version(i) && !e.Removed})
		}
	}
}

// Passes reports that element i lies between the dish and the site.
func (s *Site) Passes(i int) bool {
	return slices.ContainsFunc(s.Budget, func(l level.ElementLoss) bool { return l.Element == i })
}

// tolerances lists what healthy installations differ by: the source, one
// transponder against another, each part's own loss, and the frequency of
// readings that did not say it.
func (m *Model) tolerances() {
	t, n := m.Tables, len(m.Sites)
	type key struct {
		what            quantity
		element, v1, v2 int
		slot, tp        int
	}
	rows := map[key]int{}
	add := func(k key, s int, sd float64) {
		row, ok := rows[k]
		if !ok {
			row = len(m.Net.tolerance)
			rows[k] = row
			m.Net.tolerance = append(m.Net.tolerance, make([]float64, n))
		}
		m.Net.tolerance[row][s] += sd
	}
	dish, lnb := m.Kind(entry.Dish), m.Kind(entry.LNB)
	for i := range m.Sites {
		s := &m.Sites[i]
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
		add(key{what: LevelDB, element: -1, v1: trace.Absent}, i, math.Sqrt(t.Source.SD*t.Source.SD-own*own))
		add(key{what: LevelDB, element: -4, v2: s.version(lnb)}, i, own)
		add(key{element: -2, slot: s.slot, tp: s.transponder}, i, t.Source.TransponderSD)
		for _, l := range s.Budget {
			if l.Sd > 0 {
				add(key{element: l.Element, v1: s.version(l.Element)}, i, l.Sd)
			}
			if l.Drift != 0 {
				add(key{element: -3}, i, l.Drift)
			}
		}
	}
}

// Kind is the index of the first element of a kind, or a number beyond all.
func (m *Model) Kind(e entry.Element) int {
	for i, pe := range m.Call.Path.Elements {
		if pe.Element == e {
			return i
		}
	}
	return len(m.Call.Path.Elements)
}
