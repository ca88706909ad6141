package diagnose

import "downlead/journal"

// Diagnose concludes everything from the records of one job.
func Diagnose(records []journal.Record, o Options) Diagnosis { return Diagnosis{} }
