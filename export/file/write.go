package file

import (
	"bytes"
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
	ErrOther   = errors.New("what lies there is of another kind, and is not overwritten even by force: choose another name")
)

// FileOptions say what WriteFile may do.
type FileOptions struct {
	// Force lets a file take the place of an older one of the same kind: of
	// one that begins alike. Nothing else is ever overwritten.
	Force bool

	// Inputs are files that must never be overwritten, and folders in which
	// nothing may be, force or not.
	Inputs []string
}

// Progress is told how many of the parts of a long export are done. It may be nil.
type Progress func(done, total int)

func (p Progress) Tell(done, total int) {
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
	if err := write(CtxWriter{ctx, tmp}); err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	if err := ctx.Err(); err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	if err := errors.Join(tmp.Sync(), tmp.Close()); err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	if err := mayReplace(tmp.Name(), path); err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	if err := take(tmp.Name(), path, o.Force); err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	return SyncFolder(dir)
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
		inside := e == nil && other.IsDir() && sameFile(filepath.Dir(path), other)
		if same(path, in) || inside || err == nil && e == nil && os.SameFile(info, other) {
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

func sameFile(path string, other os.FileInfo) bool {
	info, err := os.Stat(path)
	return err == nil && os.SameFile(info, other)
}

// mayReplace reports that a file may take a path: nothing is there, or a
// plain file that is empty or of the same kind. A link, a pipe and a device
// are none.
func mayReplace(tmp, path string) error {
	if _, err := os.Lstat(path); errors.Is(err, os.ErrNotExist) {
		return nil
	}
	old, err := beginning(path)
	if err != nil {
		return fmt.Errorf("%w (%w)", ErrOther, err)
	}
	fresh, err := beginning(tmp)
	if err != nil {
		return err
	}
	if len(old) > 0 && fileKind(old) != fileKind(fresh) {
		return ErrOther
	}
	return nil
}

// beginning is the first part of a plain file.
func beginning(path string) ([]byte, error) {
	f, err := OpenPlain(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, 512))
}

// fileKind tells files apart by how they begin: the published signatures of
// binary forms (ISO 32000-1, 7.5.2; APPNOTE.TXT 4.3.7; Apache Parquet), and of
// text the first name in it, which is a table's first column or a document's
// first member.
func fileKind(b []byte) string {
	for _, magic := range []string{"%PDF-", "PK\x03\x04", "PAR1", "RIFF", "<svg", "<?xml"} {
		if bytes.HasPrefix(b, []byte(magic)) {
			return magic
		}
	}
	b = bytes.TrimLeft(b, "\ufeff{[ \r\n\t")
	if i := bytes.IndexAny(b, ",:;\r\n"); i >= 0 {
		b = b[:i]
	}
	return string(b)
}

func same(a, b string) bool {
	x, err1 := filepath.Abs(a)
	y, err2 := filepath.Abs(b)
	return err1 == nil && err2 == nil && x == y
}

// CtxWriter fails once its context is done.
type CtxWriter struct {
	Ctx context.Context
	W   io.Writer
}

func (c CtxWriter) Write(p []byte) (int, error) {
	if err := c.Ctx.Err(); err != nil {
		return 0, err
	}
	return c.W.Write(p)
}

var errNotPlain = errors.New("it is not a plain file")

// OpenPlain opens a plain file to read. It follows no link and waits for
// nothing: a pipe in its place is an error.
func OpenPlain(path string) (*os.File, error) {
	f, err := openNoFollow(path)
	if err != nil {
		return nil, err
	}
	info, err := f.Stat()
	if err == nil && !info.Mode().IsRegular() {
		err = errNotPlain
	}
	if err != nil {
		f.Close()
		return nil, err
	}
	return f, nil
}

// exchangeByThree lets two names change places by way of a third.
func exchangeByThree(a, b string) error {
	aside := a + ".old"
	if err := os.Rename(b, aside); err != nil {
		return err
	}
	if err := os.Rename(a, b); err != nil {
		return errors.Join(err, os.Rename(aside, b))
	}
	return os.Rename(aside, a)
}
