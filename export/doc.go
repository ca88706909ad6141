// Package export turns conclusions into records: the closeout of a job, the
// week's pay, the month's quality, and the rows that an office keeps.
//
// Everything starts from one value. [NewCloseout] computes a [Closeout] once
// from the records of a job and what was concluded from them; the writers
// (JSON, PDF, CSV, text, figures, the archive folder) only render it, and
// [NewPay], [NewQuality] and the office writers read closeouts and nothing
// else. So all readers of a job see the same facts.
//
// The package has no clock: as-of times are handed in, and the same input
// gives the same bytes. It decides nothing about money owed or about a
// person: pay figures are check figures, quality figures carry their
// definition and their uncertainty.
package export
