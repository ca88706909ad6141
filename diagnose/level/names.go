package level

// The failure modes, as they stand in Suspect.Mode and in the tables. A
// suspect of several elements has their modes joined by "+".
const (
	ModeFlat         = "flat"         // loses the same at every frequency
	ModeTilt         = "tilt"         // loses more as the frequency rises
	ModeOpen         = "open"         // an open or a short: nothing passes
	ModeIntermittent = "intermittent" // a flat loss that comes and goes
	ModeDropout      = "dropout"      // an open or a short that comes and goes
	ModeMisaligned   = "misaligned"   // strength falls, level barely moves
	ModePolarity     = "polarity"     // one polarisation is lost
	ModeNoPower      = "no_power"     // passes the signal and not the supply
	ModeNoFeed       = "no_feed"      // a receiver or power inserter that does not feed the dish
	ModeInput        = "input"        // the receiver itself, behind a good coax
)

var ModeNames = []string{ModeFlat, ModeTilt, ModeOpen, ModeIntermittent, ModeDropout, ModeMisaligned, ModePolarity, ModeNoPower, ModeNoFeed, ModeInput}

// The zones an element may be reached in.
const (
	ZoneRoom    = "room"
	zoneOutside = "outside"
	ZoneRoof    = "roof"
)
