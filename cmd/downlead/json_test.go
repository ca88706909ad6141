package main

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/clitest"
	"downlead/export/pay"
	"downlead/testdata/demo"
)

// demoJournal types the demo call into a journal and returns its path.
func demoJournal(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "demo.db")
	e, _, errs := clitest.Env(t, demo.Text)
	if got := run(context.Background(), e, []string{"--journal", path, "say", "-"}); got != cli.ExitDone {
		t.Fatalf("exit code %d: %s", got, errs)
	}
	return path
}

func TestJSONIsAllThereIsOnStandardOutput(t *testing.T) {
	path := demoJournal(t)
	rates := filepath.Join(t.TempDir(), "rates.toml")
	if err := os.WriteFile(rates, []byte(pay.RatesExample), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, line := range []string{
		"job", "job log --job 4412", "job log --all --job 4412", "path --job 4412", "diagnose --job 4412", "plan --job 4412",
		"closeout --job 4412", "verify", "clips --job 4412", "doctor", "words", "words reading",
		"parse ground block pass", "aim --slot 119W --lat 35.1 --lon=-100.2", "quality --month 2026-11",
		"pay --week 2026-W47 --rates " + rates, "say --job 4412 what is missing",
	} {
		e, out, errs := clitest.Env(t, "")
		args := append([]string{"--json", "--journal", path}, strings.Fields(line)...)
		if got := run(context.Background(), e, args); got != cli.ExitDone {
			t.Errorf("%s: exit code %d: %s", line, got, errs)
			continue
		}
		if n := documents(t, line, out); n == 0 {
			t.Errorf("%s printed no document", line)
		}
	}
}

func TestJSONErrorsAreOneObjectOnStandardError(t *testing.T) {
	path := demoJournal(t)
	for _, line := range []string{
		"job log --job none", "diagnose", "path --job none", "plan --job none", "closeout --job none", "aim --slot 119W --job none",
		"pay --week 2026-W47 --rates missing.toml", "pay --week lately", "quality --month lately", "quality --month 1999-01",
		"export", "listen --file missing.wav", "clips save abc out.wav", "backup /no/such/folder/file.db", "import missing.wav --job 4412",
		"job attach missing.jpg", "verify --head zz",
	} {
		e, out, errs := clitest.Env(t, "")
		args := append([]string{"--json", "--journal", path}, strings.Fields(line)...)
		got := run(context.Background(), e, args)
		if got == cli.ExitDone {
			t.Errorf("%s: exit code 0", line)
		}
		if out.Len() > 0 {
			t.Errorf("%s printed on standard output: %s", line, out)
		}
		var object struct {
			Error struct {
				Code    int    `json:"code"`
				Message string `json:"message"`
			} `json:"error"`
		}
		if err := json.Unmarshal(errs.Bytes(), &object); err != nil || object.Error.Code != got || object.Error.Message == "" {
			t.Errorf("%s: standard error is %q (%v)", line, errs, err)
		}
	}
}

// documents counts the JSON documents of an output, and finds what is none.
func documents(t *testing.T, line string, out io.Reader) int {
	t.Helper()
	d := json.NewDecoder(out)
	for n := 0; ; n++ {
		var v any
		if err := d.Decode(&v); errors.Is(err, io.EOF) {
			return n
		} else if err != nil {
			t.Errorf("%s: document %d: %v", line, n+1, err)
			return n
		}
	}
}
