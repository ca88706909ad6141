package grammar

import "github.com/alecthomas/participle/v2/lexer"

// class is what a word, or a number, is to the grammar: a token type. The
// grammar names classes only, never words.
type class lexer.TokenType

const (
	cUnknown class = iota + 1
	cFiller

	// Number words; the lexer joins them into the number classes below.
	cZero
	cDigit
	cTeen
	cTens
	cHundred
	cPoint
	cMinus
	cNumeral // typed digits that are none of the above

	// Units.
	cUnitDBm
	cUnitFeet
	cUnitVolts
	cUnitPercent
	cUnitDegrees
	cUnitMiles
	cUnitUnits
	cWay

	// Numbers, joined, with the unit that made them.
	cLevel       // dBm
	cBareLevel   // dBm, said without the sign
	cLength      // feet
	cVolts       // volts
	cTypedVolts  // volts of one digit
	cShare       // percent
	cDistance    // miles
	cUnitCount   // "two units"
	cWays        // "two way"
	cIndex       // which one: after an element, an output, a bedroom
	cChannel     // transponder
	cOrbit       // orbital slot
	cScore       // strength, error ratio, threshold
	cLimit       // threshold, after its slot
	cTension     // after "voltage"
	cWarmth      // temperature
	cDigits      // an identifier, digit by digit
	cCodeDigits  // a work code, digit by digit
	cCount       // how many
	cEntryNumber // which entry
	cFigure      // a number by itself: an answer, never a statement

	// Places.
	cElement
	cCable
	cCableType
	cSide
	cOutput
	cBehind
	cIn
	cOn
	cAt
	cBetween
	cAfter
	cFrom
	cTo
	cAnd
	cFor
	cRoom
	cNumbered // a room that has a number: bedroom two

	// What the meter shows.
	cVerdict
	cNoSignal
	cStrength
	cMER
	cVoltage
	cNoVolts
	cSlot
	cTransponder
	cPolarity

	// The job.
	cPath
	cThreshold
	cFloor
	cTemperature
	cWeather
	cAction
	cUsed
	cItem
	cCheck
	cDishCheck // "dish" as the name of a check
	cInputTest
	cDone
	cNA
	cRemark
	cTime
	cDrove
	cCode
	cCodeName
	cJobStart
	cJobComplaint
	cTrouble
	cJobClose
	cJobReopen
	cSite
	cLocation
	cReported
	cConsent
	cNote
	cText // free words

	// The talk.
	cScratch
	cLast
	cEntry
	cCorrect
	cConfirm
	cQuestion
	cMargin
	cAim
	cControl
	cYes
	cNo
	cOrdinal
	cCondition // of what is seen: wet, loose
	cSymptom
	cWhen // a circumstance of a symptom
	cOutcome
	cNot // turns a statement round: never part of one, and never mended away

	classCount
)

// String returns the class's name, as it stands in the grammar.
func (c class) String() string { return classNames[c] }

var classNames = [classCount]string{
	cUnknown:      "Unknown",
	cFiller:       "Filler",
	cZero:         "Zero",
	cDigit:        "Digit",
	cTeen:         "Teen",
	cTens:         "Tens",
	cHundred:      "Hundred",
	cPoint:        "Point",
	cMinus:        "Minus",
	cNumeral:      "Numeral",
	cUnitDBm:      "UnitDBm",
	cUnitFeet:     "UnitFeet",
	cUnitVolts:    "UnitVolts",
	cUnitPercent:  "UnitPercent",
	cUnitDegrees:  "UnitDegrees",
	cUnitMiles:    "UnitMiles",
	cUnitUnits:    "UnitUnits",
	cWay:          "Way",
	cLevel:        "Level",
	cBareLevel:    "BareLevel",
	cLength:       "Length",
	cVolts:        "Volts",
	cTypedVolts:   "TypedVolts",
	cShare:        "Share",
	cDistance:     "Distance",
	cUnitCount:    "UnitCount",
	cWays:         "Ways",
	cIndex:        "Index",
	cChannel:      "Channel",
	cOrbit:        "Orbit",
	cScore:        "Score",
	cLimit:        "Limit",
	cTension:      "Tension",
	cWarmth:       "Warmth",
	cDigits:       "Digits",
	cCodeDigits:   "CodeDigits",
	cCount:        "Count",
	cEntryNumber:  "EntryNumber",
	cFigure:       "Figure",
	cElement:      "Element",
	cCable:        "Cable",
	cCableType:    "CableType",
	cSide:         "Side",
	cOutput:       "Output",
	cBehind:       "Behind",
	cIn:           "In",
	cOn:           "On",
	cAt:           "At",
	cBetween:      "Between",
	cAfter:        "After",
	cFrom:         "From",
	cTo:           "To",
	cAnd:          "And",
	cFor:          "For",
	cRoom:         "Room",
	cNumbered:     "Numbered",
	cVerdict:      "Verdict",
	cNoSignal:     "NoSignal",
	cStrength:     "Strength",
	cMER:          "MER",
	cVoltage:      "Voltage",
	cNoVolts:      "NoVolts",
	cSlot:         "Slot",
	cTransponder:  "Transponder",
	cPolarity:     "Polarity",
	cPath:         "Path",
	cThreshold:    "Threshold",
	cFloor:        "Floor",
	cTemperature:  "Temperature",
	cWeather:      "Weather",
	cAction:       "Action",
	cUsed:         "Used",
	cItem:         "Item",
	cCheck:        "Check",
	cDishCheck:    "DishCheck",
	cInputTest:    "InputTest",
	cDone:         "Done",
	cNA:           "NA",
	cRemark:       "Remark",
	cTime:         "Time",
	cDrove:        "Drove",
	cCode:         "Code",
	cCodeName:     "CodeName",
	cJobStart:     "JobStart",
	cJobComplaint: "JobComplaint",
	cTrouble:      "Trouble",
	cJobClose:     "JobClose",
	cJobReopen:    "JobReopen",
	cSite:         "Site",
	cLocation:     "Location",
	cReported:     "Reported",
	cConsent:      "Consent",
	cNote:         "Note",
	cText:         "Text",
	cScratch:      "Scratch",
	cLast:         "Last",
	cEntry:        "Entry",
	cCorrect:      "Correct",
	cConfirm:      "Confirm",
	cQuestion:     "Question",
	cMargin:       "Margin",
	cAim:          "Aim",
	cControl:      "Control",
	cYes:          "Yes",
	cNo:           "No",
	cOrdinal:      "Ordinal",
	cCondition:    "Condition",
	cSymptom:      "Symptom",
	cWhen:         "When",
	cOutcome:      "Outcome",
	cNot:          "Not",
}
