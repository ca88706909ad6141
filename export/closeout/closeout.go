package closeout

import (
	"time"

	"downlead/diagnose/call"
	"downlead/diagnose/claim"
	"downlead/diagnose/level"
	"downlead/diagnose/path"
	"downlead/diagnose/visit"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// CloseoutSchema names the version of the JSON form of a Closeout. Members
// are only ever added to a version; a change of meaning makes a new one.
const CloseoutSchema = "downlead/closeout/2"

// firstSchema is the form before claims were in it; it is still read.
const firstSchema = "downlead/closeout/1"

// Input is everything a closeout is computed from. Nothing else is read: no
// clock, no file, no database.
type Input struct {
	Records     []record.Record // of one job, raw, corrections included, in order of seq
	Diagnosis   claim.Diagnosis
	Steps       []call.Step
	Cautions    []Caution
	Explanation []string // sentences for the customer
	Head        record.Hash
	Count       int64  // records in the chain up to Head
	ID          string // the journal's own UUID; "" when it has none yet
	Version     string // of the product
	// AsOf is when the closeout is made. The zero time means the time of the
	// last record: then the same journal gives the same bytes, whenever asked.
	AsOf time.Time
}

// Closeout is the record made from a job: what was found, where, how it was
// proven, what was done and with what, and what was left open. Its JSON form
// is a contract, described by CloseoutSchemaJSON.
type Closeout struct {
	Schema  string    `json:"schema"`  // CloseoutSchema
	Product string    `json:"product"` // version of the product that made it
	AsOf    time.Time `json:"as_of"`
	Journal ChainHead `json:"journal"`

	Job string `json:"job"`
	// Technician is the name in the job's last record that has one.
	Technician string `json:"technician,omitempty"`

	Zone      string     `json:"zone"` // IANA name of the job's first record; "" when unknown
	Site      Site       `json:"site"`
	Complaint string     `json:"complaint"`
	Opened    *time.Time `json:"opened"` // nil when no start was logged
	Closed    *time.Time `json:"closed"` // nil while the job is open
	// Reason is what was said at closing of why something was left open.
	Reason string `json:"reason,omitempty"`

	Outcome  Outcome    `json:"outcome"`
	Complete bool       `json:"complete"` // Open is empty and the job is closed
	Open     []OpenItem `json:"open"`

	Causes      []Cause            `json:"causes"`
	Brackets    []string           `json:"brackets"`  // still open ones, in words
	Bracketed   []string           `json:"bracketed"` // ids of the elements within them
	Suspects    []Suspect          `json:"suspects"`  // what is likely at fault now, the likeliest first
	Findings    []Finding          `json:"findings"`
	Claims      []claim.Claim      `json:"claims"` // all that is said of the job, with the entries it rests on
	Path        []path.PathElement `json:"path"`
	Limits      Limits             `json:"limits"`
	Points      []BeforeAfter      `json:"points"`
	Now         []level.PointState `json:"now"` // what is known at every point measured
	Readings    []Reading          `json:"readings"`
	Actions     []Action           `json:"actions"`
	Seen        []Seen             `json:"seen"`
	Checks      []Check            `json:"checks"`
	Steps       []call.Step        `json:"steps"`
	Times       []TimeMark         `json:"times"`
	Durations   Durations          `json:"durations"`
	Miles       entry.Decimal      `json:"miles"` // sum; null when none were said
	Codes       []Code             `json:"codes"`
	Materials   []Material         `json:"materials"`
	Photographs []Photograph       `json:"photographs"`
	Notes       []Note             `json:"notes"`
	Unparsed    []Unparsed         `json:"unparsed"`
	Cautions    []Caution          `json:"cautions"`
	Explanation []string           `json:"explanation"`
	Recording   Recording          `json:"recording"`
	Counts      Counts             `json:"counts"`
	Redacted    bool               `json:"redacted"`
}

// ChainHead is the journal's state when the closeout was made. A chain shows
// edits; head and count together also show a cut tail.
type ChainHead struct {
	ID    string `json:"id,omitempty"` // the journal's own UUID; absent for a journal that has none yet
	Head  string `json:"head"`         // hex SHA-256
	Count int64  `json:"count"`        // records
}

// Outcome says how a job ended.
type Outcome string

// The outcomes; each has one rule over the entries, in diagnose/claim.
const (
	Fixed         Outcome = claim.Fixed
	FixedUnread   Outcome = claim.FixedUnread
	Unexplained   Outcome = claim.Unexplained
	NotFixed      Outcome = claim.NotFixed
	NoFault       Outcome = claim.NoFault
	NotReproduced Outcome = claim.NotReproduced
	NoAccess      Outcome = claim.NoAccess
	Rescheduled   Outcome = claim.Rescheduled
	NeedsHelp     Outcome = claim.NeedsHelp
	StillOpen     Outcome = claim.Open
)

// Mended reports whether the fault was found and a repair of it is proven.
func (o Outcome) Mended() bool { return o == Fixed || o == FixedUnread }

// Site is where the job was.
type Site struct {
	Address    string        `json:"address"`
	Lat        entry.Decimal `json:"lat"` // degrees, north positive; null when not given
	Lon        entry.Decimal `json:"lon"` // degrees, east positive; null when not given
	ReportedAt *time.Time    `json:"reported_at"`
}

// OpenItem is something missing or left open, and why, where a reason was given.
type OpenItem struct {
	What   string `json:"what"` // a plan step, or: job_open unparsed unconfirmed contradiction
	Detail string `json:"detail"`
	Why    string `json:"why"`
}

// CauseState says how well a cause is proven.
type CauseState string

// The states of a cause: a point went from fail to pass across the repair; a
// point still failed but rose by more than two spreads; it was read on both
// sides of the repair and did neither; it was not.
const (
	Proven   CauseState = "proven"
	Improved CauseState = "improved"
	NoChange CauseState = "no_change"
	Unproven CauseState = "unproven"
)

// Cause is a repair and what it changed.
type Cause struct {
	Action  int64         `json:"action_entry"`
	Element entry.Element `json:"element"`
	Text    string        `json:"text"` // "replaced ground block 1"
	State   CauseState    `json:"state"`
	Point   string        `json:"point"` // where it shows, in words; "" when unproven
	Before  int64         `json:"before_entry"`
	After   int64         `json:"after_entry"`
	Gain    entry.Decimal `json:"gain_db"`         // level after less level before; null where either is missing
	Claim   string        `json:"claim,omitempty"` // what is claimed of the repair, in words
}

// Finding is something the technician should know, as diagnosed.
type Finding struct {
	Code    string  `json:"code"`
	Text    string  `json:"text"`
	Entries []int64 `json:"entries"`
}

// Limits are what the readings were judged by, as last set in the job.
type Limits struct {
	FloorDBm     entry.Decimal `json:"floor_dbm"`
	Threshold    entry.Decimal `json:"threshold"` // 0..100; null when none was set
	Slots        []SlotLimit   `json:"slot_thresholds"`
	Weather      string        `json:"weather"`
	TemperatureF entry.Decimal `json:"temperature_f"`
}

// SlotLimit is the strength threshold of one orbital slot.
type SlotLimit struct {
	Slot      int           `json:"slot"`
	Threshold entry.Decimal `json:"threshold"`
}

// Reading is one meter reading with how it stands to its limits.
type Reading struct {
	Entry          int64         `json:"entry"`
	At             time.Time     `json:"at"`
	ID             string        `json:"id"` // element of the path; "" when it was not placed
	Point          entry.Point   `json:"point"`
	Name           string        `json:"name"`    // the point in words
	Said           entry.Verdict `json:"said"`    // as spoken; "" when it was not
	Judged         entry.Verdict `json:"judged"`  // from the numbers and the limits; "" when no limit applies
	Verdict        entry.Verdict `json:"verdict"` // what counts: as said, else as judged
	Level          entry.Decimal `json:"level_dbm"`
	LevelMargin    entry.Decimal `json:"level_margin_db"`
	Strength       entry.Decimal `json:"strength"`
	StrengthMargin entry.Decimal `json:"strength_margin"`
	MER            entry.Decimal `json:"mer_db"`
	Volts          entry.Decimal `json:"volts"`
	NoSignal       bool          `json:"no_signal"`
	Slot           int           `json:"slot"` // 0: not said
	Transponder    int           `json:"transponder"`
	Polarity       string        `json:"polarity"`
	ActionsBefore  int           `json:"actions_before"`  // repairs logged in the job before this reading
	Round          int           `json:"round,omitempty"` // those of them on its way, plus one; 0 where it was not placed
	Assumed        []string      `json:"assumed"`
}

// Suspect is an element that is likely at fault.
type Suspect struct {
	ID   string  `json:"id"`
	Mode string  `json:"mode"` // the way in which it likeliest failed; "" when none stands out
	P    float64 `json:"p"`    // probability that it is at fault
}

// BeforeAfter is the first and the last reading of the same thing at a point.
type BeforeAfter struct {
	ID       string      `json:"id"`
	Point    entry.Point `json:"point"`
	Name     string      `json:"name"`
	What     string      `json:"what"` // slot, transponder, polarity in words; "" when none was said
	Before   *Reading    `json:"before"`
	After    *Reading    `json:"after"`             // nil when it was not read again after a repair
	Between  *Reading    `json:"between,omitempty"` // the last one after Before, where a repair came after it too
	Stale    bool        `json:"stale"`             // a repair on its dish side came after the last reading
	Expected *float64    `json:"expected_dbm"`
}

// Last returns the last reading of the pair.
func (b BeforeAfter) Last() Reading {
	if b.After != nil {
		return *b.After
	}
	return *b.Before
}

// Action is a change made to the path.
type Action struct {
	Entry    int64         `json:"entry"`
	At       time.Time     `json:"at"`
	Action   string        `json:"action"`
	Element  entry.Element `json:"element"`
	Number   int           `json:"number"`
	Quantity int           `json:"quantity"`
	LengthFt entry.Decimal `json:"length_ft"`
	Cable    string        `json:"cable,omitempty"` // its type
	Text     string        `json:"text"`
	On       []string      `json:"on,omitempty"` // ids of the elements of its kind that it was done to
}

// Seen is what was seen of a part, or what the people of the house noticed.
type Seen struct {
	Entry   int64         `json:"entry"`
	At      time.Time     `json:"at"`
	Kind    entry.Kind    `json:"kind"`              // sighting or symptom
	What    string        `json:"what"`              // the condition, or the symptom
	Element entry.Element `json:"element,omitempty"` // what it was seen of
	Number  int           `json:"number,omitempty"`
	When    string        `json:"when,omitempty"`
	Text    string        `json:"text"` // the whole in words
	Remark  string        `json:"remark,omitempty"`
	Room    string        `json:"room,omitempty"`
}

// Check is the result of a check with its remark.
type Check struct {
	Entry   int64         `json:"entry"`
	At      time.Time     `json:"at"`
	Check   string        `json:"check"`
	Point   string        `json:"point"` // in words; "" when it has none
	Verdict entry.Verdict `json:"verdict"`
	Remark  string        `json:"remark"`
	Current bool          `json:"current"` // the last of its name and point
}

// TimeMark is a logged time.
type TimeMark = visit.Mark

// Durations are derived from the time marks, in whole seconds; -1 where a
// mark that is needed was not logged.
type Durations struct {
	Travel        int64 `json:"travel_s"`
	OnSite        int64 `json:"on_site_s"` // arrived to departed, breaks included
	Breaks        int64 `json:"breaks_s"`
	ReportToClear int64 `json:"report_to_clear_s"` // fault reported to proof
	ArriveToClear int64 `json:"arrive_to_clear_s"` // arrival to proof
	ActiveRepair  int64 `json:"active_repair_s"`   // first reading to proof, less breaks
}

// Code is a work code for pay.
type Code struct {
	Entry int64         `json:"entry"`
	At    time.Time     `json:"at"`
	Code  string        `json:"code"`
	Units entry.Decimal `json:"units"` // 1 where none were said
}

// Material is a part used, summed over the job.
type Material struct {
	Item     string        `json:"item"`
	Quantity int           `json:"quantity"`
	LengthFt entry.Decimal `json:"length_ft"`
	Cable    string        `json:"cable,omitempty"` // its type
	Entries  []int64       `json:"entries"`
}

// Photograph is a picture attached to the job.
type Photograph struct {
	Entry  int64  `json:"entry"`
	SHA256 string `json:"sha256"`
	Name   string `json:"name"`
	Point  string `json:"point"`
	Remark string `json:"remark"`
}

// Note is free text.
type Note struct {
	Entry int64     `json:"entry"`
	At    time.Time `json:"at"`
	Text  string    `json:"text"`
	Rough bool      `json:"rough"`
}

// Unparsed is a phrase that was not understood, kept whole.
type Unparsed struct {
	Entry  int64  `json:"entry"`
	Text   string `json:"text"`
	Reason string `json:"reason"`
}

// Caution is a safety sentence that applied to the job.
type Caution struct {
	Topic string `json:"topic"` // "ladder", "grounding" …
	Text  string `json:"text"`
}

// Recording says what the people present agreed to, and what sound is kept.
type Recording struct {
	Consent string `json:"consent"` // "given", "refused" as last said; "" when it was not asked
	Clips   int    `json:"clips"`   // kept, not purged
	Purged  int    `json:"purged"`
}

// Counts say what the closeout was made from.
type Counts struct {
	Records     int `json:"records"`
	Corrections int `json:"corrections"`
	Superseded  int `json:"superseded"`
	Unparsed    int `json:"unparsed"`
	Unconfirmed int `json:"unconfirmed"`
}
