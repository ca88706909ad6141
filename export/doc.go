// Package export turns conclusions into records: the closeout, pay, quality,
// and the archive.
package export
