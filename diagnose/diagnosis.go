package diagnose

import "downlead/grammar"

// Phase is where a call stands.
type Phase string

// The phases, in order.
const (
	Baseline       Phase = "baseline"
	Tracing        Phase = "tracing"
	Repairing      Phase = "repairing"
	Proving        Phase = "proving"
	Outlet         Phase = "outlet"
	InputTest      Phase = "input_test"
	OtherReceivers Phase = "other_receivers"
	Inspection     Phase = "inspection"
	Ready          Phase = "ready"
	Closed         Phase = "closed"
)

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

// PathElement is one element of the rebuilt path.
type PathElement struct {
	ID       string          `json:"id"` // "ground_block 1"
	Element  grammar.Element `json:"element"`
	Parent   string          `json:"parent,omitempty"`
	Port     int             `json:"port,omitempty"` // the parent's output it hangs on
	Room     string          `json:"room,omitempty"`
	LengthFt float64         `json:"length_ft,omitempty"`
	Cable    string          `json:"cable,omitempty"`
	Ways     int             `json:"ways,omitempty"`
	Assumed  bool            `json:"assumed,omitempty"` // nobody said so: the usual order has it there
	Removed  bool            `json:"removed,omitempty"` // taken out on this call
}

// PointState is what is known at a point now.
type PointState struct {
	Point    grammar.Point   `json:"point"`
	ID       string          `json:"id"` // the element's id in Path
	Verdict  grammar.Verdict `json:"verdict,omitempty"`
	Margin   *float64        `json:"margin_db,omitempty"`
	Level    *float64        `json:"level_dbm,omitempty"`
	Expected *float64        `json:"expected_dbm,omitempty"`
	Round    int             `json:"round"`
	Stale    bool            `json:"stale,omitempty"` // a repair on its dish side came after it
	Entries  []int64         `json:"entries,omitempty"`
}

// Bracket holds the elements between the passing point nearest the receiver
// and the failing point nearest the dish, on one branch. Pass is nil when
// nothing on the branch passes: the bracket then runs to the dish.
type Bracket struct {
	Pass     *grammar.Point `json:"pass"`
	Fail     grammar.Point  `json:"fail"`
	Elements []string       `json:"elements"`
	Text     string         `json:"text"`

	clause string // where the fault is in one clause, for the ear
}

// Suspect is a set of elements that may be at fault together, and its odds.
type Suspect struct {
	Elements []string `json:"elements"`
	Mode     string   `json:"mode"`
	P        float64  `json:"p"`
}

// Next is what to do next: an act at a point, what to read there, and why.
type Next struct {
	Act     string        `json:"act"`            // ActRead, ActRepair, ActStep or ActCall
	Read    []string      `json:"read,omitempty"` // ReadLevel …: what to read, of a reading
	Point   grammar.Point `json:"point"`
	ID      string        `json:"id,omitempty"` // the element
	Minutes float64       `json:"minutes"`      // getting there included
	Bits    float64       `json:"bits"`         // what a reading is expected to tell about what to repair
	Code    string        `json:"code"`         // WhyBaseline …
	Why     string        `json:"why"`
}

// Segment is the stretch between two measured points on one branch.
type Segment struct {
	From     grammar.Point `json:"from"`
	To       grammar.Point `json:"to"`
	Measured float64       `json:"measured_db"`
	Expected float64       `json:"expected_db"`
	Excess   float64       `json:"excess_db"`
	SD       float64       `json:"sd_db"`
}

// Finding is something the technician should know.
type Finding struct {
	Code    string  `json:"code"`
	Text    string  `json:"text"`
	Entries []int64 `json:"entries"`
}

// Contradiction names readings that cannot all be true, and the one to repeat.
type Contradiction struct {
	Text    string        `json:"text"`
	Entries []int64       `json:"entries"`
	Repeat  grammar.Point `json:"repeat"`
}

// Missing is a step of the call that is not done yet.
type Missing struct {
	Step   string `json:"step"`
	Detail string `json:"detail"`
}

// Step is one line of the call plan.
type Step struct {
	Step   string `json:"step"`
	State  string `json:"state"` // done now missing not_applicable
	Detail string `json:"detail"`
}
