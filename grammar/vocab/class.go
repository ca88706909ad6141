package vocab

// Class is what a word, or a number, is to the grammar: a token type, or a hint
// that a rule asks for. The grammar names classes only, never words.
type Class int

const (
	Unknown Class = iota + 1
	Filler

	// Number words; the lexer joins them into the number classes below.
	Zero
	Digit
	Teen
	Tens
	Hundred
	Point
	Minus
	Numeral // typed digits that are none of the above

	// Units.
	UnitDBm
	UnitFeet
	UnitVolts
	UnitPercent
	UnitDegrees
	UnitMiles
	UnitUnits
	Way

	// Numbers, joined, with the unit that made them.
	Level       // dBm
	BareLevel   // dBm, said without the sign
	Length      // feet
	Volts       // volts
	TypedVolts  // volts of one digit
	Share       // percent
	Distance    // miles
	UnitCount   // "two units"
	Ways        // "two way"
	Index       // which one: after an element, an output, a bedroom
	Channel     // transponder
	Orbit       // orbital slot
	Score       // strength, error ratio, threshold
	Limit       // threshold, after its slot
	Tension     // after "voltage"
	Warmth      // temperature
	Digits      // an identifier, digit by digit
	CodeDigits  // a work code, digit by digit
	Count       // how many
	EntryNumber // which entry
	Figure      // a number by itself: an answer, never a statement

	// Places.
	Element
	Cable
	CableType
	Side
	Output
	Behind
	In
	On
	At
	Between
	After
	From
	To
	And
	For
	Room
	Numbered // a room that has a number: bedroom two

	// What the meter shows.
	Verdict
	NoSignal
	Strength
	MER
	Voltage
	NoVolts
	Slot
	Transponder
	Polarity

	// The job.
	Path
	Threshold
	Floor
	Temperature
	Weather
	Action
	Used
	Item
	Check
	DishCheck // "dish" as the name of a check
	InputTest
	Done
	NA
	Remark
	Time
	Drove
	Code
	CodeName
	JobStart
	JobComplaint
	Trouble
	JobClose
	JobReopen
	Site
	Location
	Reported
	Consent
	Note
	Text // free words

	// The talk.
	Scratch
	Last
	Entry
	Correct
	Confirm
	Question
	Margin
	Aim
	Control
	Yes
	No
	Ordinal
	Condition // of what is seen: wet, loose
	Symptom
	When // a circumstance of a symptom
	Outcome
	UnitUV // dBuV
	UnitMV // dBmV
	LevelUV
	LevelMV
	Soft   // weak, low: no verdict, and kept as a remark
	Still  // as before
	Repair // "sorry": what follows takes the place of what was said
	Stand  // "I'm at"
	Some   // both, all, the others
	Ran    // "ran new": cable
	Put    // "put": in, on, back
	Took   // "took": out, off
	Particle
	With
	By
	Instead // "instead of": the part that another takes the place of
	Role    // who else works on a job
	New     // "new", which is a part put in
	Old     // "old", "bad": of the part that was worked on
	Bolt
	Ends
	Stuff   // what is found in or on a part: water, corrosion
	Found   // "I saw"
	Has     // "has a"
	Subject // what shows a symptom: "picture"
	Past    // a time mark of the past: it needs its time
	Was
	JobWord
	BackTo
	WrongJob
	Refused
	Thing     // "it", "one" of what was done: "plugged it in"
	Degree    // how much: "badly", "completely"
	Looked    // "checked", before what was read or seen
	Taught    // "showed the customer"
	Agent     // what did harm: "squirrels"
	Facet     // a piece of a part: "contacts"
	Fed       // "is off": where a receiver hangs
	Feeds     // "feeds": what hangs there
	Force     // how hard it rains
	Times     // "times", before units
	Street    // the last word of a street
	Tail      // what may follow miles
	Been      // "been", before what was done to a part
	Begun     // "it started", before the weather
	Unplugged // "unplugged": half of a reset
	Aside     // "finally": said of a fact, and no part of it
	Vague     // "fixed": something was done, and nobody can tell what
	Hits      // "knocked": harm that needs its outcome said
	Through   // "through", "all over": where what is found lies
	Lies      // "went", "dripping": what is found does so
	Runs      // "runs", "goes": of a cable, on the way from part to part
	Run       // "run", "stretch": cable, and where it lies
	Sits      // "sits": of a part, where it is in the path
	Before    // the dish side of
	More      // "more": a length that goes on
	About     // "about": of a length
	Often     // how often a symptom comes, or when, beyond its circumstance
	Not       // turns a statement round: never part of one, and never mended away

	// Hints: what words tell beside the class that they are read as. No token is
	// of these; Tells finds them.
	Whenever // "as soon as": before what brings a symptom on
	Handled  // "wiggle": done to a part to see whether that brings a symptom on, or going on in the house
	Came     // "dropped out": the symptom that came of something
	Comer    // "the signal": before it
	Sometime // "earlier": when something was, and no time of day
	Beside   // "just before": a time lies close to another
	NoLonger // "anymore": somebody was there before, or will be
	ToCome   // "tomorrow": behind "close job", it is put off
	Over     // "finished": a job, or what is done before leaving one
	Overall  // "everything": of how all is, and not of what

	ClassCount
)

// String returns the class's name, as it stands in the grammar.
func (c Class) String() string { return classNames[c] }

var classNames = [ClassCount]string{
	Unknown:      "Unknown",
	Filler:       "Filler",
	Zero:         "Zero",
	Digit:        "Digit",
	Teen:         "Teen",
	Tens:         "Tens",
	Hundred:      "Hundred",
	Point:        "Point",
	Minus:        "Minus",
	Numeral:      "Numeral",
	UnitDBm:      "UnitDBm",
	UnitFeet:     "UnitFeet",
	UnitVolts:    "UnitVolts",
	UnitPercent:  "UnitPercent",
	UnitDegrees:  "UnitDegrees",
	UnitMiles:    "UnitMiles",
	UnitUnits:    "UnitUnits",
	Way:          "Way",
	Level:        "Level",
	BareLevel:    "BareLevel",
	Length:       "Length",
	Volts:        "Volts",
	TypedVolts:   "TypedVolts",
	Share:        "Share",
	Distance:     "Distance",
	UnitCount:    "UnitCount",
	Ways:         "Ways",
	Index:        "Index",
	Channel:      "Channel",
	Orbit:        "Orbit",
	Score:        "Score",
	Limit:        "Limit",
	Tension:      "Tension",
	Warmth:       "Warmth",
	Digits:       "Digits",
	CodeDigits:   "CodeDigits",
	Count:        "Count",
	EntryNumber:  "EntryNumber",
	Figure:       "Figure",
	Element:      "Element",
	Cable:        "Cable",
	CableType:    "CableType",
	Side:         "Side",
	Output:       "Output",
	Behind:       "Behind",
	In:           "In",
	On:           "On",
	At:           "At",
	Between:      "Between",
	After:        "After",
	From:         "From",
	To:           "To",
	And:          "And",
	For:          "For",
	Room:         "Room",
	Numbered:     "Numbered",
	Verdict:      "Verdict",
	NoSignal:     "NoSignal",
	Strength:     "Strength",
	MER:          "MER",
	Voltage:      "Voltage",
	NoVolts:      "NoVolts",
	Slot:         "Slot",
	Transponder:  "Transponder",
	Polarity:     "Polarity",
	Path:         "Path",
	Threshold:    "Threshold",
	Floor:        "Floor",
	Temperature:  "Temperature",
	Weather:      "Weather",
	Action:       "Action",
	Used:         "Used",
	Item:         "Item",
	Check:        "Check",
	DishCheck:    "DishCheck",
	InputTest:    "InputTest",
	Done:         "Done",
	NA:           "NA",
	Remark:       "Remark",
	Time:         "Time",
	Drove:        "Drove",
	Code:         "Code",
	CodeName:     "CodeName",
	JobStart:     "JobStart",
	JobComplaint: "JobComplaint",
	Trouble:      "Trouble",
	JobClose:     "JobClose",
	JobReopen:    "JobReopen",
	Site:         "Site",
	Location:     "Location",
	Reported:     "Reported",
	Consent:      "Consent",
	Note:         "Note",
	Text:         "Text",
	Scratch:      "Scratch",
	Last:         "Last",
	Entry:        "Entry",
	Correct:      "Correct",
	Confirm:      "Confirm",
	Question:     "Question",
	Margin:       "Margin",
	Aim:          "Aim",
	Control:      "Control",
	Yes:          "Yes",
	No:           "No",
	Ordinal:      "Ordinal",
	Condition:    "Condition",
	Symptom:      "Symptom",
	When:         "When",
	Outcome:      "Outcome",
	UnitUV:       "UnitUV",
	UnitMV:       "UnitMV",
	LevelUV:      "LevelUV",
	LevelMV:      "LevelMV",
	Soft:         "Soft",
	Still:        "Still",
	Repair:       "Repair",
	Stand:        "Stand",
	Some:         "Some",
	Ran:          "Ran",
	Put:          "Put",
	Took:         "Took",
	Particle:     "Particle",
	With:         "With",
	By:           "By",
	Instead:      "Instead",
	Role:         "Role",
	New:          "New",
	Old:          "Old",
	Bolt:         "Bolt",
	Ends:         "Ends",
	Stuff:        "Stuff",
	Found:        "Found",
	Has:          "Has",
	Subject:      "Subject",
	Past:         "Past",
	Was:          "Was",
	JobWord:      "JobWord",
	BackTo:       "BackTo",
	WrongJob:     "WrongJob",
	Refused:      "Refused",
	Thing:        "Thing",
	Degree:       "Degree",
	Looked:       "Looked",
	Taught:       "Taught",
	Agent:        "Agent",
	Facet:        "Facet",
	Fed:          "Fed",
	Feeds:        "Feeds",
	Force:        "Force",
	Times:        "Times",
	Often:        "Often",
	Street:       "Street",
	Tail:         "Tail",
	Been:         "Been",
	Begun:        "Begun",
	Unplugged:    "Unplugged",
	Aside:        "Aside",
	Vague:        "Vague",
	Hits:         "Hits",
	Through:      "Through",
	Lies:         "Lies",
	Runs:         "Runs",
	Run:          "Run",
	Sits:         "Sits",
	Before:       "Before",
	More:         "More",
	About:        "About",
	Not:          "Not",
	Whenever:     "Whenever",
	Handled:      "Handled",
	Came:         "Came",
	Comer:        "Comer",
	Sometime:     "Sometime",
	Beside:       "Beside",
	NoLonger:     "NoLonger",
	ToCome:       "ToCome",
	Over:         "Over",
	Overall:      "Overall",
}
