package trace

import (
	"slices"

	"downlead/diagnose/path"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// Absent is the version of an element that was not in the path when a reading
// was taken: taken out before it, or put in after it.
const Absent = -1

// Call is a job's entries replayed: the path as it is now, the readings
// placed on it, and what was done, checked and set.
type Call struct {
	Job          string
	Path         path.Path
	Observations []Observation
	Repairs      []Repair
	Sightings    []Sighting
	Symptoms     []Symptom
	Swaps        []Swap
	Moves        []Move
	Settings     Settings
	Versions     []int           // of each element now: repairs so far; Absent when it was removed
	Records      []record.Record // what counts now, corrected, in order
}

// Observation is one reading placed on the path.
type Observation struct {
	Seq     int64
	Element int // index into Path.Elements
	Side    entry.Side
	Port    int
	Round   int // repairs so far anywhere on the way from the dish to this point, plus one
	// Versions[i] is the version (count of repairs so far) of element i when
	// the reading was taken, or Absent.
	Versions []int
	Reading  entry.Reading
}

// Repair is an action placed on the path.
type Repair struct {
	Seq      int64
	Action   entry.Action
	Elements []int // what it touched; the versions of these rise by one, or become Absent
	Port     int   // the output of the fork that it was done at; 0: all that comes through what it touched
	Undone   int64 // the action that put the old part back; 0 while the repair stands

	before []int // the versions of all elements before it
}

// Settings are the job's limits and circumstances as last set.
type Settings struct {
	FloorDBm     float64         // -50 unless set
	Threshold    float64         // strength limit for slots without their own; 0 when none was set
	ThresholdFor map[int]float64 // by slot
	TemperatureF float64         // 68 unless set
	Weather      string          // dry unless set
}

// BadOnRoof returns why nobody climbs in the weather; "" when it is fit.
func BadOnRoof(weather string) string {
	switch weather {
	case "rain", "snow", "ice", "wind", "lightning":
		return weather
	}
	return ""
}

// Site is where the job is, degrees north and east.
func (c Call) Site() (lat, lon float64, ok bool) {
	for _, r := range c.Records {
		if s, is := r.Entry.(entry.Site); is && s.Lat.Said() && s.Lon.Said() {
			lat, lon, ok = s.Lat.Float(), s.Lon.Float(), true
		}
	}
	return lat, lon, ok
}

// Slot is the orbital slot named last, degrees west; 0 when none was.
func (c Call) Slot() int {
	slot := 0
	for _, r := range c.Records {
		switch e := r.Entry.(type) {
		case entry.Reading:
			if e.Slot > 0 {
				slot = e.Slot
			}
		case entry.Setting:
			if e.Slot > 0 {
				slot = e.Slot
			}
		}
	}
	return slot
}

// Finding is something the technician should know.
type Finding struct {
	Code    string  `json:"code"`
	Text    string  `json:"text"`
	Entries []int64 `json:"entries"`
}

// Sighting is something seen at parts of the path: "water in the connector at
// the wall plate". What is seen at a fitting is seen at the parts on both
// sides of it.
type Sighting struct {
	Seq       int64
	Elements  []int
	Versions  []int  // of each element of the path when it was seen
	Condition string // wet corroded loose cut kinked dented blocked missing burnt pinched
}

// Symptom is something noticed by those who watch: "freezes in the afternoon".
type Symptom struct {
	Seq       int64
	Symptom   string // freezing pixelating dropouts intermittent missing_channels no_picture
	When      string // rain wind heat cold night afternoon; "" when it was not said
	Receivers []int  // where it was noticed; none: anywhere
	Versions  []int
}

// comesAndGoes reports whether a passing reading does not answer a symptom: it
// was noticed at times.
func (s Symptom) comesAndGoes() bool {
	return s.When != "" || slices.Contains([]string{"freezing", "pixelating", "dropouts", "intermittent"}, s.Symptom)
}

// Swap is what came of exchanging two receivers, or two like parts of the
// coax: whether the fault went with the part or stayed at the place.
type Swap struct {
	Seq      int64
	Entries  []int64 // what was read, or tested, on both sides of it
	Receiver int     // the part that had failed, where it hangs now
	Outlet   int     // the place in the path where it had failed
	Follows  bool
	Versions []int
}
