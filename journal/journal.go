package journal

import (
	"context"
	"errors"
	"time"
)

// Journal is an open journal file.
type Journal struct{}

// Options of Open.
type Options struct {
	Create   bool             // make the file and its folder where they are missing
	ReadOnly bool             // refuse appends; no lock is taken
	Now      func() time.Time // the clock, for findings about jumps; nil means time.Now
}

// Errors that a caller branches on.
var (
	ErrNotFound  = errors.New("no journal there")
	ErrForeign   = errors.New("the file is not a journal of this program")
	ErrNewer     = errors.New("the journal was made by a newer version")
	ErrBusy      = errors.New("the journal is busy")
	ErrNotIntact = errors.New("the journal is not intact")
	ErrNoJob     = errors.New("no such job")
)

// Open opens the journal at path.
func Open(ctx context.Context, path string, o Options) (*Journal, error) { return nil, ErrNotFound }

// Close closes the journal.
func (j *Journal) Close() error { return nil }

// Append stores drafts in one transaction and returns them as records, after
// the commit has reached the disk.
func (j *Journal) Append(ctx context.Context, drafts ...Draft) ([]Record, error) { return nil, nil }

// Job returns the records of a job, in order of seq.
func (j *Journal) Job(ctx context.Context, number string) ([]Record, error) { return nil, nil }

// Jobs returns all jobs, the newest first.
func (j *Journal) Jobs(ctx context.Context) ([]Summary, error) { return nil, nil }

// Head returns the chain's head and the number of records.
func (j *Journal) Head(ctx context.Context) (Hash, int64, error) { return Hash{}, 0, nil }

// View replays records: corrections are applied in order, nothing is dropped.
// What counts now are the elements with SupersededBy == 0 that are neither
// corrections nor unconfirmed.
func View(records []Record) []Viewed { return nil }

// Current returns the records of a view that count now, corrected.
func Current(records []Record) []Record { return nil }
