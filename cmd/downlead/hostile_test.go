package main

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/clitest"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

// forged finds a line that a text began.
func forged(s string) bool {
	for _, line := range strings.FieldsFunc(s, clitest.Breaks) {
		if strings.HasPrefix(line, "intact: 9") {
			return true
		}
	}
	return false
}

// A journal made by somebody else holds hostile texts wherever there are texts.
func TestStoredTextsCannotSteerOrForge(t *testing.T) {
	path := filepath.Join(t.TempDir(), "journal.db")
	j, err := journal.Open(t.Context(), path, journal.Options{Create: true, Now: func() time.Time { return time.Date(2026, 11, 17, 9, 0, 0, 0, time.UTC) }})
	if err != nil {
		t.Fatal(err)
	}
	bad := strings.ToValidUTF8(clitest.Hostile, "?")
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
			e, out, errs := clitest.Env(t, "")
			args := append([]string{"--journal", path}, line...)
			if machine {
				args = append([]string{"--json"}, args...)
			}
			run(context.Background(), e, args)
			if said := out.String() + errs.String(); clitest.Steers(said) {
				t.Errorf("%q (json %v) steers: %q", line[:1], machine, said)
			}
			if !machine && (forged(out.String()) || forged(errs.String())) {
				t.Errorf("%q forges a line: %q", line[:1], out.String()+errs.String())
			}
		}
	}
	// The machine form still says what was stored, to the letter.
	e, out, _ := clitest.Env(t, "")
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
		e, _, errs := clitest.Env(t, "")
		e.Now = func() time.Time { panic("boom \x1b[31m") }
		args := []string{"say", "start job 5"}
		if machine {
			args = append(args, "--json")
		}
		if code := run(context.Background(), e, args); code != cli.ExitFailed {
			t.Errorf("exit %d", code)
		}
		said := errs.String()
		if strings.Count(said, "\n") != 1 || !strings.Contains(said, "report") || strings.Contains(said, "boom") || strings.Contains(said, "goroutine") {
			t.Errorf("said %q", said)
		}
		reports, _ := filepath.Glob(filepath.Join(e.DataFolder(), "crash-*.txt"))
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
