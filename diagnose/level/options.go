package level

import (
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// Options of Diagnose. The zero value means the built-in tables and priors.
type Options struct {
	Tables  *Tables           // losses, spreads, priors, minutes; nil means the built-in ones
	Learned []record.Record   // records of earlier closed jobs to learn priors from
	History [][]record.Record // earlier jobs at the same site, oldest first
	At      *entry.Point      // where the technician stands; nil means the last point measured
}
