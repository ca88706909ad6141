package journal

// Canonical returns the text of a record that its hash is taken of, so that a
// copy outside the journal can be checked by any program:
// Hash = SHA-256(Prev || Canonical).
func (r Record) Canonical() ([]byte, error) { return encode(r.Seq, &r.Draft) }
