package journal

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
)

// checkOurs looks at a file before it is opened in earnest, so that one which
// is not ours is left as it is. It never opens the file by itself: closing a
// descriptor would drop the locks that SQLite holds on the file elsewhere in
// this process (sqlite.org/howtocorrupt.html, section 2.2). Opened as
// immutable, nothing is locked or made beside it; the application's id is in
// the main file from the beginning.
//
// Immutable also means without its log. Between the first page that a
// checkpoint writes and the last, and as long as the disk is full, the file
// alone is shorter than its header says (sqlite.org/wal.html, section 2.1;
// sqlite.org/fileformat2.html, section 1.3.7). What looks damaged so is looked
// at again with its log, as SQLite means it to be.
func checkOurs(ctx context.Context, path string) error {
	info, err := os.Stat(path)
	if err != nil {
		return err
	}
	if !info.Mode().IsRegular() {
		return fmt.Errorf("%w: it is no ordinary file", ErrForeign)
	}
	if links(path, info) > 1 {
		return fmt.Errorf("%w: the file has a second name (a hard link), and its log would be looked for under one of them only; remove the other name", ErrForeign)
	}
	if info.Size() == 0 {
		return fmt.Errorf("%w: it is empty", ErrForeign)
	}
	id, err := readID(ctx, path, url.Values{"mode": {"ro"}, "immutable": {"1"}})
	if errors.Is(err, ErrNotIntact) {
		id, err = readID(ctx, path, url.Values{"mode": {"ro"}})
	}
	if err != nil {
		return err
	}
	if id != applicationID {
		return ErrForeign
	}
	return nil
}

func readID(ctx context.Context, path string, how url.Values) (id int64, err error) {
	db := openOther(path, how)
	defer db.Close()
	err = db.QueryRowContext(ctx, "PRAGMA application_id").Scan(&id)
	return id, explain(err)
}

// watchFiles remembers which files are open and returns a check that they are
// still the ones at their paths. A commit into a file that was deleted
// meanwhile would otherwise be acknowledged and lost.
func watchFiles(path string, writing bool) (func() error, error) {
	names := []string{path}
	if writing {
		names = append(names, path+"-wal")
	}
	var known []fs.FileInfo
	for _, name := range names {
		info, err := os.Stat(name)
		if err != nil {
			return nil, err
		}
		known = append(known, info)
	}
	return func() error {
		for i, name := range names {
			info, err := os.Stat(name)
			if err != nil || !os.SameFile(known[i], info) {
				return fmt.Errorf("%w: %s; close and open it again", ErrMoved, name)
			}
		}
		return nil
	}, nil
}

// checkWritable says in words what SQLite would not: it opens a file that
// cannot be written as one to read.
func checkWritable(path string) error {
	for _, p := range []string{path, filepath.Dir(path)} {
		if err := mayWrite(p); err != nil {
			return fmt.Errorf("%w: %s cannot be written (%w)", ErrReadOnly, p, err)
		}
	}
	return nil
}

// tighten takes from the log beside a journal what rights it gives beyond
// those of the journal: SQLite makes it with the same, but one that was left
// from before the journal's were changed keeps its own, and holds entries.
func tighten(path string) {
	mode, err := fileMode(path)
	if err != nil {
		return
	}
	for _, name := range []string{path + "-wal", path + "-shm"} {
		if info, err := os.Lstat(name); err == nil && info.Mode().IsRegular() && info.Mode().Perm()&^mode != 0 {
			_ = os.Chmod(name, info.Mode().Perm()&mode) // verify tells where it cannot
		}
	}
}

// unwritable reports that nothing can be made in the folder of path and no
// log lies there, so that the file cannot change while it is read.
func unwritable(path string) bool {
	if _, err := os.Stat(path + "-wal"); err == nil {
		return false
	}
	return mayWrite(filepath.Dir(path)) != nil
}

// makeFolder makes a folder and those above it, each forced to the disk: a
// journal must not vanish with a folder whose name was never written.
func makeFolder(dir string) error {
	if info, err := os.Stat(dir); err == nil && info.IsDir() {
		return nil
	}
	if parent := filepath.Dir(dir); parent != dir {
		if err := makeFolder(parent); err != nil {
			return err
		}
	}
	if err := os.Mkdir(dir, 0o700); err != nil {
		// Another process may have made it just now.
		if info, other := os.Stat(dir); other == nil && info.IsDir() {
			return nil
		}
		return err
	}
	return syncPath(filepath.Dir(dir))
}
