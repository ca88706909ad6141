package diagnose

import "downlead/journal"

// Outline concludes from the records of one job what needs no weighing of
// faults: the path, what every point shows, what is missing and what
// contradicts itself. Suspects, brackets, findings and the next point are left
// empty. It costs a hundredth of Diagnose, for those who judge many jobs.
func Outline(records []journal.Record) Diagnosis {
	c := Replay(records)
	p := newProgress(c)
	steps, phase := p.plan()
	d := Diagnosis{
		Job: c.Job, Path: c.Path.now(), Points: c.pointStates(nil), Contradictions: c.contradictions(),
		Phase: phase, Missing: missing(steps), noAccess: p.noAccess,
	}
	d.fillEmpty()
	return d
}
