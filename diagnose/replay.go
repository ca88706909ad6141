package diagnose

import "downlead/journal"

// Replay turns what counts of a job's records into a Call.
func Replay(records []journal.Record) Call { return Call{} }
