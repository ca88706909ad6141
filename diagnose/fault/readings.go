package fault

import (
	"math"
	"slices"

	"downlead/diagnose/level"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// reading is a number or a verdict on its way into the net.
type reading struct {
	site    Site
	number  *netNumber
	verdict *netVerdict
}

// read turns the observations into sites: numbers first, then verdicts, each
// in an order of their own, so that the order of the entries does not matter.
func (m *Model) read(occasions []int) {
	var all []reading
	passes := map[int]int{} // taken as passes through each version of the dish
	for k, o := range m.Call.Observations {
		all = append(all, m.readOne(o, occasions[k])...)
		if dish := o.Versions[0]; saysPass(o.Reading) && passes[dish] < mostPasses {
			passes[dish]++
			all = append(all, m.pass(o, occasions[k]))
		}
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
	slices.SortStableFunc(verdicts, func(a, b reading) int { return len(a.site.Budget) - len(b.site.Budget) })
	for _, r := range numbers {
		m.Sites = append(m.Sites, r.site)
		m.Net.numbers = append(m.Net.numbers, *r.number)
	}
	for _, r := range verdicts {
		m.Sites = append(m.Sites, r.site)
		m.Net.verdicts = append(m.Net.verdicts, *r.verdict)
	}
}

// The most numbers and verdicts that are weighed: those of some twenty
// readings. A mask holds 64.
const (
	mostNumbers  = 40
	mostVerdicts = 14
)

// occasions numbers the times at which an intermittent fault may have been in
// one state or the other: a new one starts with a repair, and when a point is
// read again.
func (m *Model) occasions() []int {
	type key struct {
		joint       trace.JointKey
		slot, tp    int
		polarity    string
		level, mark bool
	}
	out := make([]int, len(m.Call.Observations))
	seen, now, repairs := map[key]bool{}, 0, 0
	most, restless := maxOccasions, m.Restless()
	if restless {
		most = maxRestless
	}
	for k, o := range m.Call.Observations {
		done := 0
		for _, r := range m.Call.Repairs {
			if r.Seq < o.Seq {
				done++
			}
		}
		id := key{m.Call.JointOf(o), o.Reading.Slot, o.Reading.Transponder, o.Reading.Polarity, o.Reading.Level.Said(), o.Reading.Strength.Said()}
		if k > 0 && (restless || done != repairs || seen[id]) {
			now++
			clear(seen)
		}
		repairs, seen[id] = done, true
		out[k] = now
	}
	for k, o := range m.Call.Observations { // the oldest are taken together
		out[k] = max(0, out[k]-(now-most+1))
		// Of one that comes and goes the fails apart from the passes: it may have
		// been on at these and off at those.
		if restless && now >= most && out[k] < 2 {
			out[k] = 1
			if trace.Counts(o.Reading, m.Call.Settings) == entry.Fail {
				out[k] = 0
			}
		}
	}
	return out
}

// maxOccasions bounds the on-off patterns of an intermittent fault to 2^2: now
// and before.
const maxOccasions = 2

// maxRestless is the same bound where it was noticed to come and go: every
// reading is then an occasion of its own.
const maxRestless = 4

// Restless reports that something was noticed which comes and goes.
func (m *Model) Restless() bool {
	return slices.ContainsFunc(m.Call.Symptoms, func(s trace.Symptom) bool {
		return m.Tables.Symptom[s.Symptom].Of("", level.ModeIntermittent) > 1
	})
}

// readOne turns one observation into what it says: its numbers, or its
// verdict where it has none.
func (m *Model) readOne(o trace.Observation, occasion int) []reading {
	t, r := m.Tables, o.Reading
	var out []reading
	number := func(q quantity, x, sd, dead, deadSD, width float64) {
		s := m.SiteOf(o, q, occasion)
		out = append(out, reading{site: s, number: &netNumber{
			deviation: s.expected - x, sd: sd, dead: s.expected - dead, deadSD: deadSD, anything: 1 / width,
		}})
	}
	verdict := func(q quantity, limit, sd, dead float64, fail bool) {
		out = append(out, m.verdict(m.SiteOf(o, q, occasion), limit, sd, dead, fail))
	}
	if r.NoSignal {
		verdict(verdictDB, t.Meter.Nothing, t.Meter.NothingSD, t.Meter.Dead, true)
		return out
	}
	if r.Level.Said() {
		number(LevelDB, r.Level.Float(), t.Meter.LevelSD, t.Meter.Dead, t.Meter.DeadSD, levelRangeDB)
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
	fail := r.Verdict == entry.Fail
	if len(out) == 0 {
		verdict(verdictDB, m.Call.Settings.FloorDBm, t.Meter.VerdictSD, t.Meter.Dead, fail)
		return out
	}
	// A fail with a good level and no other number was a fail of the strength.
	limit := m.Call.Settings.Limit(r.Slot)
	if computed, _ := trace.VerdictOf(r, m.Call.Settings); fail && computed == entry.Pass && !r.Strength.Said() && limit > 0 {
		verdict(strengthPoints, limit, t.Meter.StrengthSD, 0, true)
	}
	return out
}

// saysPass reports a pass that was said with a level and with nothing that
// shows how good the signal is.
func saysPass(r entry.Reading) bool {
	return r.Verdict == entry.Pass && r.Level.Said() && !r.Strength.Said() && !r.MER.Said() && !r.NoSignal
}

// pass is what a pass says beside its level, which counts by itself: that
// nothing takes the signal and leaves the level, as a dish out of aim does. Its
// limit lies so far under the level that it says nothing of the level again.
func (m *Model) pass(o trace.Observation, occasion int) reading {
	t := m.Tables.Meter
	limit := min(m.Call.Settings.FloorDBm, o.Reading.Level.Float()-3*t.VerdictSD)
	return m.verdict(m.SiteOf(o, verdictDB, occasion), limit, t.VerdictSD, t.Dead, false)
}

// verdict is a verdict at a site, on a limit; dead is what a meter shows behind
// an open.
func (m *Model) verdict(s Site, limit, sd, dead float64, fail bool) reading {
	return reading{site: s, verdict: &netVerdict{
		limit: s.expected - limit, sd: sd, fail: fail, dead: s.expected - dead, misread: m.Tables.Meter.Misread,
	}}
}

// mostPasses is how many passes through one version of the dish are weighed
// beside their levels: two leave a misread nothing, more cost time.
const mostPasses = 2

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
func (m *Model) worked() {
	if len(m.Sites) == 0 {
		return
	}
	path, least := m.Call.Path, math.Inf(1)
	var weakest Site
	for _, r := range path.Receivers() {
		fed := slices.ContainsFunc(m.Call.Observations, func(o trace.Observation) bool {
			return path.Above(path.Reach(o.Element, o.Side), r)
		})
		if !fed {
			continue
		}
		s := m.SiteOf(trace.Observation{Element: r, Side: entry.DishSide}, verdictDB, 0)
		if spare := s.expected - m.Call.Settings.FloorDBm; spare < least {
			least, weakest = spare, s
		}
	}
	if math.IsInf(least, 1) {
		return
	}
	weakest.healthy = true
	m.Sites = append(m.Sites, weakest)
	m.Net.verdicts = append(m.Net.verdicts, netVerdict{
		limit: least, sd: m.Tables.Meter.VerdictSD, dead: weakest.expected - m.Tables.Meter.Dead, misread: m.Tables.Source.NeverWorked,
	})
}

// complained adds that somebody called about it: behind the first receiver
// that failed, the signal had failed before the meter said so.
func (m *Model) complained(occasions []int) {
	c := m.Call
	for k, o := range c.Observations {
		if c.Path.Elements[o.Element].Element != entry.Receiver || trace.Counts(o.Reading, c.Settings) != entry.Fail {
			continue
		}
		what, limit, sd, dead := verdictDB, c.Settings.FloorDBm, m.Tables.Meter.VerdictSD, m.Tables.Meter.Dead
		if failsByStrength(o.Reading, c.Settings) { // a level that passes is not what they called about
			what, limit, sd, dead = strengthPoints, c.Settings.Limit(o.Reading.Slot), m.Tables.Meter.StrengthSD, 0
		}
		s := m.SiteOf(o, what, occasions[k])
		m.Sites = append(m.Sites, s)
		m.Net.verdicts = append(m.Net.verdicts, netVerdict{
			limit: s.expected - limit, sd: sd, fail: true,
			dead: s.expected - dead, misread: 2 * m.Tables.Source.CalledSound,
		})
		return
	}
}

// failsByStrength reports a reading whose level passes and whose strength does
// not.
func failsByStrength(r entry.Reading, limits trace.Settings) bool {
	least := limits.Limit(r.Slot)
	return least > 0 && r.Strength.Said() && r.Strength.Float() < least && r.Level.Said() && r.Level.Float() >= limits.FloorDBm
}
