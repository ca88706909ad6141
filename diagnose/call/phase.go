package call

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

// Step is one line of the call plan.
type Step struct {
	Step   string `json:"step"`
	State  string `json:"state"` // done now missing not_applicable
	Detail string `json:"detail"`
}

// Missing is a step of the call that is not done yet.
type Missing struct {
	Step   string `json:"step"`
	Detail string `json:"detail"`
}
