package diagnose

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
)

var modeNames = []string{ModeFlat, ModeTilt, ModeOpen, ModeIntermittent, ModeDropout, ModeMisaligned, ModePolarity}

// The zones an element may be reached in.
const (
	zoneRoom    = "room"
	zoneOutside = "outside"
	zoneRoof    = "roof"
)
