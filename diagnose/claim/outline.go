package claim

import (
	"downlead/diagnose/call"
	"downlead/diagnose/level"
	"downlead/diagnose/trace"
	"downlead/journal/record"
)

// Outline concludes from the records of one job what needs no weighing of
// faults: the path, what every point shows, what is missing and what
// contradicts itself. Suspects, brackets, findings and the next point are left
// empty. It costs a hundredth of Diagnose, for those who judge many jobs.
func Outline(records []record.Record) Diagnosis {
	c := trace.Replay(records)
	d := Diagnosis{Job: c.Job, Path: Now(c.Path), Points: level.PointStates(c, nil), Contradictions: c.Contradictions()}
	p := call.NewProgress(c)
	d.shape(p, level.TablesOr(nil))
	d.fillEmpty()
	d.Claims = claims(p, d)
	return d
}
