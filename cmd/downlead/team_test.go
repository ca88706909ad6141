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

	"github.com/google/go-cmp/cmp"

	"downlead/cmd/downlead/clitest"
	"downlead/export/office/officetest"
	"downlead/export/pay"
	"downlead/export/quality"
)

// teamEnv runs command lines at one fixed time.
func teamEnv(t *testing.T) (do func(args ...string) string, rates string) {
	t.Helper()
	e, out, errs := clitest.Env(t, "")
	e.Now = func() time.Time { return time.Date(2026, 12, 20, 9, 0, 0, 0, time.UTC) }
	rates = filepath.Join(t.TempDir(), "rates.toml")
	if err := os.WriteFile(rates, []byte("employee = \"T\"\nzone = \"America/Denver\"\n[[rates]]\nfrom = \"2026-01-01\"\nbasis = \"hourly\"\nhourly = \"24.00\"\nmile = \"0.725\"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	return func(args ...string) string {
		t.Helper()
		out.Reset()
		errs.Reset()
		if code := run(context.Background(), e, args); code != 0 {
			t.Fatalf("%v: exit code %d\n%s", args, code, errs.String())
		}
		return out.String()
	}, rates
}

// The figures of a team are the same from a folder of its journals and from the
// database they were exported to, and those of one technician the same from the
// journal alone: 1,000 invented jobs of four technicians.
func TestTeamFigures(t *testing.T) {
	s, dir, alone := officetest.Start(t), t.TempDir(), t.TempDir()
	names := officetest.Names(4)
	for i, name := range names {
		officetest.Write(t, dir, name, 250, uint64(i+1))
	}
	do, rates := teamEnv(t)
	if out := do("export", "--journals", dir, "--to", s.URL); strings.Count(out, "250 jobs stored") != 4 {
		t.Errorf("export: %s", out)
	}
	if out := do("export", "--journals", dir, "--to", s.URL); strings.Count(out, " 0 jobs stored") != 4 {
		t.Errorf("again: %s", out)
	}

	for _, month := range []string{"2026-09", "2026-10"} {
		folder := do("quality", "--month", month, "--journals", dir, "--json")
		database := do("quality", "--month", month, "--from", s.URL, "--json")
		if d := cmp.Diff(folder, database); d != "" {
			t.Errorf("quality of %s, folder and database: %s", month, d)
		}
		var q quality.Quality
		if err := json.Unmarshal([]byte(folder), &q); err != nil {
			t.Fatal(err)
		}
		if len(q.Team) != 4 || len(q.Jobs) < 400 || q.Figures[0].Denominator < 350 {
			t.Errorf("%d journals, %d visits, %d decided", len(q.Team), len(q.Jobs), q.Figures[0].Denominator)
		}
	}
	week := "2026-W40"
	folder := do("pay", "--week", week, "--rates", rates, "--journals", dir, "--json")
	database := do("pay", "--week", week, "--rates", rates, "--from", s.URL, "--json")
	if d := cmp.Diff(folder, database); d != "" {
		t.Errorf("pay, folder and database: %s", d)
	}
	if n := strings.Count(folder, `"schema": "downlead/pay/1"`); n != 4 {
		t.Errorf("%d weeks of pay for 4 technicians", n)
	}
	if a, b := do("export", "odds", "--journals", dir), do("export", "odds", "--from", s.URL); a != b || !strings.Contains(a, "[prior.ground_block]") {
		t.Errorf("odds: %s", cmp.Diff(a, b))
	}

	// One technician: the journal alone, and a folder with it alone.
	one := filepath.Join(dir, "journal-001.db")
	raw, err := os.ReadFile(one)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(alone, "one.db"), raw, 0o600); err != nil {
		t.Fatal(err)
	}
	var a, b quality.Quality
	mustJSON(t, do("--journal", one, "quality", "--month", "2026-10", "--json"), &a)
	mustJSON(t, do("quality", "--month", "2026-10", "--journals", alone, "--json"), &b)
	a.Sample.Kept = b.Sample.Kept // a journal of one's own keeps its draw; a folder of colleagues' is only read
	for _, x := range []struct {
		name      string
		want, got any
	}{{"figures", a.Figures, b.Figures}, {"spreads", a.Spreads, b.Spreads}, {"chart", a.Chart, b.Chart}, {"sample", a.Sample, b.Sample}} {
		if d := cmp.Diff(x.want, x.got); d != "" {
			t.Errorf("one journal, %s: %s", x.name, d)
		}
	}
	var p, r pay.Pay
	mustJSON(t, do("--journal", one, "pay", "--week", week, "--rates", rates, "--json"), &p)
	mustJSON(t, do("--technician", names[0], "pay", "--week", week, "--rates", rates, "--from", s.URL, "--json"), &r)
	if d := cmp.Diff(p.Summary, r.Summary); d != "" || r.Technician != names[0] {
		t.Errorf("pay of %s: %s", r.Technician, d)
	}
	if d := cmp.Diff(p.Flags, r.Flags); d != "" {
		t.Errorf("flags: %s", d)
	}
}

func mustJSON(t *testing.T, text string, v any) {
	t.Helper()
	if err := json.NewDecoder(bytes.NewReader([]byte(text))).Decode(v); err != nil {
		t.Fatal(err)
	}
}

// What is wrong with the options is said.
func TestTeamOptions(t *testing.T) {
	e, _, errs := clitest.Env(t, "")
	empty := t.TempDir()
	for _, x := range []struct {
		want string
		code int
		args []string
	}{
		{"two places", 2, []string{"quality", "--from", "postgres://x@localhost/x", "--journals", empty}},
		{"no *.db file", 1, []string{"quality", "--journals", empty}},
		{"check that the server runs", 1, []string{"quality", "--from", "host=" + empty + " user=x dbname=x"}},
		{"address cannot be read", 1, []string{"export", "odds", "--from", "postgres://x@localhost:99999999/x"}},
		{"say where to", 2, []string{"export"}},
		{"--dry-run is of --to", 2, []string{"export", "--parquet", "x", "--dry-run"}},
	} {
		errs.Reset()
		if code := run(context.Background(), e, x.args); code != x.code || !strings.Contains(errs.String(), x.want) {
			t.Errorf("%v: exit code %d, want %d: %s", x.args, code, x.code, errs.String())
		}
	}
}
