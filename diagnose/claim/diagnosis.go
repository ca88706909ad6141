package claim

import (
	"downlead/diagnose/call"
	"downlead/diagnose/fault"
	"downlead/diagnose/level"
	"downlead/diagnose/next"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
)

// Diagnosis is everything concluded from a job's entries. Its JSON form is a
// contract.
type Diagnosis struct {
	Job            string                `json:"job"`
	Phase          call.Phase            `json:"phase"`
	Path           []path.PathElement    `json:"path"`
	Points         []level.PointState    `json:"points"`
	Brackets       []trace.Bracket       `json:"brackets"`
	Suspects       []fault.Suspect       `json:"suspects"`
	Beyond         float64               `json:"beyond"`  // prior mass of hypotheses with more faults than were enumerated
	Healthy        float64               `json:"healthy"` // probability that nothing is wrong
	Next           *next.Next            `json:"next"`
	PlanMinutes    float64               `json:"plan_minutes"`
	Segments       []level.Segment       `json:"segments"`
	Findings       []trace.Finding       `json:"findings"`
	Contradictions []trace.Contradiction `json:"contradictions"`
	Missing        []call.Missing        `json:"missing"`

	noAccess bool // the customer was not there: nothing was done
}
