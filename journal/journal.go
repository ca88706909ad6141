package journal

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"time"
)

// Journal is an open journal file. It is safe for concurrent use, and several
// processes may have one file open.
type Journal struct {
	path  string // with no symbolic link in it
	now   func() time.Time
	zones zones

	version    int    // of the schema
	technician string // whose entries these are, where a draft does not say

	clips, photos store

	mu      sync.Mutex // one append at a time; others wait here and not in SQLite
	writer  *sql.DB    // nil when read-only
	conn    *sql.Conn  // the writer's one connection
	closed  bool
	drawn   drawn // what is known to be in the tables of jobs and words
	readers *sql.DB
	stat    func() error // ErrMoved when the open file is no longer the one at path
}

// Options of Open.
type Options struct {
	Create   bool             // make the file and its folder where they are missing
	ReadOnly bool             // refuse appends; no lock is taken
	Now      func() time.Time // the clock, for drafts without a time and findings about jumps; nil means time.Now

	// Damaged opens, to read, what Open would refuse as not intact, so that
	// Verify can say what is wrong. It implies ReadOnly.
	Damaged bool

	// Repair opens, to write, what Open would refuse as not intact, for Redraw.
	Repair bool

	// Technician is who makes the entries: it stands in every record appended
	// that names nobody else. "" leaves it out.
	Technician string

	// Wait is how long to wait for another process that is writing; 0 means
	// five seconds.
	Wait time.Duration
}

// defaultWait is far longer than any append takes and short enough to be
// waited out by a person: a judgement, no source.
const defaultWait = 5 * time.Second

// maxVersion is more than any program of ours will reach: a version above it
// was not written by one. A judgement.
const maxVersion = 9999

// tail is how many of the last records Open checks: a fixed number, so that a
// journal of any size opens at once. A judgement, no source.
const tail = 64

// Open opens the journal at path. A symbolic link is followed, so that the
// files beside the journal are beside the real one. Errors: ErrNotFound,
// ErrForeign, ErrNewer, ErrBusy, ErrNotIntact, ErrReadOnly.
func Open(ctx context.Context, path string, o Options) (*Journal, error) {
	j, err := open(ctx, path, o)
	if err != nil {
		return nil, fmt.Errorf("open journal %s: %w", path, err)
	}
	return j, nil
}

func open(ctx context.Context, path string, o Options) (*Journal, error) {
	o.ReadOnly = o.ReadOnly || o.Damaged
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Wait == 0 {
		o.Wait = defaultWait
	}
	path, err := locate(ctx, path, o.Create && !o.ReadOnly)
	if err != nil {
		return nil, err
	}
	if err := checkOurs(ctx, path); err != nil {
		return nil, err
	}
	tighten(path)
	j := &Journal{path: path, now: o.Now, technician: o.Technician, clips: clipsOf(path), photos: photosOf(path)}
	if o.ReadOnly {
		j.readers = openReaders(path, o.Wait, unwritable(path))
	} else {
		if err := checkWritable(path); err != nil {
			return nil, err
		}
		// Only the writer may recover a log that a crash left, so it comes first.
		j.writer = openWriter(path, o.Wait)
		j.readers = openReaders(path, o.Wait, false)
	}
	if err := j.start(ctx, o); err != nil {
		j.Close()
		return nil, err
	}
	return j, nil
}

// start brings an open file up to date and checks it.
func (j *Journal) start(ctx context.Context, o Options) error {
	db := j.readers
	if j.writer != nil {
		db = j.writer
	}
	v, err := userVersion(ctx, db)
	switch {
	case err != nil:
		return err
	case v < 0 || v > maxVersion:
		return fmt.Errorf("%w: it says it is of version %d", ErrForeign, v)
	case v > len(migrations):
		return fmt.Errorf("%w: its version is %d and this program knows %d; install the newer program", ErrNewer, v, len(migrations))
	case v == 0 && j.writer == nil:
		return fmt.Errorf("%w: it holds nothing yet; open it once to write", ErrReadOnly)
	case v < len(migrations) && j.writer == nil: // read as it is
	case v < len(migrations):
		if err := migrate(ctx, j.writer); err != nil {
			return err
		}
		v = len(migrations)
	}
	j.version = v
	if j.writer != nil {
		if j.conn, err = j.writer.Conn(ctx); err != nil {
			return explain(err)
		}
	}
	if j.stat, err = watchFiles(j.path, j.writer != nil); err != nil {
		return err
	}
	if o.Damaged || o.Repair {
		return nil
	}
	if err := checkSchema(ctx, j.readers); err != nil {
		return err
	}
	return j.checkTail(ctx)
}

// checkTail checks the last records, where a crash would show.
func (j *Journal) checkTail(ctx context.Context) error {
	_, last, err := j.Head(ctx)
	if err != nil {
		return err
	}
	_, err = j.records(ctx, "WHERE r.seq > ? ORDER BY r.seq", last-tail)
	return err
}

// Close closes the journal; closing it again does nothing. The readers go
// first: the last to leave writes the log back into the file, which a reader
// cannot.
func (j *Journal) Close() error {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.closed {
		return nil
	}
	j.closed = true
	err := j.readers.Close()
	if j.conn != nil {
		err = errors.Join(err, j.conn.Close())
	}
	if j.writer != nil {
		err = errors.Join(err, j.writer.Close())
	}
	return explain(err)
}

// locate returns the real path of the journal, made if asked for.
func locate(ctx context.Context, path string, create bool) (string, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	info, err := os.Lstat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist) && create:
		if err := createFile(ctx, path); err != nil && !errors.Is(err, fs.ErrExist) {
			return "", err
		}
	case errors.Is(err, fs.ErrNotExist):
		return "", ErrNotFound
	case err != nil:
		return "", err
	case info.IsDir():
		return "", fmt.Errorf("%w: it is a folder", ErrForeign)
	}
	real, err := filepath.EvalSymlinks(path)
	if errors.Is(err, fs.ErrNotExist) {
		return "", fmt.Errorf("%w: it is a symbolic link to a file that is gone", ErrNotFound)
	}
	return real, err
}

// createFile makes an empty journal under another name and gives it its own
// when it is whole, so that no crash and no second process ever sees half of one.
func createFile(ctx context.Context, path string) error {
	dir := filepath.Dir(path)
	if err := makeFolder(dir); err != nil {
		return err
	}
	for _, suffix := range []string{"-wal", "-journal"} {
		// It may hold entries, and would be taken for the new journal's.
		if info, err := os.Lstat(path + suffix); err == nil && info.Size() > 0 {
			return fmt.Errorf("%w, but the log of one (%s): put the journal back beside it, or move the log away", ErrNotFound, path+suffix)
		}
	}
	f, err := os.CreateTemp(dir, ".new-*") // mode 0600
	if err != nil {
		return err
	}
	defer removeDatabase(f.Name()) // gone already when all went well
	if err := f.Close(); err != nil {
		return err
	}
	db := openWriter(f.Name(), defaultWait)
	err = migrate(ctx, db)
	if err := errors.Join(err, db.Close()); err != nil {
		return explain(err)
	}
	if err := syncPath(f.Name()); err != nil {
		return err
	}
	if err := renameNew(f.Name(), path); err != nil {
		return err
	}
	return syncPath(dir)
}
