package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"golang.org/x/term"

	"downlead/diagnose/level"
	"downlead/grammar"
	"downlead/journal"
)

// env is everything a command may touch of the world outside: tests hand in
// another one.
type env struct {
	in       io.Reader
	out, err io.Writer
	bar      io.Writer // standard error as it is, for how far something is
	inTTY    bool      // a person types
	inFile   *os.File  // the terminal that they type on; nil where it is none
	outTTY   bool      // a person reads
	errTTY   bool
	now      func() time.Time
	getenv   func(string) string
}

func systemEnv() *env {
	return &env{
		in: os.Stdin, out: os.Stdout, err: os.Stderr,
		inTTY:  term.IsTerminal(int(os.Stdin.Fd())),
		outTTY: term.IsTerminal(int(os.Stdout.Fd())),
		errTTY: term.IsTerminal(int(os.Stderr.Fd())),
		inFile: terminalOf(os.Stdin),
		now:    time.Now,
		getenv: os.Getenv,
	}
}

// folder returns a folder of ours under an XDG base directory. As the XDG
// Base Directory Specification says, a base that is unset, empty or relative
// counts as its default below the home folder.
func (e *env) folder(variable, fallback string) string {
	base := e.getenv(variable)
	if !filepath.IsAbs(base) {
		home := cmp.Or(e.getenv("HOME"), e.getenv("USERPROFILE")) // the second on Windows
		base = filepath.Join(home, fallback)
	}
	return filepath.Join(base, "downlead")
}

func (e *env) dataFolder() string   { return e.folder("XDG_DATA_HOME", ".local/share") }
func (e *env) configFolder() string { return e.folder("XDG_CONFIG_HOME", ".config") }

// configFile returns a file of the config folder, or nil where there is none.
func (e *env) configFile(name string) (*os.File, error) {
	f, err := os.Open(filepath.Join(e.configFolder(), name))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	return f, err
}

// global holds the flags that every command has.
type global struct {
	journal    string
	technician string
	job        string
	json       bool
	quiet      bool
	verbose    bool
}

// journalPath is where the journal is: the flag, the variable, the data folder.
func (e *env) journalPath(g *global) string {
	if g.journal != "" {
		return g.journal
	}
	if p := e.getenv("DOWNLEAD_JOURNAL"); p != "" {
		return p
	}
	return filepath.Join(e.dataFolder(), "journal.db")
}

// openJournal opens the journal for writing, making it where create is set.
func (e *env) openJournal(ctx context.Context, g *global, create bool) (*journal.Journal, error) {
	technician, err := e.technician(g)
	if err != nil {
		return nil, err
	}
	return journal.Open(ctx, e.journalPath(g), journal.Options{Create: create, Now: e.now, Technician: technician})
}

// readJournal opens the journal for reading alone.
func (e *env) readJournal(ctx context.Context, g *global) (*journal.Journal, error) {
	return journal.Open(ctx, e.journalPath(g), journal.Options{ReadOnly: true, Now: e.now})
}

// parser is the phrase parser with the technician's own words.
func (e *env) parser() (*grammar.Parser, error) {
	f, err := e.configFile("words.toml")
	if err != nil {
		return nil, fmt.Errorf("own words: %w", err)
	}
	if f == nil {
		return grammar.New(nil)
	}
	defer f.Close()
	own, err := grammar.LoadWords(f)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", f.Name(), err)
	}
	return grammar.New(own)
}

// tables are the figures of the diagnosis, with the technician's changes.
func (e *env) tables() (*level.Tables, error) {
	f, err := e.configFile("tables.toml")
	if err != nil {
		return nil, fmt.Errorf("tables: %w", err)
	}
	if f == nil {
		return level.BuiltinTables(), nil
	}
	defer f.Close()
	t, err := level.ReadTables(f)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", f.Name(), err)
	}
	return t, nil
}

// plainFile reports what is no plain file: reading a pipe or a device would
// wait, perhaps for ever, or never end.
func plainFile(path string) error {
	info, err := os.Stat(path)
	if err == nil && !info.Mode().IsRegular() {
		err = fmt.Errorf("%s is not a plain file", path)
	}
	return err
}

// replaceFile makes a file of the program's own from these bytes, all of it or
// nothing, for its owner's eyes alone. An older one is replaced whatever it
// holds; a record for others is written by file.WriteFile.
func replaceFile(path string, b []byte) error {
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
