package journal

import (
	"downlead/journal/record"
)

// Canonical returns the text of a record that its hash is taken of, so that a
// copy outside the journal can be checked by any program:
// Hash = SHA-256(Prev || Canonical). The text is written anew and not checked
// against Hash: that of a record which Current corrected does not fit it.
func Canonical(r record.Record) ([]byte, error) { return encode(r.Seq, &r.Draft) }
