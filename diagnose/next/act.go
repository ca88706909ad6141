package next

// What a next step is: the act that Next starts with.
const (
	ActRead   = "read"   // put the meter on a point
	ActRepair = "repair" // mend or replace a part
	ActStep   = "step"   // a step of the call that is neither
	ActCall   = "call"   // ask a person
)

// What to read at a point, as in Next.Read.
const (
	ReadVerdict = "verdict" // pass or fail
	ReadLevel   = "level"   // dBm
	ReadVolts   = "volts"   // the supply
	ReadSlots   = "slots"   // every orbital slot of the site
	ReadWiggle  = "wiggle"  // while moving each fitting by hand
)

// Why a step is next, as in Next.Code.
const (
	WhyBaseline  = "baseline"        // nothing has been read yet
	WhyProve     = "prove"           // a repair was made since the point was read
	WhyUnread    = "unread_receiver" // nothing that was read fails; this receiver was not read
	WhyParts     = "parts_odds"      // the reading parts the odds, by the plan of least minutes
	WhyTells     = "tells_most"      // the reading tells most for the minutes
	WhyDisagree  = "disagree"        // two readings there disagree: read again
	WhyLevel     = "level_settles"   // verdicts cannot tell more; one level can
	WhySlot      = "slot"            // one slot fails where another passes
	WhyVolts     = "volts_settle"    // the signal cannot tell more; the supply can
	WhyStress    = "stress"          // it passes and yet it comes and goes
	WhyAtFault   = "at_fault"        // the part is at fault
	WhyConfirm   = "confirm"         // much rests on one reading: read again
	WhyUndecided = "undecided"       // no reading tells more, and no part stands out
	WhyCheaper   = "cheaper_to_mend" // mending costs less than the best reading
	WhyWeak      = "weak_from_start" // every part loses what it should, and the signal is weak
	WhyTooWeak   = "too_weak"        // the same, and dish and LNB were seen to
	WhyWeather   = "weather"         // only an unsafe point would tell more
)
