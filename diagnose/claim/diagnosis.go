package claim

import (
	"downlead/diagnose/call"
	"downlead/diagnose/fault"
	"downlead/diagnose/level"
	"downlead/diagnose/next"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
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

	Claims []Claim `json:"claims"`

	// What the claims are made of, for those who draw and print.
	Outcome Outcome `json:"-"`
	Repairs []Shown `json:"-"`
	Pairs   []Pair  `json:"-"`
	// Rounds holds of every placed reading, by seq, the repairs on its way
	// before it, plus one.
	Rounds map[int64]int `json:"-"`
	// Worked holds of every action, by seq, the ids of the elements of its kind
	// that it was done to.
	Worked map[int64][]string `json:"-"`

	// Unanswered are the entries, by seq, that wait for a yes or a no; they count
	// for nothing.
	Unanswered []int64 `json:"-"`

	steps     []call.Step
	standing  string                   // how the receivers stand, in a sentence
	stretches []level.Stretch          // measured, from the dish outwards
	readNow   map[string][]entry.Point // points with a reading that stands, by what was read
	marginals map[string]float64       // how likely each element is at fault now; nil where nothing was weighed
	tables    *level.Tables
	noAccess  bool // the customer was not there: nothing was done
}
