package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"downlead/export/file"
)

// OutFile is a file to write; none where the name is "".
type OutFile struct {
	Name  string
	Write func(io.Writer) error
}

// OwnFiles are the files and folders that no record is written over or into.
func (e *Env) OwnFiles(g *Global) []string {
	var list []string
	for _, suffix := range []string{"", "-wal", "-shm", "-clips", "-photos"} {
		list = append(list, e.JournalPath(g)+suffix)
	}
	return append(list, e.ConfigFolder())
}

// WriteFiles writes files, each whole or not at all, never over the journal.
func (e *Env) WriteFiles(ctx context.Context, g *Global, force bool, files []OutFile) ([]string, error) {
	o := file.FileOptions{Force: force, Inputs: e.OwnFiles(g)}
	var wrote []string
	for _, f := range files {
		if f.Name == "" {
			continue
		}
		if err := file.WriteFile(ctx, f.Name, o, f.Write); err != nil {
			return wrote, err
		}
		wrote = append(wrote, f.Name)
		if !g.Quiet {
			fmt.Fprintln(e.Err, "written:", f.Name)
		}
	}
	return wrote, nil
}

// Progress shows how far a long export is, on a terminal alone; a total of 0
// takes the line away.
func (e *Env) Progress(g *Global, what string, done, total int) {
	switch {
	case !e.ErrTTY || g.Quiet:
	case total == 0:
		fmt.Fprint(e.Bar, "\r\033[K")
	default:
		fmt.Fprintf(e.Bar, "\r%s: %d of %d", what, done, total)
	}
}

// PlainFile reports what is no plain file: reading a pipe or a device would
// wait, perhaps for ever, or never end.
func PlainFile(path string) error {
	info, err := os.Stat(path)
	if err == nil && !info.Mode().IsRegular() {
		err = fmt.Errorf("%s is not a plain file", path)
	}
	return err
}

// ReplaceFile makes a file of the program's own from these bytes, all of it or
// nothing, for its owner's eyes alone. An older one is replaced whatever it
// holds; a record for others is written by file.WriteFile.
func ReplaceFile(path string, b []byte) error {
	tmp, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*.part")
	if err != nil {
		return err
	}
	defer os.Remove(tmp.Name()) //nolint:errcheck // it is gone when it got its name
	_, err = tmp.Write(b)
	if err := errors.Join(err, tmp.Sync(), tmp.Close()); err != nil {
		return err
	}
	return os.Rename(tmp.Name(), path)
}
