package next

import (
	"downlead/diagnose/fault"
	"downlead/diagnose/level"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// Inference is what the readings say about faults, and what to do about it.
type Inference struct {
	Suspects    []fault.Suspect // element sets at fault now, the likeliest first
	Beyond      float64         // prior probability of more faults at once than were enumerated
	Healthy     float64         // probability that no element measured through is at fault now
	Next        *Next           // the next point, or the repair; nil when there is nothing to find
	Repair      int             // the element whose repair Next is; -1 when Next is a reading, or nil
	PlanMinutes float64         // expected minutes of measuring until the fault is found
	Marginals   []float64       // probability that each element of the path is at fault now
	Causes      []fault.Suspect // what was wrong with parts that have been replaced or mended since
	Excesses    []Excess        // the stretches between measured points, from the dish outwards
	Accounts    []Account       // one for each failing branch: its bracket beside what explains it
}

// Infer weighs every set of up to three faults against all readings of the
// call and chooses the next point.
func Infer(c trace.Call, o level.Options) Inference {
	t := level.TablesOr(o.Tables)
	if len(o.Learned) > 0 {
		t = fault.LearnPriors(t, o.Learned)
	}
	m := fault.NewModel(c, t, c.Path.Points())
	con := m.Conclude(m.Net.Posterior())
	inf := Inference{
		Suspects: con.Suspects, Beyond: m.Net.Beyond(), Healthy: con.Healthy,
		Marginals: con.Marginals, Causes: con.Causes,
	}
	p := NewPlanner(m, con, o)
	inf.Next, inf.PlanMinutes = p.next()
	inf.Repair = p.toRepair
	inf.Excesses, inf.Accounts = excesses(m, con), p.accounts()
	return inf
}

// Next is what to do next: an act at a point, what to read there, and why.
type Next struct {
	Act     string      `json:"act"`            // ActRead, ActRepair, ActStep or ActCall
	Read    []string    `json:"read,omitempty"` // ReadLevel …: what to read, of a reading
	Point   entry.Point `json:"point"`
	ID      string      `json:"id,omitempty"` // the element
	Minutes float64     `json:"minutes"`      // getting there included
	Bits    float64     `json:"bits"`         // what a reading is expected to tell about what to repair
	Code    string      `json:"code"`         // WhyBaseline …
	Why     string      `json:"why"`
	Text    string      `json:"text"` // what to do, in a sentence
}
