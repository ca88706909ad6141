package entry

// Entry is one statement of a technician: what one clause of a phrase means.
// The implementations are the structs of this file, always as values, never
// as pointers. Fields that were not said are zero and absent from the JSON.
type Entry interface{ Kind() Kind }

// Kind names a kind of entry; it is the "kind" member of the machine form.
type Kind string

// The kinds of entry.
const (
	KindReading    Kind = "reading"
	KindPath       Kind = "path"
	KindSetting    Kind = "setting"
	KindAction     Kind = "action"
	KindMaterial   Kind = "material"
	KindCheck      Kind = "check"
	KindTime       Kind = "time"
	KindMiles      Kind = "miles"
	KindCode       Kind = "code"
	KindJob        Kind = "job"
	KindSite       Kind = "site"
	KindConsent    Kind = "consent"
	KindNote       Kind = "note"
	KindCorrection Kind = "correction"
	KindQuestion   Kind = "question"
	KindUnparsed   Kind = "unparsed"
	KindPhoto      Kind = "photo"
	KindCloseout   Kind = "closeout"
	KindPurge      Kind = "purge"
	KindImport     Kind = "import"
	KindControl    Kind = "control"
	KindAnswer     Kind = "answer"
	KindSighting   Kind = "sighting"
	KindSymptom    Kind = "symptom"
	KindPlace      Kind = "place"
	KindOutcome    Kind = "outcome"
)

// Element is a kind of part of the signal path.
type Element string

// The elements, from the dish towards the receiver.
const (
	Dish          Element = "dish"
	LNB           Element = "lnb"
	Cable         Element = "cable"
	Jumper        Element = "jumper"
	Fitting       Element = "fitting"
	GroundBlock   Element = "ground_block"
	Barrel        Element = "barrel"
	WallPlate     Element = "wall_plate"
	Splitter      Element = "splitter"
	Tap           Element = "tap"
	Multiswitch   Element = "multiswitch"
	Diplexer      Element = "diplexer"
	Triplexer     Element = "triplexer"
	PowerInserter Element = "power_inserter"
	Receiver      Element = "receiver"
)

// Side is one end of an element.
type Side string

// The sides: towards the dish (an element's input) and towards the receiver
// (its output, numbered by Point.Port where there are several).
const (
	DishSide     Side = "dish"
	ReceiverSide Side = "receiver"
)

// Verdict is what a meter or a check said.
type Verdict string

// The verdicts; NotApplicable is for checks alone.
const (
	Pass          Verdict = "pass"
	Fail          Verdict = "fail"
	NotApplicable Verdict = "na"
)

// Point is a place where a meter can be put. As said, any part may be missing.
type Point struct {
	Element Element `json:"element,omitempty"`
	Number  int     `json:"number,omitempty"` // which one, where the job has several; from 1
	Side    Side    `json:"side,omitempty"`
	Port    int     `json:"port,omitempty"` // output number, from 1
	Room    string  `json:"room,omitempty"`
	Which   Which   `json:"which,omitempty"` // of several receivers; never stored
}

// Reading is what the meter showed at a point.
type Reading struct {
	Point       Point    `json:"point"`
	Verdict     Verdict  `json:"verdict,omitempty"`
	Level       Decimal  `json:"level_dbm,omitzero"` // dBm
	Strength    Decimal  `json:"strength,omitzero"`  // the meter's 0..100 figure
	MER         Decimal  `json:"mer_db,omitzero"`    // dB
	Volts       Decimal  `json:"volts,omitzero"`     // V, supply at the point
	NoSignal    bool     `json:"no_signal,omitempty"`
	Slot        int      `json:"slot,omitempty"`        // orbital slot, degrees west as said
	Transponder int      `json:"transponder,omitempty"` // from 1
	Polarity    string   `json:"polarity,omitempty"`    // "odd" or "even"
	Again       bool     `json:"again,omitempty"`       // "still bad": as before
	Unit        string   `json:"unit,omitempty"`        // dbuv or dbmv, where the level was said in it
	Said        Decimal  `json:"said,omitzero"`         // the figure in that unit
	Remark      string   `json:"remark,omitempty"`      // words that say more than the figures: "weak"
	Assumed     []string `json:"assumed,omitempty"`     // what was filled in: "sign", "element", "point", "spelling", "sound" …
}

// Kind returns KindReading.
func (Reading) Kind() Kind { return KindReading }

// PathElement is one part in a path phrase.
type PathElement struct {
	Element  Element `json:"element"`
	Number   int     `json:"number,omitempty"`
	Port     int     `json:"port,omitempty"` // the output of this element that the next one hangs on
	Room     string  `json:"room,omitempty"`
	LengthFt Decimal `json:"length_ft,omitzero"`
	Cable    string  `json:"cable,omitempty"` // "rg6", "rg11", "rg59"
	Ways     int     `json:"ways,omitempty"`  // outputs of a splitter, tap or multiswitch
}

// Path says how elements hang together, in order from the dish towards the
// receiver. With no verb the elements are all there is between the first and
// the last ("path dish, lnb, sixty feet, …", "cable from ground block to wall
// plate is forty feet", "receiver two on splitter output two, kitchen, fifty
// feet"). Verb "insert" puts the middle element (or, of two, the second)
// directly after the first and keeps everything else ("barrel between ground
// block and wall plate", "two way splitter after the ground block"). Verb
// "before" puts the first of two directly before the second. Nothing lies beyond
// a receiver: what follows one begins anew, so that several may be named in a row.
type Path struct {
	Verb     string        `json:"verb,omitempty"`
	Elements []PathElement `json:"elements"`
	Assumed  []string      `json:"assumed,omitempty"`
}

// Kind returns KindPath.
func (Path) Kind() Kind { return KindPath }

// Setting is a limit or a circumstance of the job. Names: "threshold" (Value
// 0..100, Slot where one was said), "floor_dbm" (Value), "temperature_f"
// (Value), "weather" (Text: dry rain snow ice wind lightning).
type Setting struct {
	Name    string   `json:"name"`
	Value   Decimal  `json:"-"`
	Text    string   `json:"-"`
	Slot    int      `json:"slot,omitempty"`
	Remark  string   `json:"remark,omitempty"`
	Assumed []string `json:"assumed,omitempty"`
}

// Kind returns KindSetting.
func (Setting) Kind() Kind { return KindSetting }

// Action is a change made to the path. Actions: replaced re_terminated
// tightened re_aimed removed added rerouted bypassed swapped moved cleaned
// sealed trimmed restored reset plugged_in. A swap exchanges Element and
// Number with With; restored undoes an earlier repair of the element.
type Action struct {
	Action   string   `json:"action"`
	Element  Element  `json:"element"`
	Number   int      `json:"number,omitempty"`
	Quantity int      `json:"quantity,omitempty"`
	Room     string   `json:"room,omitempty"`
	At       *Point   `json:"at,omitempty"` // where; the dish end where To is given
	To       *Point   `json:"to,omitempty"` // the receiver end of "between … and …"; where it was moved to
	LengthFt Decimal  `json:"length_ft,omitzero"`
	Cable    string   `json:"cable,omitempty"` // of cable: "rg6", "rg11", "rg59"
	With     *Point   `json:"with,omitempty"`  // what took its place, or was exchanged with it
	By       string   `json:"by,omitempty"`    // who did it, by their work: "electrician"; "" the technician
	Remark   string   `json:"remark,omitempty"`
	Assumed  []string `json:"assumed,omitempty"`
}

// Kind returns KindAction.
func (Action) Kind() Kind { return KindAction }

// Feeds reports that a part of the path which needs mains power was plugged in
// or started anew: that changes the path, as it does not of a receiver.
func (a Action) Feeds() bool {
	return (a.Action == "plugged_in" || a.Action == "reset") && (a.Element == PowerInserter || a.Element == Multiswitch)
}

// Material is a part used; cable by length, all else by quantity.
type Material struct {
	Item     string   `json:"item"`
	Quantity int      `json:"quantity,omitempty"`
	LengthFt Decimal  `json:"length_ft,omitzero"`
	Cable    string   `json:"cable,omitempty"` // of cable: "rg6", "rg11", "rg59"
	Remark   string   `json:"remark,omitempty"`
	Assumed  []string `json:"assumed,omitempty"`
}

// Kind returns KindMaterial.
func (Material) Kind() Kind { return KindMaterial }

// Check is the result of a check: outlet input_test dish mount cabling
// components grounding education, or a name from the technician's own words.
type Check struct {
	Check   string   `json:"check"`
	Verdict Verdict  `json:"verdict,omitempty"`
	Point   *Point   `json:"point,omitempty"` // which receiver, which outlet
	Remark  string   `json:"remark,omitempty"`
	Assumed []string `json:"assumed,omitempty"`
}

// Kind returns KindCheck.
func (Check) Kind() Kind { return KindCheck }

// At is where a check was made, the zero Point where nothing was said of it: a
// receiver's own test that names a room alone was run on the receiver there.
func (c Check) At() Point {
	if c.Point == nil {
		return Point{}
	}
	at := *c.Point
	if c.Check == "input_test" && at.Element == "" && at != (Point{}) {
		at.Element = Receiver
	}
	return at
}

// Time is a time mark. Of a job: en_route arrived break_start break_end
// no_access departed. Of time without a job, in a record whose job is "":
// shop_time, meeting and training begin it, back_at_shop ends the drive back
// and begins shop time, and what is marked next, in whatever job, ends it;
// day_end ends the day. Without At the mark is of the record's own time; with
// At it is of that clock time, see the journal's Happened.
type Time struct {
	Mark    string   `json:"mark"`
	At      string   `json:"at,omitempty"` // as told: local "15:04"
	Remark  string   `json:"remark,omitempty"`
	Assumed []string `json:"assumed,omitempty"`
}

// Kind returns KindTime.
func (Time) Kind() Kind { return KindTime }

// Miles is a distance driven.
type Miles struct {
	Value   Decimal  `json:"value"`
	Assumed []string `json:"assumed,omitempty"`
}

// Kind returns KindMiles.
func (Miles) Kind() Kind { return KindMiles }

// Code is a work code for pay: a number as said, or a name.
type Code struct {
	Code    string   `json:"code"`
	Units   Decimal  `json:"units,omitzero"`
	Assumed []string `json:"assumed,omitempty"`
}

// Kind returns KindCode.
func (Code) Kind() Kind { return KindCode }

// Job opens, describes or ends a job. Verbs: start (Number), complaint
// (Text), close (Text: the reason, where things are missing), reopen (Text:
// the reason), switch (Number: go back to that job), rename (Number: what was
// said since the job's start is of that job).
type Job struct {
	Verb   string `json:"verb"`
	Number string `json:"number,omitempty"` // digits and letters as said
	Text   string `json:"text,omitempty"`
}

// Kind returns KindJob.
func (Job) Kind() Kind { return KindJob }

// Site is where the job is, and when the fault was reported there.
type Site struct {
	Text     string  `json:"text,omitempty"`        // address as given
	Lat      Decimal `json:"lat,omitzero"`          // degrees, north positive
	Lon      Decimal `json:"lon,omitzero"`          // degrees, east positive
	Reported string  `json:"reported_at,omitempty"` // local "15:04"
}

// Kind returns KindSite.
func (Site) Kind() Kind { return KindSite }

// Consent says whether the people present agreed to audio being kept.
type Consent struct {
	Given bool `json:"given"`
}

// Kind returns KindConsent.
func (Consent) Kind() Kind { return KindConsent }

// Note is free text. Rough marks words from the general recogniser.
type Note struct {
	Text  string `json:"text"`
	Rough bool   `json:"rough,omitempty"`
}

// Kind returns KindNote.
func (Note) Kind() Kind { return KindNote }

// Correction supersedes earlier entries. Verbs: scratch (Count entries, or
// Entry), change (the fields given, in Entry or the last one they fit),
// confirm (Entry was unconfirmed and is right). With At it puts a time right:
// of the last mark of that name, or of the last one.
type Correction struct {
	Verb        string   `json:"verb"`
	Count       int      `json:"count,omitempty"`
	Entry       int64    `json:"entry,omitempty"` // the record's seq, where one was named
	Point       *Point   `json:"point,omitempty"`
	Verdict     Verdict  `json:"verdict,omitempty"`
	Level       Decimal  `json:"level_dbm,omitzero"`
	Strength    Decimal  `json:"strength,omitzero"`
	MER         Decimal  `json:"mer_db,omitzero"`
	Volts       Decimal  `json:"volts,omitzero"`
	NoSignal    bool     `json:"no_signal,omitempty"`
	Slot        int      `json:"slot,omitempty"`
	Transponder int      `json:"transponder,omitempty"`
	Polarity    string   `json:"polarity,omitempty"`
	Unit        string   `json:"unit,omitempty"`
	Said        Decimal  `json:"said,omitzero"`
	Mark        string   `json:"mark,omitempty"` // which time mark is put right
	At          string   `json:"at,omitempty"`   // the time it was: local "15:04"
	Remark      string   `json:"remark,omitempty"`
	Assumed     []string `json:"assumed,omitempty"`

	// Replace holds entries that take the place of Entry whole: what the review
	// page stores when a phrase is typed again.
	Replace []Entry `json:"-"`
}

// Kind returns KindCorrection.
func (Correction) Kind() Kind { return KindCorrection }

// Question asks the tool something: next fault read_back missing margin aim
// history explain words day.
type Question struct {
	Question string `json:"question"`
	Point    *Point `json:"point,omitempty"`
	Slot     int    `json:"slot,omitempty"`
}

// Kind returns KindQuestion.
func (Question) Kind() Kind { return KindQuestion }

// Unparsed keeps a phrase that was not understood, whole, with the reason.
type Unparsed struct {
	Text   string `json:"text"`
	Reason string `json:"reason"`
}

// Kind returns KindUnparsed.
func (Unparsed) Kind() Kind { return KindUnparsed }

// Photo is a photograph attached to the job: a file kept by its SHA-256.
type Photo struct {
	SHA256 string `json:"sha256"`
	Name   string `json:"name"`
	At     *Point `json:"at,omitempty"`
	Remark string `json:"remark,omitempty"`
}

// Kind returns KindPhoto.
func (Photo) Kind() Kind { return KindPhoto }

// Closeout remembers that a closeout was made, with the head it printed.
type Closeout struct {
	Head   string `json:"head"`   // hex SHA-256 of the chain's head then
	Count  int64  `json:"count"`  // records then
	Format string `json:"format"` // "pdf", "json" …
}

// Kind returns KindCloseout.
func (Closeout) Kind() Kind { return KindCloseout }

// Purge says that the sound of an entry was deleted; the entry stays.
type Purge struct {
	Entry int64  `json:"entry"`
	Clip  string `json:"clip"` // hex SHA-256
}

// Kind returns KindPurge.
func (Purge) Kind() Kind { return KindPurge }

// Import says that a recording, or a file of typed notes, was taken in after
// the fact: once when it begins, once more (Done) when all of it was taken.
type Import struct {
	SHA256 string `json:"sha256"` // of the file
	Name   string `json:"name"`
	Done   bool   `json:"done,omitempty"`
}

// Kind returns KindImport.
func (Import) Kind() Kind { return KindImport }

// Control steers the hands-free dialogue; it is never stored. Verbs: hold (wait
// for the rest of what was begun), never_mind (drop it), pause
// resume repeat louder softer slower faster stop.
type Control struct {
	Verb string `json:"verb"`
}

// Kind returns KindControl.
func (Control) Kind() Kind { return KindControl }

// Answer answers a question of the tool; it is never stored. One of the
// fields is set: Yes or No, a Choice ("the first", "output two"), a Value
// ("minus sixty one" by itself), a Verdict or a Point by itself.
type Answer struct {
	Yes     bool    `json:"yes,omitempty"`
	No      bool    `json:"no,omitempty"`
	Choice  int     `json:"choice,omitempty"` // from 1
	Value   Decimal `json:"value,omitzero"`
	Verdict Verdict `json:"verdict,omitempty"`
	Point   *Point  `json:"point,omitempty"`
	Both    bool    `json:"both,omitempty"`
	Neither bool    `json:"neither,omitempty"`
	Unknown bool    `json:"unknown,omitempty"` // "I don't know"
}

// Kind returns KindAnswer.
func (Answer) Kind() Kind { return KindAnswer }

func AddNote(list []string, note string) []string {
	if note == "" {
		return list
	}
	for _, have := range list {
		if have == note {
			return list
		}
	}
	return append(list, note)
}
