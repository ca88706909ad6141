package diagnose

import (
	"downlead/grammar"
	"downlead/journal"
)

// Options of Diagnose. The zero value means the built-in tables and priors.
type Options struct {
	Tables  *Tables            // losses, spreads, priors, minutes; nil means the built-in ones
	Learned []journal.Record   // records of earlier closed jobs to learn priors from
	History [][]journal.Record // earlier jobs at the same site, oldest first
	At      *grammar.Point     // where the technician stands; nil means the last point measured
}
