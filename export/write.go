package export

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// Errors of WriteFile and WriteArchive that a caller branches on.
var (
	ErrExists  = errors.New("it exists already: choose another name, or overwrite it by force")
	ErrIsInput = errors.New("it is also an input: choose another name")
)

// FileOptions say what WriteFile may do.
type FileOptions struct {
	Force  bool     // overwrite a file that exists
	Inputs []string // files that must never be overwritten, force or not
}

// Progress is told how many of the parts of a long export are done. It may be nil.
type Progress func(done, total int)

func (p Progress) tell(done, total int) {
	if p != nil {
		p(done, total)
	}
}

// WriteFile makes the file at path from what write writes, all of it or
// nothing: the bytes go to a temporary file in the same folder, which is
// synced and then takes the name. On an error, and when ctx is cancelled,
// nothing is left behind and an older file is untouched.
func WriteFile(ctx context.Context, path string, o FileOptions, write func(io.Writer) error) (err error) {
	if err := mayWrite(path, o); err != nil {
		return err
	}
	dir, base := filepath.Split(path)
	if dir == "" {
		dir = "."
	}
	tmp, err := os.CreateTemp(dir, "."+base+".*.part")
	if err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	defer func() {
		tmp.Close()
		if e := os.Remove(tmp.Name()); e != nil && err == nil && !errors.Is(e, os.ErrNotExist) {
			err = fmt.Errorf("write %s: %w", path, e)
		}
	}()
	if err := write(ctxWriter{ctx, tmp}); err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	if err := ctx.Err(); err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	if err := errors.Join(tmp.Sync(), tmp.Close()); err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	if err := take(tmp.Name(), path, o.Force); err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	return syncFolder(dir)
}

// take gives a finished file its name. Without force a hard link does it,
// which fails where the name was taken in the meantime.
func take(tmp, path string, force bool) error {
	if force {
		return os.Rename(tmp, path)
	}
	err := os.Link(tmp, path)
	switch {
	case errors.Is(err, os.ErrExist):
		return ErrExists
	case err == nil:
		return nil
	}
	if _, e := os.Lstat(path); e == nil { // a file system without links
		return ErrExists
	}
	return os.Rename(tmp, path)
}

func mayWrite(path string, o FileOptions) error {
	info, err := os.Stat(path)
	for _, in := range o.Inputs {
		other, e := os.Stat(in)
		if same(path, in) || err == nil && e == nil && os.SameFile(info, other) {
			return fmt.Errorf("write %s: %w", path, ErrIsInput)
		}
	}
	switch {
	case err == nil && info.IsDir():
		return fmt.Errorf("write %s: it is a folder: name a file", path)
	case err == nil && !o.Force:
		return fmt.Errorf("write %s: %w", path, ErrExists)
	}
	return nil
}

func same(a, b string) bool {
	x, err1 := filepath.Abs(a)
	y, err2 := filepath.Abs(b)
	return err1 == nil && err2 == nil && x == y
}

func syncFolder(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return fmt.Errorf("sync folder: %w", err)
	}
	defer d.Close()
	if err := d.Sync(); err != nil {
		return fmt.Errorf("sync folder %s: %w", dir, err)
	}
	return nil
}

// ctxWriter fails once its context is done.
type ctxWriter struct {
	ctx context.Context
	w   io.Writer
}

func (c ctxWriter) Write(p []byte) (int, error) {
	if err := c.ctx.Err(); err != nil {
		return 0, err
	}
	return c.w.Write(p)
}
