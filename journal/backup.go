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
	"strings"
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

func (j *Journal) backup(ctx context.Context, dst string) (r Report, err error) {
	if err := j.mayBackUpTo(dst); err != nil {
		return r, err
	}
	dir := filepath.Dir(dst)
	f, err := os.CreateTemp(dir, ".backup-*") // mode 0600
	if err != nil {
		return r, err
	}
	temp := f.Name()
	defer removeDatabase(temp)
	if err := f.Close(); err != nil {
		return r, err
	}
	if err := j.copyDatabase(ctx, temp); err != nil {
		return r, err
	}
	clips, photos := clipsOf(temp), photosOf(temp)
	defer func() {
		if err != nil {
			err = errors.Join(err, clips.discard(), photos.discard())
		}
	}()
	if err := errors.Join(j.clips.copyTo(clips), j.photos.copyTo(photos)); err != nil {
		return r, err
	}
	r, err = verifyCopy(ctx, temp, clips, photos, Options{Damaged: true, Now: j.now})
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
	// The copy itself comes last: with its name, all of it is there.
	if clips, err = clips.moveTo(clipsOf(dst)); err != nil {
		return r, err
	}
	if photos, err = photos.moveTo(photosOf(dst)); err != nil {
		return r, err
	}
	if err := renameNew(temp, dst); err != nil {
		return r, err
	}
	return r, syncPath(dir)
}

// mayBackUpTo reports that nothing lies at dst, nor under the names that
// belong to it: a log left there would be taken for that of the copy
// (sqlite.org/howtocorrupt.html, section 1.4), and a folder may be somebody's.
func (j *Journal) mayBackUpTo(dst string) error {
	for _, suffix := range []string{"", "-wal", "-shm", "-journal", "-clips", "-photos"} {
		if _, err := os.Lstat(dst + suffix); err == nil {
			return fmt.Errorf("%w: %s; choose another name, nothing is overwritten", fs.ErrExist, dst+suffix)
		}
	}
	dir := filepath.Dir(dst)
	info, err := os.Stat(dir)
	if err != nil || !info.IsDir() {
		return fmt.Errorf("%w: make the folder %s first", fs.ErrNotExist, dir)
	}
	for _, own := range []string{j.clips.dir, j.photos.dir} {
		if other, err := os.Stat(own); err == nil && os.SameFile(info, other) {
			return fmt.Errorf("%s is the journal's own folder; choose another", dir)
		}
	}
	here, err := os.Stat(filepath.Dir(j.path))
	if err == nil && os.SameFile(info, here) && strings.HasPrefix(filepath.Base(dst), filepath.Base(j.path)+"-") {
		return fmt.Errorf("names that begin with %s- are the journal's own; choose another", filepath.Base(j.path))
	}
	return nil
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
