package claim

import (
	"downlead/diagnose/call"
	"downlead/diagnose/level"
	"downlead/diagnose/next"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// Diagnose concludes everything from the records of one job.
func Diagnose(records []record.Record, o level.Options) Diagnosis {
	return Conclude(call.NewProgress(trace.Replay(records)), o)
}

// Conclude concludes everything from how far a call has come.
func Conclude(p *call.Progress, o level.Options) Diagnosis {
	c := p.Call
	inference := next.Infer(c, o)
	d := Diagnosis{
		Job:            c.Job,
		Path:           Now(c.Path),
		Points:         level.PointStates(c, o.Tables),
		Brackets:       c.Brackets(),
		Suspects:       inference.Suspects,
		Beyond:         inference.Beyond,
		Healthy:        inference.Healthy,
		PlanMinutes:    inference.PlanMinutes,
		Findings:       Findings(c, o),
		Contradictions: c.Contradictions(),
	}
	d.shape(p, level.TablesOr(o.Tables))
	d.marginals = map[string]float64{}
	for e, q := range inference.Marginals {
		d.marginals[c.Path.Elements[e].ID] = q
	}
	for _, s := range d.stretches {
		g := s.Segment
		g.Expected, g.Excess, g.SD = trace.Hundredths(g.Expected), trace.Hundredths(g.Excess), trace.Hundredths(g.SD)
		d.Segments = append(d.Segments, g)
	}
	d.Next = step(p, d, inference.Next)
	d.fillEmpty()
	d.Claims = claims(p, d)
	d.Missing = orEmpty(call.MissingOf(Steps(d.steps, d)))
	return d
}

// shape fills in what needs no weighing of faults: the phase, what is missing,
// what the readings show of every repair, and how the call ended.
func (d *Diagnosis) shape(p *call.Progress, t *level.Tables) {
	steps, phase := p.Plan()
	d.Phase, d.Missing, d.noAccess, d.steps = phase, call.MissingOf(steps), p.NoAccess, steps
	d.Repairs, d.Pairs = repairs(p, t), pairs(p.Call)
	d.Outcome = outcome(p, d.Repairs)
	d.Rounds, d.Worked = map[int64]int{}, map[int64][]string{}
	for _, o := range p.Call.Observations {
		d.Rounds[o.Seq] = o.Round
	}
	for _, r := range p.Call.Repairs {
		for _, i := range r.Elements {
			if e := p.Call.Path.Elements[i]; e.Element == r.Action.Element || e.Element == entry.Dish && r.Action.Element == entry.Mount {
				d.Worked[r.Seq] = append(d.Worked[r.Seq], e.ID)
			}
		}
	}
	d.standing = standingWords(p)
	d.stretches = level.Stretches(p.Call, t)
	d.tables = t
	d.readNow = map[string][]entry.Point{}
	for _, s := range p.Call.Spots() {
		if s.Stale {
			continue
		}
		at := pointKey(p.Call.PointOfSpot(s))
		for _, o := range s.Now {
			if trace.Judges(o.Reading) {
				d.readNow[next.ReadLevel] = append(d.readNow[next.ReadLevel], at)
			}
			if o.Reading.Volts.Said() {
				d.readNow[next.ReadVolts] = append(d.readNow[next.ReadVolts], at)
			}
		}
	}
}

// fillEmpty makes every list of the machine form a list, even with nothing in it.
func (d *Diagnosis) fillEmpty() {
	d.Points = orEmpty(d.Points)
	d.Brackets = orEmpty(d.Brackets)
	d.Suspects = orEmpty(d.Suspects)
	d.Segments = orEmpty(d.Segments)
	d.Findings = orEmpty(d.Findings)
	d.Contradictions = orEmpty(d.Contradictions)
	d.Missing = orEmpty(d.Missing)
	for i := range d.Findings {
		d.Findings[i].Entries = orEmpty(d.Findings[i].Entries)
	}
}

func orEmpty[T any](s []T) []T {
	if s == nil {
		return []T{}
	}
	return s
}

// Now returns the elements still in the path, each hanging on the one that is
// really before it.
func Now(p path.Path) []path.PathElement {
	var out []path.PathElement
	for i, e := range p.Elements {
		if e.Removed {
			continue
		}
		for up := p.Parent[i]; up >= 0; up = p.Parent[up] {
			if above := p.Elements[up]; above.Removed {
				if above.Port > 0 {
					e.Port = above.Port
				}
				continue
			}
			e.Parent = p.Elements[up].ID
			break
		}
		out = append(out, e)
	}
	return out
}
