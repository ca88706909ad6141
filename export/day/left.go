package day

import (
	"slices"

	"downlead/diagnose"
	"downlead/diagnose/trace"
	"downlead/export/closeout"
	"downlead/grammar/entry"
)

// For is who something was left for.
type For string

// Those that something is left for. What an open job lacks is for the
// technician who has it, what a closed one lacks for whoever comes next.
const (
	Technician  For = "technician"
	NextVisit   For = "next_visit"
	SecondTech  For = "second_technician"
	Electrician For = "licensed_electrician"
	Customer    For = "customer"
)

func (f For) words() string {
	switch f {
	case Technician:
		return "for you"
	case NextVisit:
		return "for whoever comes next"
	case SecondTech:
		return "for a second technician"
	case Electrician:
		return "for a licensed electrician"
	}
	return "to arrange with the customer"
}

// Left is something that was left open.
type Left struct {
	Job    string `json:"job"`
	What   string `json:"what"` // as in the closeout's open list; finding, time, or the outcome
	Detail string `json:"detail"`
	Why    string `json:"why,omitempty"` // the reason that was given
	For    For    `json:"for"`
}

// left lists what a job leaves open, and for whom.
func (b *builder) left(j *diagnose.Job, c closeout.Closeout) {
	whose := Technician
	if c.Closed != nil {
		whose = NextVisit
	}
	add := func(what, detail, why string, f For) {
		b.day.Left = append(b.day.Left, Left{Job: c.Job, What: what, Detail: detail, Why: why, For: f})
	}
	d := j.Diagnosis()
	switch c.Outcome {
	case closeout.Rescheduled, closeout.NoAccess:
		add(string(c.Outcome), d.Outcome.Text, "", Customer)
	case closeout.NeedsHelp:
		add(string(c.Outcome), d.Outcome.Text, "", SecondTech)
	}
	for _, f := range d.BringBack() {
		to := whose
		if f.Code == trace.FindingOutlet || grounding(c, f) {
			to = Electrician
		}
		add("finding", f.Text, "", to)
	}
	for _, x := range b.time.Open {
		if x.Job == c.Job && b.has(x.Start) {
			add("time", kindWord(x.Kind)+" since "+x.Start.In(b.from.Location()).Format("15:04")+", and no end of it is marked", "", Technician)
		}
	}
	for _, o := range c.Open {
		add(o.What, o.Detail, o.Why, whose)
	}
}

// grounding reports that a finding is of the grounding, which is only reported.
func grounding(c closeout.Closeout, f trace.Finding) bool {
	return slices.ContainsFunc(c.Checks, func(k closeout.Check) bool {
		return k.Check == "grounding" && k.Verdict == entry.Fail && slices.Contains(f.Entries, k.Entry)
	})
}
