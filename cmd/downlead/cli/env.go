// Package cli is what every command shares: the world outside, the flags of all,
// errors with exit codes and hints, and how results are printed and written.
package cli

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
	"downlead/journal/record"
)

// Env is everything a command may touch of the world outside: tests hand in
// another one.
type Env struct {
	In       io.Reader
	Out, Err io.Writer
	Bar      io.Writer // standard error as it is, for how far something is
	InTTY    bool      // a person types
	InFile   *os.File  // the terminal that they type on; nil where it is none
	OutTTY   bool      // a person reads
	ErrTTY   bool
	Now      func() time.Time
	Getenv   func(string) string
}

func SystemEnv() *Env {
	return &Env{
		In: os.Stdin, Out: os.Stdout, Err: os.Stderr,
		InTTY:  term.IsTerminal(int(os.Stdin.Fd())),
		OutTTY: term.IsTerminal(int(os.Stdout.Fd())),
		ErrTTY: term.IsTerminal(int(os.Stderr.Fd())),
		InFile: terminalOf(os.Stdin),
		Now:    time.Now,
		Getenv: os.Getenv,
	}
}

// Folder returns a folder of ours under an XDG base directory. As the XDG
// Base Directory Specification says, a base that is unset, empty or relative
// counts as its default below the home folder.
func (e *Env) Folder(variable, fallback string) string {
	base := e.Getenv(variable)
	if !filepath.IsAbs(base) {
		home := cmp.Or(e.Getenv("HOME"), e.Getenv("USERPROFILE")) // the second on Windows
		base = filepath.Join(home, fallback)
	}
	return filepath.Join(base, "downlead")
}

func (e *Env) DataFolder() string   { return e.Folder("XDG_DATA_HOME", ".local/share") }
func (e *Env) ConfigFolder() string { return e.Folder("XDG_CONFIG_HOME", ".config") }

// ConfigFile returns a file of the config folder, or nil where there is none.
func (e *Env) ConfigFile(name string) (*os.File, error) {
	f, err := os.Open(filepath.Join(e.ConfigFolder(), name))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	return f, err
}

// Global holds the flags that every command has.
type Global struct {
	Journal    string
	Technician string
	Job        string
	JSON       bool
	Quiet      bool
	Verbose    bool
}

// JournalPath is where the journal is: the flag, the variable, the data folder.
func (e *Env) JournalPath(g *Global) string {
	if g.Journal != "" {
		return g.Journal
	}
	if p := e.Getenv("DOWNLEAD_JOURNAL"); p != "" {
		return p
	}
	return filepath.Join(e.DataFolder(), "journal.db")
}

// OpenJournal opens the journal for writing, making it where create is set.
func (e *Env) OpenJournal(ctx context.Context, g *Global, create bool) (*journal.Journal, error) {
	technician, err := e.technician(g)
	if err != nil {
		return nil, err
	}
	return journal.Open(ctx, e.JournalPath(g), journal.Options{Create: create, Now: e.Now, Technician: technician})
}

// ReadJournal opens the journal for reading alone.
func (e *Env) ReadJournal(ctx context.Context, g *Global) (*journal.Journal, error) {
	return journal.Open(ctx, e.JournalPath(g), journal.Options{ReadOnly: true, Now: e.Now})
}

// Parser is the phrase parser with the technician's own words.
func (e *Env) Parser() (*grammar.Parser, error) {
	f, err := e.ConfigFile("words.toml")
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

// Tables are the figures of the diagnosis, with the technician's changes.
func (e *Env) Tables() (*level.Tables, error) {
	f, err := e.ConfigFile("tables.toml")
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

// Stamp is a draft of something the tool itself does to a job now.
func (e *Env) Stamp(job string) record.Draft {
	return record.Draft{Job: job, At: e.Now(), Zone: journal.LocalZone(), TimeSource: record.FromClock, Origin: record.Tool}
}

// terminalOf is standard input where it is a terminal; nil where it is not.
func terminalOf(f *os.File) *os.File {
	if term.IsTerminal(int(f.Fd())) {
		return f
	}
	return nil
}
