package main

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

	"downlead/grammar"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

// paste is a command line that works when it is pasted here: on the same
// journal, with its words quoted where a shell would read them otherwise.
func (g *global) paste(args ...string) string {
	line := []string{"downlead"}
	if g.journal != "" {
		line = append(line, "--journal", shellWord(g.journal))
	}
	for _, a := range args {
		line = append(line, shellWord(a))
	}
	return strings.Join(line, " ")
}

// say is the command line that says a phrase.
func (g *global) say(phrase string) string {
	return g.paste(append([]string{"say"}, strings.Fields(phrase)...)...)
}

// shellWord quotes a word for a POSIX shell where it must be (IEEE Std 1003.1,
// Shell Command Language, 2.2.2).
func shellWord(w string) string {
	plain := func(r rune) bool {
		return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("-_./:=,@%+", r)
	}
	if w != "" && strings.IndexFunc(w, func(r rune) bool { return !plain(r) }) < 0 {
		return w
	}
	return "'" + strings.ReplaceAll(w, "'", `'\''`) + "'"
}

// jobs lists the jobs of the journal, newest first; none where it cannot be read.
func (e *env) jobs(g *global) []record.Summary {
	ctx := context.Background()
	j, err := e.readJournal(ctx, g)
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

// jobHint is the next step where no job fits: those that are there, and how
// to go on with one or begin another.
func (e *env) jobHint(g *global) string {
	jobs := e.jobs(g)
	start := "start one with: " + g.say("start job "+freeNumber(jobs))
	if len(jobs) == 0 {
		return start
	}
	if g.job != "" || jobs[0].Open {
		return fmt.Sprintf("the jobs here are %s; look at one with: %s\n   %s", numbers(jobs), g.paste("job", "show", jobs[0].Number), start)
	}
	last := jobs[0].Number
	return fmt.Sprintf("every job is closed; look at the last with: %s\n   go on with it: %s\n   %s", g.paste("job", "show", last), g.say("reopen job "+last), start)
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
func (e *env) missingHint(g *global) string {
	path := e.journalPath(g)
	start := fmt.Sprintf("start one with: %s   (it would be %s)", g.say("start job 1001"), absolute(path))
	usual := filepath.Join(e.dataFolder(), "journal.db")
	named := "DOWNLEAD_JOURNAL"
	if g.journal != "" {
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
		return "there is no folder " + absolute(dir) + "; make it with: mkdir -p " + shellWord(dir)
	}
	return "there is no such file in " + absolute(dir) + "; see what is with: ls " + shellWord(dir)
}

// jobNumber reads the number of a job as it was typed: one word as it is, words
// digit by digit. Letters are those of a job that is there, however typed.
func (e *env) jobNumber(g *global, words []string) (string, error) {
	said := strings.Join(words, " ")
	if said != "" && strings.Trim(said, "0123456789") == "" {
		return said, nil
	}
	same := ""
	for _, s := range e.jobs(g) {
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
	p, err := e.parser()
	if err != nil {
		return "", err
	}
	if number, ok := spokenNumber(p, said); ok {
		return number, nil
	}
	if len(strings.Fields(said)) == 1 {
		return said, nil
	}
	return "", usageError{fmt.Errorf("%q is no job's number: give it as one word, 1002 or A-17, or digit by digit, one zero zero two", said)}
}

func spokenNumber(p *grammar.Parser, said string) (string, bool) {
	entries, err := p.Parse("back to job " + said)
	if err != nil || len(entries) != 1 {
		return "", false
	}
	to, ok := entries[0].(entry.Job)
	return to.Number, ok && to.Verb == "switch"
}

// begunWithout answers a phrase that needs no journal where there is none: a
// question for what can be said.
func begunWithout(p *grammar.Parser, phrase string, err error) bool {
	entries, perr := p.Parse(phrase)
	if !errors.Is(err, journal.ErrNotFound) || perr != nil || len(entries) != 1 {
		return false
	}
	q, ok := entries[0].(entry.Question)
	return ok && q.Question == "words"
}
