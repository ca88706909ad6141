package next

import (
	"math"
	"slices"

	"downlead/diagnose/fault"
	"downlead/diagnose/level"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// One account of minutes decides between reading, mending and asking. Mending
// a part with probability p costs the work and the reading that proves it;
// with 1-p it was in vain, and then costs what a needless swap costs, the work
// on the next part, and the readings that were saved. Reading first costs the
// readings and then the work on the right part. So mending is cheaper where
//
//	(1-p) * (needless + work + readings) < readings

// mostlyMended is the probability, of a part with its fittings, under which
// nobody is sent to mend it unless the work costs less than the best reading.
const mostlyMended = 0.8

// unit is the probability that the fault is in an element or the fittings
// screwed to it.
func (p *planner) unit(e int) float64 {
	path, sum := p.Call.Path, p.Marginals[e]
	for i := range path.Elements {
		if path.Elements[i].Element == entry.Fitting && i != e && (path.Parent[i] == e || path.Parent[e] == i) {
			sum += p.Marginals[i]
		}
	}
	return min(sum, 1)
}

// workMinutes is what mending an element costs: the way there, the work, and
// the reading behind the receiver that proves it.
func (p *planner) workMinutes(e int) float64 {
	proof := p.Tables.Minutes.Measure
	if r := p.Call.Path.Receivers(); len(r) > 0 {
		behind := r[0]
		if i := slices.IndexFunc(r, func(i int) bool { return p.Call.Path.Above(e, i) }); i >= 0 {
			behind = r[i]
		}
		proof += Minutes(p.Tables, standAt(p.Model, e), standAt(p.Model, behind))
	}
	return Minutes(p.Tables, p.At, standAt(p.Model, e)) + p.Tables.Minutes.Repair + proof
}

// cheaper is the part to mend before the reading n is taken, where that costs
// less; -1 where it does not. readings is the expected minutes of n and of
// those after it.
func (p *planner) cheaper(n *Next, readings float64) int {
	best, most := -1, 0.0
	for e := range p.Marginals {
		if q := p.unit(e); q > most && unsafe(p.Model, standAt(p.Model, e)) == "" {
			best, most = e, q
		}
	}
	if best < 0 {
		return -1
	}
	work, readings := p.workMinutes(best), max(readings, n.Minutes)
	if most < mostlyMended && work >= n.Minutes {
		return -1
	}
	if (1-most)*(p.Tables.Minutes.Needless+work+readings) >= readings {
		return -1
	}
	return best
}

// oneLevel asks for a level where bare verdicts tell no more: at the point
// where it is expected to tell most.
func (p *planner) oneLevel(least float64) *Next {
	if !p.spoken() || p.showsNoLevel() {
		return nil
	}
	exps, worn := p.exps, p.worn
	defer func() { p.exps, p.worn = exps, worn }()
	p.foresee(false)
	p.worn = make([]bool, len(p.Places))
	for x, pl := range p.Places {
		p.worn[x] = levelsRead(p.Model, pl) > 0 || timesRead(p.Model, pl) > mostReadings || p.beside(pl)
	}
	n, _, ok := p.byInformation(least)
	if !ok {
		return nil
	}
	n.Read, n.Code = []string{ReadLevel}, WhyLevel
	n.Why = "one level there tells more than pass and fail" + p.heldBack()
	return n
}

// thinBits is what a verdict tells when it is hardly worth the reading.
const thinBits = 0.35

// levelInstead is the level to ask for in place of a verdict that would only
// repeat one, or tell little, where the level tells more; nil where not.
func (p *planner) levelInstead(n *Next, least float64) *Next {
	if n.Code != WhyConfirm && n.Code != WhyDisagree && n.Bits >= thinBits {
		return nil
	}
	if lv := p.oneLevel(least); lv != nil && lv.Bits/lv.Minutes > n.Bits/n.Minutes {
		return lv
	}
	return nil
}

// showsNoLevel reports a meter that gives no level: two points were read
// twice, and the call has none.
func (p *planner) showsNoLevel() bool {
	twice := 0
	for _, pl := range p.Places {
		switch {
		case levelsRead(p.Model, pl) > 0:
			return false
		case timesRead(p.Model, pl) >= mostReadings:
			twice++
		}
	}
	return twice >= 2
}

// levelsRead counts the levels read at a place with the path as it is now.
func levelsRead(m *fault.Model, pl path.Place) int {
	return count(m, pl, func(r entry.Reading) bool { return r.Level.Said() || r.NoSignal })
}

// voltsReadAt counts the voltages.
func voltsReadAt(m *fault.Model, pl path.Place) int {
	return count(m, pl, func(r entry.Reading) bool { return r.Volts.Said() })
}

// count counts the readings of a sort at a place with the path as it is now.
func count(m *fault.Model, pl path.Place, of func(entry.Reading) bool) int {
	c, times := m.Call, 0
	round := c.Round(c.JointOf(trace.Observation{Element: pl.Element, Side: pl.Side, Port: pl.Port}))
	for _, o := range c.Observations {
		if of(o.Reading) && o.Element == pl.Element && o.Side == pl.Side && o.Port == pl.Port && o.Round == round {
			times++
		}
	}
	return times
}

// oneVoltage asks for the supply where the signal tells no more.
func (p *planner) oneVoltage(least float64) *Next {
	p.exps = make([]fault.Experiment, len(p.Places))
	for x, pl := range p.Places {
		p.worn[x] = voltsReadAt(p.Model, pl) > 0 || timesRead(p.Model, pl) > mostReadings
		runs := voltageRuns(p.Model, pl)
		e := fault.Experiment{Outcomes: 2, Like: make([]float64, 2*len(p.Belief.P))}
		for h, faults := range p.Belief.Faults {
			fed := 1.0 - p.lost(faults, runs)
			miss := p.Tables.Supply.Misread
			e.Like[2*h] = (1-miss)*fed + miss/2
			e.Like[2*h+1] = 1 - e.Like[2*h]
		}
		p.exps[x] = e
		p.worn[x] = p.worn[x] || len(runs) == 0
	}
	n, _, ok := p.byInformation(least)
	if !ok {
		return nil
	}
	n.Read, n.Code = []string{ReadVolts}, WhyVolts
	n.Why = "the volts there tell more than the signal" + p.heldBack()
	return n
}

// voltageRun is a feed of a place, with its branch as a site that faults match.
type voltageRun struct {
	fault.SupplyRun
	site fault.Site
}

func voltageRuns(m *fault.Model, pl path.Place) []voltageRun {
	reach := m.Call.Path.Reach(pl.Element, pl.Side)
	var out []voltageRun
	absent := func(i int) bool { return fault.Version(m.Call, i) == trace.Absent }
	for _, run := range fault.SupplyRuns(m.Call.Path, m.Tables, reach, absent) {
		at := trace.Observation{Element: run.Feed, Side: entry.ReceiverSide, Versions: m.Call.Versions}
		out = append(out, voltageRun{run, m.SiteOf(at, fault.LevelDB, -1)})
	}
	return out
}

// lost is the chance that no feed gets to a place under a set of faults.
func (p *planner) lost(faults []fault.NetFault, runs []voltageRun) float64 {
	all := 1.0
	for _, run := range runs {
		reaches := 1.0
		for _, f := range faults {
			part := p.Parts[f.Part]
			if part.Current && f.Variant.Match(&run.site) && (part.Element == run.Feed || slices.Contains(run.Elements, part.Element)) {
				reaches *= 1 - p.cuts(f)
			}
		}
		all *= 1 - reaches
	}
	return all
}

// cuts is the chance that a fault lets no supply through.
func (p *planner) cuts(f fault.NetFault) float64 {
	if p.Net.Supply != nil {
		if e := f.Variant.Effect; e == fault.DcOpen || e == fault.DcShort {
			return 1
		}
		return 0
	}
	sum := 0.0
	kind := p.Call.Path.Elements[p.Parts[f.Part].Element].Element
	for _, s := range fault.DcShares(p.Tables, kind, p.Net.Parts[f.Part].Modes[f.Mode].Name) {
		if s.Effect == fault.DcOpen || s.Effect == fault.DcShort {
			sum += s.Share
		}
	}
	return sum
}

// withoutSignal is the step that evidence other than the signal calls for,
// where nothing that was measured fails: a part that the supply, or a swap,
// shows to be at fault, or the voltage that would.
func (p *planner) withoutSignal() *Next {
	if p.Net.Supply == nil && len(p.Call.Swaps) == 0 {
		return nil
	}
	best := 0
	for e := range p.Marginals {
		if p.unit(e) > p.unit(best) {
			best = e
		}
	}
	switch {
	case p.unit(best) >= mostlyMended:
		return p.repair(best)
	case p.Net.Supply == nil || p.Healthy > 0.7:
		return nil
	}
	return p.oneVoltage(p.Tables.Decide.LeastBits)
}

// mostStress is how often a point is read while something is moved, before it
// counts as one that could not be made to fail.
const mostStress = 3

// stress is the reading that provokes a fault which comes and goes: where it
// was noticed, while each fitting is moved by hand.
func (p *planner) stress() *Next {
	i := slices.IndexFunc(p.Call.Symptoms, func(s trace.Symptom) bool {
		return p.Tables.Symptom[s.Symptom].Of("", level.ModeIntermittent) > 1 && current(s, p.Call)
	})
	if i < 0 {
		return nil
	}
	s := p.Call.Symptoms[i]
	for x, pl := range p.Places {
		noticed := len(s.Receivers) == 0 || slices.Contains(s.Receivers, pl.Element)
		if p.Call.Path.Elements[pl.Element].Element != entry.Receiver || !noticed || timesRead(p.Model, pl) >= mostStress {
			continue
		}
		n := p.read(x, WhyStress, "it was noticed to come and go")
		n.Read = append(n.Read, ReadWiggle)
		return n
	}
	return nil
}

// current reports that nothing was repaired since the symptom was noticed.
func current(s trace.Symptom, c trace.Call) bool {
	return !slices.ContainsFunc(c.Repairs, func(r trace.Repair) bool { return r.Seq > s.Seq })
}

// slots reports whether the site looks at several orbital slots.
func slots(m *fault.Model) bool {
	first := 0
	for _, o := range m.Call.Observations {
		switch s := o.Reading.Slot; {
		case s == 0 || s == first:
		case first == 0:
			first = s
		default:
			return true
		}
	}
	return len(m.Call.Settings.ThresholdFor) > 1
}

// ask is the step when no reading tells more and no part stands out.
func ask() *Next {
	return &Next{Act: ActCall, Code: WhyUndecided, Why: "no reading tells more, and no part stands out"}
}

// standsOutAt is the probability from which on a part is named.
const standsOutAt = 0.1

func (p *planner) mostLikely() float64 {
	most := 0.0
	for e := range p.Marginals {
		most = math.Max(most, p.unit(e))
	}
	return most
}
