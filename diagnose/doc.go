// Package diagnose turns entries into conclusions: the signal path, expected
// levels, verdicts, brackets, suspects, the next point, and the plan of the
// call. It is pure: records in, value out; no database, no clock, no files.
package diagnose
