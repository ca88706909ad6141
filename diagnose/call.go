package diagnose

import (
	"downlead/grammar"
	"downlead/journal"
)

// Path is the tree from the dish to every receiver. Elements stand so that a
// parent comes before its children; Parent[i] is the index of the element on
// the dish side of element i, or -1 for the dish. A part that was taken out
// stays in the tree, marked Removed, because readings were taken through it.
type Path struct {
	Elements []PathElement
	Parent   []int
}

// Absent is the version of an element that was not in the path when a reading
// was taken: taken out before it, or put in after it.
const Absent = -1

// Call is a job's entries replayed: the path as it is now, the readings
// placed on it, and what was done, checked and set.
type Call struct {
	Job          string
	Path         Path
	Observations []Observation
	Repairs      []Repair
	Settings     Settings
	Versions     []int            // of each element now: repairs so far; Absent when it was removed
	Records      []journal.Record // what counts now, corrected, in order
}

// Observation is one reading placed on the path.
type Observation struct {
	Seq     int64
	Element int // index into Path.Elements
	Side    grammar.Side
	Port    int
	Round   int // repairs so far anywhere on the way from the dish to this point, plus one
	// Versions[i] is the version (count of repairs so far) of element i when
	// the reading was taken, or Absent.
	Versions []int
	Reading  grammar.Reading
}

// Repair is an action placed on the path.
type Repair struct {
	Seq      int64
	Action   grammar.Action
	Elements []int // what it touched; the versions of these rise by one, or become Absent
}

// Settings are the job's limits and circumstances as last set.
type Settings struct {
	FloorDBm     float64         // -50 unless set
	Threshold    float64         // strength limit for slots without their own; 0 when none was set
	ThresholdFor map[int]float64 // by slot
	TemperatureF float64         // 68 unless set
	Weather      string          // dry unless set
}

// Options of Diagnose. The zero value means the built-in tables and priors.
type Options struct {
	Tables  *Tables            // losses, spreads, priors, minutes; nil means the built-in ones
	Learned []journal.Record   // records of earlier closed jobs to learn priors from
	History [][]journal.Record // earlier jobs at the same site, oldest first
	At      *grammar.Point     // where the technician stands; nil means the last point measured
}
