package record

import "downlead/grammar/entry"

// MovedTo is the number that a job's entries were put under, as the job was begun
// under a wrong one; "" where it stands by itself. Such a job is no job of its
// own: it is neither judged nor paid. current is of Current, in order.
func MovedTo(current []Record) string {
	to := ""
	for i := range current {
		if j, ok := current[i].Entry.(entry.Job); ok {
			switch j.Verb {
			case "rename":
				to = j.Number
			case "reopen":
				to = ""
			}
		}
	}
	return to
}
