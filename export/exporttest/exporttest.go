package exporttest

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"downlead/grammar/entry"
)

func Num(s string) entry.Decimal {
	d, err := entry.ParseDecimal(s)
	if err != nil {
		panic(err)
	}
	return d
}

func PointAt(e entry.Element, n int, side entry.Side) entry.Point {
	return entry.Point{Element: e, Number: n, Side: side}
}

func LevelAt(p entry.Point, v entry.Verdict, dbm string) entry.Reading {
	return entry.Reading{Point: p, Verdict: v, Level: Num(dbm)}
}

func Behind(n int) entry.Point { return PointAt(entry.Receiver, n, entry.DishSide) }

func F(x float64) *float64 { return &x }

func Mountain(t testing.TB) *time.Location {
	t.Helper()
	loc, err := time.LoadLocation("America/Denver")
	if err != nil {
		t.Fatal(err)
	}
	return loc
}

// Golden compares with testdata/name; UPDATE=1 writes it.
func Golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if os.Getenv("UPDATE") == "1" {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), string(got)); d != "" {
		t.Errorf("%s differs (-want +got), UPDATE=1 writes it:\n%s", name, d)
	}
}

func Render(t testing.TB, write func(*bytes.Buffer) error) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Tool skips where a checking program is missing and else returns its output.
func Tool(t *testing.T, name string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		t.Skipf("%s is not installed", name)
	}
	out, err := exec.Command(name, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v\n%s", name, err, out)
	}
	return string(out)
}

func Text(s string) func(io.Writer) error {
	return func(w io.Writer) error { _, err := io.WriteString(w, s); return err }
}

// Leftovers lists what lies in a folder beside the names given.
func Leftovers(t *testing.T, dir string, names ...string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var left []string
next:
	for _, e := range entries {
		for _, n := range names {
			if e.Name() == n {
				continue next
			}
		}
		left = append(left, e.Name())
	}
	return left
}
