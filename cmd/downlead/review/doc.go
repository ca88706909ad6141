// Package review serves the journal as a page on this machine alone, for the
// look after the call: what was heard, is it right, what is missing, send it.
//
// Serve is the whole of it. The page is plain HTML and forms: the one script
// adds live updates and the check of a phrase while it is typed, and
// everything works without it. Reading a page changes nothing; every change
// is a new entry in the journal, the same that the phrase would have made.
//
// The package concludes nothing and makes no records: conclusions come from
// diagnose, records from the functions in Config.
package review
