package cli

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"downlead/grammar"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

// Paste is a command line that works when it is pasted here: on the same
// journal, with its words quoted where a shell would read them otherwise.
func (g *Global) Paste(args ...string) string {
	line := []string{"downlead"}
	if g.Journal != "" {
		line = append(line, "--journal", ShellWord(g.Journal))
	}
	for _, a := range args {
		line = append(line, ShellWord(a))
	}
	return strings.Join(line, " ")
}

// Say is the command line that says a phrase.
func (g *Global) Say(phrase string) string {
	return g.Paste(append([]string{"say"}, strings.Fields(phrase)...)...)
}

// ShellWord quotes a word for a POSIX shell where it must be (IEEE Std 1003.1,
// Shell Command Language, 2.2.2).
func ShellWord(w string) string {
	plain := func(r rune) bool {
		return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("-_./:=,@%+", r)
	}
	if w != "" && strings.IndexFunc(w, func(r rune) bool { return !plain(r) }) < 0 {
		return w
	}
	return "'" + strings.ReplaceAll(w, "'", `'\''`) + "'"
}

// Jobs lists the jobs of the journal, newest first; none where it cannot be read.
func (e *Env) Jobs(g *Global) []record.Summary {
	ctx := context.Background()
	j, err := e.ReadJournal(ctx, g)
	if err != nil {
		return nil
	}
	defer j.Close()
	list, _ := j.Jobs(ctx)
	return list
}

// freeNumber is a job number that a new job may have: 1001, or one more than
// the highest.
func freeNumber(jobs []record.Summary) string {
	highest := 1000
	for _, s := range jobs {
		if n, err := strconv.Atoi(s.Number); err == nil && n < 1e9 {
			highest = max(highest, n)
		}
	}
	return strconv.Itoa(highest + 1)
}

// JobHint is the next step where no job fits: those that are there, and how
// to go on with one or begin another.
func (e *Env) JobHint(g *Global) string {
	jobs := e.Jobs(g)
	start := "start one with: " + g.Say("start job "+freeNumber(jobs))
	if len(jobs) == 0 {
		return start
	}
	if g.Job != "" || jobs[0].Open {
		return fmt.Sprintf("the jobs here are %s; look at one with: %s\n   %s", numbers(jobs), g.Paste("job", "show", jobs[0].Number), start)
	}
	last := jobs[0].Number
	return fmt.Sprintf("every job is closed; look at the last with: %s\n   go on with it: %s\n   %s", g.Paste("job", "show", last), g.Say("reopen job "+last), start)
}

// numbers names the newest jobs.
func numbers(jobs []record.Summary) string {
	const most = 5 // fits on a line; a judgement
	var out []string
	for i, s := range jobs {
		if i == most {
			out = append(out, fmt.Sprintf("and %d more", len(jobs)-most))
			break
		}
		if s.Open {
			s.Number += " (open)"
		}
		out = append(out, s.Number)
	}
	return strings.Join(out, ", ")
}

// missingHint is the next step where a journal is not there: perhaps the name
// or the folder is wrong.
func (e *Env) missingHint(g *Global) string {
	path := e.JournalPath(g)
	start := fmt.Sprintf("start one with: %s   (it would be %s)", g.Say("start job 1001"), absolute(path))
	usual := filepath.Join(e.DataFolder(), "journal.db")
	named := "DOWNLEAD_JOURNAL"
	if g.Journal != "" {
		named = "--journal"
	}
	switch _, err := os.Stat(usual); {
	case path == usual:
		return start
	case err == nil:
		return fmt.Sprintf("your journal %s is there: leave %s out, or\n   %s", usual, named, start)
	case !filepath.IsAbs(path):
		return fmt.Sprintf("%s names it from this folder: name it whole, such as /home/…/%s, or\n   %s", named, filepath.Base(path), start)
	}
	return start
}

func absolute(path string) string {
	whole, err := filepath.Abs(path)
	return cmp.Or(whole, path, fmt.Sprint(err))
}

// fileHint is the next step where a file or its folder is not there.
func fileHint(err error) string {
	var at *fs.PathError
	if !errors.As(err, &at) {
		return ""
	}
	dir := filepath.Dir(at.Path)
	if _, err := os.Stat(dir); errors.Is(err, fs.ErrNotExist) {
		return "there is no folder " + absolute(dir) + "; make it with: mkdir -p " + ShellWord(dir)
	}
	return "there is no such file in " + absolute(dir) + "; see what is with: ls " + ShellWord(dir)
}

// JobNumber reads the number of a job as it was typed: one word as it is, words
// digit by digit. Letters are those of a job that is there, however typed.
func (e *Env) JobNumber(g *Global, words []string) (string, error) {
	said := strings.Join(words, " ")
	if said != "" && strings.Trim(said, "0123456789") == "" {
		return said, nil
	}
	same := ""
	for _, s := range e.Jobs(g) {
		if s.Number == said {
			return said, nil
		}
		if strings.EqualFold(s.Number, said) {
			same = s.Number
		}
	}
	if same != "" {
		return same, nil
	}
	if strings.ContainsAny(said, "0123456789") && len(strings.Fields(said)) == 1 {
		return said, nil
	}
	p, err := e.Parser()
	if err != nil {
		return "", err
	}
	if number, ok := spokenNumber(p, said); ok {
		return number, nil
	}
	if len(strings.Fields(said)) == 1 {
		return said, nil
	}
	return "", UsageError{fmt.Errorf("%q is no job's number: give it as one word, 1002 or A-17, or digit by digit, one zero zero two", said)}
}

func spokenNumber(p *grammar.Parser, said string) (string, bool) {
	entries, err := p.Parse("back to job " + said)
	if err != nil || len(entries) != 1 {
		return "", false
	}
	to, ok := entries[0].(entry.Job)
	return to.Number, ok && to.Verb == "switch"
}

// DamageHint is the next step for a journal that is not intact, by what is
// wrong with it. Nobody is sent to a backup, which lacks what came after it,
// while the entries are all there and the database is sound.
func (e *Env) DamageHint(path string) string {
	ctx, done := context.WithTimeout(context.Background(), time.Minute)
	defer done()
	j, err := journal.Open(ctx, path, journal.Options{Damaged: true, Now: e.Now})
	var report journal.Report
	if err == nil {
		defer j.Close()
		report, err = j.Verify(ctx, journal.VerifyOptions{})
	}
	if err != nil && !errors.Is(err, journal.ErrNotIntact) {
		return "try again; 'downlead verify' looks at the whole journal"
	}
	bad := map[journal.Part]bool{}
	for _, p := range report.Problems {
		bad[p.Part] = true
	}
	switch {
	case err != nil, bad[journal.PartChain], bad[journal.PartDatabase]:
		return "keep the file as it is, and go on from a backup; 'downlead verify' names the entries"
	case bad[journal.PartSchema], bad[journal.PartDrawn]:
		return "no entry is damaged: 'downlead verify --repair-index' mends the rest"
	case bad[journal.PartFiles]:
		return "no entry is damaged; put the kept files that 'downlead verify' names back where it says, from a copy"
	}
	return "the entries fit each other, but not what was printed: keep the file, and compare it with the closeout"
}
