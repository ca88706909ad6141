package office

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/parquet-go/parquet-go"

	"downlead/export/office/officetest"
	"downlead/journal"
)

// hyparquetVersion is the release of the independent reader, an implementation
// in another language, that "make setup-test" puts into the user's cache.
const hyparquetVersion = "1.33.0"

// logical is a column's type as the file's footer has it.
type logical struct {
	Name    string `json:"name"`
	Type    string `json:"type"`
	Logical struct {
		Type      string `json:"type"`
		UTC       *bool  `json:"isAdjustedToUTC"`
		Unit      string `json:"unit"`
		Scale     int    `json:"scale"`
		Precision int    `json:"precision"`
	} `json:"logical_type"`
}

type readBack struct {
	Metadata struct {
		Schema []logical `json:"schema"`
		Rows   int       `json:"num_rows"`
	} `json:"metadata"`
	Rows []map[string]any `json:"rows"`
}

func readParquet(t *testing.T, file []byte) readBack {
	t.Helper()
	cache, err := os.UserCacheDir()
	if err != nil {
		t.Skip(err)
	}
	dir := filepath.Join(cache, "downlead-test", "hyparquet-"+hyparquetVersion)
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("node is not installed: no other reader checks the Parquet file (apt-get install npm)")
	}
	if _, err := os.Stat(filepath.Join(dir, "node_modules", "hyparquet")); err != nil {
		t.Skipf("hyparquet %s is not installed: no other reader checks the Parquet file (make setup-test)", hyparquetVersion)
	}
	path := filepath.Join(t.TempDir(), "lines.parquet")
	if err := os.WriteFile(path, file, 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(node, filepath.Join("testdata", "read.mjs"), dir, path)
	var errs bytes.Buffer
	cmd.Stderr = &errs
	raw, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v\n%s", err, errs.String())
	}
	var back readBack
	if err := json.Unmarshal(raw, &back); err != nil {
		t.Fatal(err)
	}
	return back
}

// alone is a folder's worth of one journal.
func alone(t *testing.T, j *journal.Journal) *Journals {
	t.Helper()
	all := &Journals{}
	if err := all.Add(t.Context(), j); err != nil {
		t.Fatal(err)
	}
	return all
}

// Another reader sees the types and the values that were meant.
func TestParquet(t *testing.T) {
	j := reader(t, officetest.Write(t, t.TempDir(), "Ana Example", 25, 3))
	jobs := jobsOf(t, j)
	var raw bytes.Buffer
	p := NewParquet(&raw, false)
	if err := p.WriteAll(t.Context(), alone(t, j), nil); err != nil {
		t.Fatal(err)
	}
	slices.SortFunc(jobs, func(a, b Job) int { return strings.Compare(a.Number, b.Number) })
	var want []line
	for _, job := range jobs {
		lines, err := job.lines()
		if err != nil {
			t.Fatal(err)
		}
		want = append(want, lines...)
	}
	if err := p.Close(); err != nil {
		t.Fatal(err)
	}
	back := readParquet(t, raw.Bytes())
	types := map[string]string{}
	for _, c := range back.Metadata.Schema {
		l := c.Logical
		switch l.Type {
		case "TIMESTAMP":
			types[c.Name] = fmt.Sprintf("TIMESTAMP %s utc=%v", l.Unit, *l.UTC)
		case "DECIMAL":
			types[c.Name] = fmt.Sprintf("DECIMAL(%d,%d)", l.Precision, l.Scale)
		default:
			types[c.Name] = l.Type
		}
	}
	for name, want := range map[string]string{
		"journal_id": "UUID", "logged_at": "TIMESTAMP MILLIS utc=true", "logged_local": "TIMESTAMP MILLIS utc=false",
		"level_dbm": "DECIMAL(18,6)", "quantity": "DECIMAL(18,6)", "job": "STRING",
	} {
		if types[name] != want {
			t.Errorf("%s is %q, want %q", name, types[name], want)
		}
	}
	if len(back.Rows) != len(want) || len(want) < 25*20 {
		t.Fatalf("%d rows, want %d", len(back.Rows), len(want))
	}
	for i, w := range want {
		compareLine(t, w, back.Rows[i])
	}
}

func compareLine(t *testing.T, w line, got map[string]any) {
	t.Helper()
	for name, v := range map[string]string{
		"journal_id": w.Journal.String(), "technician": w.Technician, "job": w.Job, "section": w.Section, "subject": w.Subject,
		"verdict": w.Verdict, "time_zone": w.Zone, "wording": w.Wording,
	} {
		if got[name] != v {
			t.Errorf("line %d: %s is %v, want %q", w.Line, name, got[name], v)
		}
	}
	for name, v := range map[string]*int64{"level_dbm": w.Level, "level_margin_db": w.LevelMargin, "quantity": w.Quantity, "minutes": w.Minutes} {
		x, is := got[name].(float64)
		if is != (v != nil) || is && math.Abs(x-float64(*v)/1e6) > 1e-9 {
			t.Errorf("line %d: %s is %v, want %v", w.Line, name, got[name], v)
		}
	}
	for name, v := range map[string]*int64{"logged_at": w.Logged, "logged_local": w.LoggedLocal} {
		s, is := got[name].(string)
		if is != (v != nil) {
			t.Errorf("line %d: %s is %v, want %v", w.Line, name, got[name], v)
			continue
		}
		if is {
			if at, err := time.Parse(time.RFC3339, s); err != nil || at.UnixMilli() != *v {
				t.Errorf("line %d: %s is %s, want %v", w.Line, name, s, time.UnixMilli(*v).UTC())
			}
		}
	}
}

// Nothing of the canaries that the invented journals hold is left when it is
// redacted, and visits to one address still show as such.
func TestParquetRedacted(t *testing.T) {
	j := reader(t, officetest.Write(t, t.TempDir(), "Ana Example", 40, 3))
	var raw bytes.Buffer
	p := NewParquet(&raw, true)
	if err := p.WriteAll(t.Context(), alone(t, j), nil); err != nil {
		t.Fatal(err)
	}
	if err := p.Close(); err != nil {
		t.Fatal(err)
	}
	lines, err := parquet.Read[line](bytes.NewReader(raw.Bytes()), int64(raw.Len()))
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range lines {
		text := fmt.Sprintf("%+v", l)
		for _, canary := range []string{"Rex", "gate code", "Invented", "Ana", "breaks up", "called again"} {
			if strings.Contains(text, canary) {
				t.Fatalf("%q is left: %s", canary, text)
			}
		}
	}
}
