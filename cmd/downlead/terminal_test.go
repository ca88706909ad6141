package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode"

	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

// hostileText holds what steers terminals (CWE-150; ECMA-48): colours, a
// title, the 8-bit control sequence introducer, a carriage return that writes
// over the line, a change of direction, bytes that are no UTF-8; and line
// breaks with a line of ours after each.
const hostileText = "loose\x1b[31m\x1b]0;title\x07\u009b2J\rintact: 9 checked\nintact: 9 checked\u2028intact: 9 checked\u0085intact: 9 checked\v\x7f\u202egnol"

// steers finds what must not reach a terminal.
func steers(s string) bool {
	return strings.ContainsFunc(s, func(r rune) bool {
		return r != '\n' && r != '\t' && (unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r))
	})
}

// forged finds a line that a text began.
func forged(s string) bool {
	for _, line := range strings.FieldsFunc(s, isBreak) {
		if strings.HasPrefix(line, "intact: 9") {
			return true
		}
	}
	return false
}

func TestTerminal(t *testing.T) {
	var b bytes.Buffer
	w := &terminal{w: &b}
	for _, c := range []byte("é — 日本 \x1b[1m\tx\n\xff") { // a byte at a time: characters come in parts
		if n, err := w.Write([]byte{c}); n != 1 || err != nil {
			t.Fatal(n, err)
		}
	}
	if got, want := b.String(), "é — 日本 \\u001b[1m\tx\n\uFFFD"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// A journal made by somebody else holds hostile texts wherever there are texts.
func TestStoredTextsCannotSteerOrForge(t *testing.T) {
	path := filepath.Join(t.TempDir(), "journal.db")
	j, err := journal.Open(t.Context(), path, journal.Options{Create: true, Now: func() time.Time { return time.Date(2026, 11, 17, 9, 0, 0, 0, time.UTC) }})
	if err != nil {
		t.Fatal(err)
	}
	bad := strings.ToValidUTF8(hostileText, "?")
	sum, err := j.PutPhoto(strings.NewReader("a picture"))
	if err != nil {
		t.Fatal(err)
	}
	number := "7"
	for _, entry := range []entry.Entry{
		entry.Job{Verb: "start", Number: number},
		entry.Site{Text: bad},
		entry.Job{Verb: "complaint", Text: bad},
		entry.Reading{Point: entry.Point{Element: entry.WallPlate, Side: entry.ReceiverSide, Room: bad}, Verdict: entry.Fail, Level: entry.NewDecimal(-61, 0)},
		entry.Check{Check: "mount", Verdict: entry.Fail, Remark: bad},
		entry.Note{Text: bad},
		entry.Unparsed{Text: bad, Reason: bad},
		entry.Photo{SHA256: sum, Name: bad, Remark: bad},
	} {
		if _, err := j.Append(t.Context(), record.Draft{Job: number, Phrase: bad, Entry: entry}); err != nil {
			t.Fatal(err)
		}
	}
	j.Close()
	for _, line := range [][]string{
		{"job"},
		{"job", "log"},
		{"job", "log", "--all"},
		{"job", "show"},
		{"path"},
		{"diagnose"},
		{"plan"},
		{"closeout"},
		{"clips"},
		{"verify"},
		{"quality", "--month", "2026-11"},
		{"say", "read back"},
		{"say", "what is missing"},
		{"say", "where is the fault"},
		{"say", "what next"},
		{"say", bad},
		{"parse", bad},
		{"import", "/none/" + bad},
		{"job", "attach", "/none/" + bad},
		{"--job", bad, "plan"},
		{"job", "start", bad},
		{bad},
		{"backup", "/none/" + bad},
		{"closeout", "--pdf", "/none/" + bad},
		{"verify", "--archive", bad},
		{"job", "close", "--reason", bad},
	} {
		for _, machine := range []bool{false, true} {
			e, out, errs := testEnv(t, "")
			args := append([]string{"--journal", path}, line...)
			if machine {
				args = append([]string{"--json"}, args...)
			}
			run(context.Background(), e, args)
			if said := out.String() + errs.String(); steers(said) {
				t.Errorf("%q (json %v) steers: %q", line[:1], machine, said)
			}
			if !machine && (forged(out.String()) || forged(errs.String())) {
				t.Errorf("%q forges a line: %q", line[:1], out.String()+errs.String())
			}
		}
	}
	// The machine form still says what was stored, to the letter.
	e, out, _ := testEnv(t, "")
	run(context.Background(), e, []string{"--json", "--journal", path, "--job", number, "job", "log"})
	found := false
	for d := json.NewDecoder(out); d.More(); {
		var r struct{ Phrase string }
		if err := d.Decode(&r); err != nil {
			t.Fatal(err)
		}
		found = found || r.Phrase == bad
	}
	if !found {
		t.Error("the machine form lost what was stored")
	}
}

// The last guard: a fault in the program itself is one line and a report.
func TestAPanicIsOneLineAndAReport(t *testing.T) {
	for _, machine := range []bool{false, true} {
		e, _, errs := testEnv(t, "")
		e.now = func() time.Time { panic("boom \x1b[31m") }
		args := []string{"say", "start job 5"}
		if machine {
			args = append(args, "--json")
		}
		if code := run(context.Background(), e, args); code != exitFailed {
			t.Errorf("exit %d", code)
		}
		said := errs.String()
		if strings.Count(said, "\n") != 1 || !strings.Contains(said, "report") || strings.Contains(said, "boom") || strings.Contains(said, "goroutine") {
			t.Errorf("said %q", said)
		}
		reports, _ := filepath.Glob(filepath.Join(e.dataFolder(), "crash-*.txt"))
		if len(reports) != 1 {
			t.Fatalf("reports: %v", reports)
		}
		if b, _ := os.ReadFile(reports[0]); !strings.Contains(string(b), "boom") || !strings.Contains(string(b), "goroutine") {
			t.Errorf("the report says %q", b)
		}
		if info, _ := os.Stat(reports[0]); info.Mode().Perm() != 0o600 {
			t.Errorf("its mode is %v", info.Mode())
		}
	}
}
