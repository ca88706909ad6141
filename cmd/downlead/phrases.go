package main

import (
	"bufio"
	"fmt"
	"strings"
	"time"
)

// maxPhrase is the longest line taken as one phrase, in bytes.
const maxPhrase = 1 << 20

// eachPhrase calls do with the phrase on the command line, or with every line
// of standard input where that phrase is "-". Empty lines are passed over.
func eachPhrase(e *env, args []string, do func(phrase string) error) error {
	if len(args) != 1 || args[0] != "-" {
		return do(strings.Join(args, " "))
	}
	if e.inTTY {
		fmt.Fprintln(e.err, "reading phrases, one a line; end with Ctrl-D")
	}
	lines := bufio.NewScanner(e.in)
	lines.Buffer(nil, maxPhrase)
	for lines.Scan() {
		line := strings.TrimRight(lines.Text(), "\r")
		if strings.TrimSpace(line) == "" {
			continue
		}
		if err := do(line); err != nil {
			return err
		}
	}
	if err := lines.Err(); err != nil {
		return fmt.Errorf("read standard input: %w", err)
	}
	return nil
}

// dated splits off an RFC 3339 time at the start of a line.
func dated(line string) (at time.Time, phrase string, ok bool) {
	first, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
	at, err := time.Parse(time.RFC3339, first)
	if err != nil {
		return time.Time{}, line, false
	}
	return at, rest, true
}

// zoneAt is the named zone where it has the offset of the given time, else
// none: the time then keeps its bare offset.
func zoneAt(name string, at time.Time) string {
	loc, err := time.LoadLocation(name)
	if err != nil || name == "" {
		return ""
	}
	_, want := at.Zone()
	if _, got := at.In(loc).Zone(); got != want {
		return ""
	}
	return name
}
