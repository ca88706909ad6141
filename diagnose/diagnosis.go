package diagnose

// Diagnosis is everything concluded from a job's entries. Its JSON form is a
// contract.
type Diagnosis struct {
	Job            string          `json:"job"`
	Phase          Phase           `json:"phase"`
	Path           []PathElement   `json:"path"`
	Points         []PointState    `json:"points"`
	Brackets       []Bracket       `json:"brackets"`
	Suspects       []Suspect       `json:"suspects"`
	Beyond         float64         `json:"beyond"`  // prior mass of hypotheses with more faults than were enumerated
	Healthy        float64         `json:"healthy"` // probability that nothing is wrong
	Next           *Next           `json:"next"`
	PlanMinutes    float64         `json:"plan_minutes"`
	Segments       []Segment       `json:"segments"`
	Findings       []Finding       `json:"findings"`
	Contradictions []Contradiction `json:"contradictions"`
	Missing        []Missing       `json:"missing"`

	noAccess bool // the customer was not there: nothing was done
}
