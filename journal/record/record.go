package record

import (
	"time"

	"downlead/grammar/entry"
)

// TimeSource says where a record's time came from.
type TimeSource string

// The sources of a time: the machine's clock, a spoken or typed time, the
// time in a recording, or a later edit.
const (
	FromClock     TimeSource = "clock"
	FromGiven     TimeSource = "given"
	FromRecording TimeSource = "recording"
	FromEdit      TimeSource = "edited"
)

// Origin says how a phrase came in.
type Origin string

// The origins of a phrase.
const (
	Typed    Origin = "typed"
	Voice    Origin = "voice"
	Imported Origin = "import"
	Reviewed Origin = "review"
	Tool     Origin = "tool" // made by the tool itself: a closeout, a purge
)

// Draft is an entry on its way into the journal.
type Draft struct {
	Job        string // the job's number; "" only before any job is started
	At         time.Time
	Zone       string // IANA name; "" means At's own location
	TimeSource TimeSource
	Origin     Origin
	Phrase     string // the words as heard or typed; shared by the entries of one phrase
	Clip       string // hex SHA-256 of the kept sound; "" when none is kept
	Heard      *Heard // what the recogniser thought; nil when typed

	// Technician is the name of the one whose entry it is; "" when none is set.
	Technician string

	// Line is the line of the text file that it was imported from, from 1 on; 0
	// when it was not.
	Line int

	// Unconfirmed marks an entry whose question was not answered: it is kept
	// and shown, and counts for nothing until a correction confirms it.
	Unconfirmed bool

	Entry entry.Entry
}

// Heard keeps the recogniser's figures with an entry, as hundredths, so that
// thresholds can be set again from confirmed phrases.
type Heard struct {
	Grammar   int `json:"gpf"`    // mean acoustic score of a frame in the grammar decode
	Ratio     int `json:"llr"`    // the same less that of a free phone decode
	WorstWord int `json:"worst"`  // lowest word score
	Margin    int `json:"margin"` // best hypothesis against the best with another number or verdict
	SNR       int `json:"snr"`    // dB
	At        int `json:"at_ms"`  // where in the recording, milliseconds

	// Of both listeners, where two heard it. Confidence is in hundredths of a per
	// cent, the others in hundredths of a nat.
	Confidence int `json:"confidence,omitempty"` // probability that the words are what was said
	LogP       int `json:"logp,omitempty"`       // of the second listener's likeliest sentence
	Lead       int `json:"lead,omitempty"`       // of it before the next
	Free       int `json:"free,omitempty"`       // of the second listener's own text
}

// Record is a stored entry: a Draft with its place in the chain. Records are
// never changed; a later record supersedes.
type Record struct {
	Seq int64 // from 1, without gaps
	Draft
	Prev, Hash Hash
}

// Viewed is a record as it counts now, after the corrections that followed it.
type Viewed struct {
	Record
	SupersededBy int64   // the seq of the correction that took it away; 0 when it counts
	CorrectedBy  []int64 // the corrections that changed Entry, in order
}

// Summary is a job at a glance.
type Summary struct {
	Number         string
	Seq            int64  // the record that started it; lists are in its order
	Site           string // the address as given; "" when none was
	SiteKey        string // the address folded, so that visits to one site find each other
	Opened, Closed time.Time
	Open           bool
	Head           Hash // the chain's head at the job's last record
	Count          int64
}
