package diagnose

import "downlead/journal"

// Diagnose concludes everything from the records of one job.
func Diagnose(records []journal.Record, o Options) Diagnosis {
	return diagnose(Replay(records), o)
}

func diagnose(c Call, o Options) Diagnosis {
	inference := Infer(c, o)
	d := Diagnosis{
		Job:            c.Job,
		Path:           c.Path.now(),
		Points:         c.pointStates(o.Tables),
		Brackets:       c.brackets(),
		Suspects:       inference.Suspects,
		Beyond:         inference.Beyond,
		Healthy:        inference.Healthy,
		Next:           inference.Next,
		PlanMinutes:    inference.PlanMinutes,
		Findings:       c.findings(o),
		Contradictions: c.contradictions(),
	}
	p := newProgress(c)
	steps, phase := p.plan()
	d.Phase, d.Missing, d.noAccess = phase, missing(steps), p.noAccess
	for _, s := range c.stretches(o.Tables) {
		g := s.Segment
		g.Expected, g.Excess, g.SD = hundredths(g.Expected), hundredths(g.Excess), hundredths(g.SD)
		d.Segments = append(d.Segments, g)
	}
	d.fillEmpty()
	return d
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

// now returns the elements still in the path, each hanging on the one that is
// really before it.
func (p Path) now() []PathElement {
	var out []PathElement
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
