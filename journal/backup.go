package journal

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"slices"
)

// Backup writes a copy of the journal to dst, which must not exist, with the
// kept clips and photographs in folders beside it. The copy has its name only
// when it is whole: it is written under another one, forced to the disk and
// verified first. To restore, put the copy and its folders where the journal
// was, under the journal's name.
//
// The report is that of verifying the copy. A clip that the journal itself has
// lost is a problem in the report and no error, as it must not keep the rest
// from being copied; anything wrong with the records is ErrNotIntact, and then
// there is no copy.
func (j *Journal) Backup(ctx context.Context, dst string) (Report, error) {
	r, err := j.backup(ctx, dst)
	if err != nil {
		return r, fmt.Errorf("back up the journal to %s: %w", dst, err)
	}
	return r, nil
}

func (j *Journal) backup(ctx context.Context, dst string) (Report, error) {
	if _, err := os.Lstat(dst); err == nil {
		return Report{}, fmt.Errorf("%w: choose another name, nothing is overwritten", fs.ErrExist)
	}
	dir := filepath.Dir(dst)
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		return Report{}, fmt.Errorf("%w: make the folder %s first", fs.ErrNotExist, dir)
	}
	f, err := os.CreateTemp(dir, ".backup-*") // mode 0600
	if err != nil {
		return Report{}, err
	}
	temp := f.Name()
	defer removeDatabase(temp)
	if err := f.Close(); err != nil {
		return Report{}, err
	}
	if err := j.copyDatabase(ctx, temp); err != nil {
		return Report{}, err
	}
	clips, photos := clipsOf(dst), photosOf(dst)
	if err := errors.Join(j.clips.copyTo(clips), j.photos.copyTo(photos)); err != nil {
		return Report{}, err
	}
	r, err := verifyCopy(ctx, temp, clips, photos, Options{Damaged: true, Now: j.now})
	if err != nil {
		return r, err
	}
	for _, p := range r.Problems {
		if p.Part != PartFiles {
			return r, &DamageError{Seq: p.Entry, What: p.What}
		}
	}
	if err := syncPath(temp); err != nil {
		return r, err
	}
	if err := renameNew(temp, dst); err != nil {
		return r, err
	}
	return r, syncPath(dir)
}

// copyDatabase writes one state of the database, whoever writes meanwhile.
func (j *Journal) copyDatabase(ctx context.Context, to string) error {
	db := openOther(j.path, url.Values{"mode": {"ro"}})
	_, err := db.ExecContext(ctx, "VACUUM INTO ?", to)
	if err := errors.Join(err, db.Close()); err != nil {
		return explain(err)
	}
	if err := syncPath(to); err != nil {
		return err
	}
	// VACUUM INTO leaves the log's mode out; a journal has it.
	w := openWriter(to, defaultWait)
	return explain(errors.Join(w.PingContext(ctx), w.Close()))
}

func verifyCopy(ctx context.Context, path string, clips, photos store, o Options) (Report, error) {
	c, err := open(ctx, path, o)
	if err != nil {
		return Report{}, err
	}
	defer c.Close()
	c.clips, c.photos = clips, photos
	return c.Verify(ctx, VerifyOptions{})
}

// removeDatabase deletes a file of ours that did not become anything.
func removeDatabase(path string) {
	for _, name := range slices.Backward([]string{path, path + "-wal", path + "-shm"}) {
		os.Remove(name)
	}
}
