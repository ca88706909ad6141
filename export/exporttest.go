package export

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"downlead/grammar"
)

func num(s string) grammar.Decimal {
	d, err := grammar.ParseDecimal(s)
	if err != nil {
		panic(err)
	}
	return d
}

func point(e grammar.Element, n int, side grammar.Side) grammar.Point {
	return grammar.Point{Element: e, Number: n, Side: side}
}

func level(p grammar.Point, v grammar.Verdict, dbm string) grammar.Reading {
	return grammar.Reading{Point: p, Verdict: v, Level: num(dbm)}
}

func behind(n int) grammar.Point { return point(grammar.Receiver, n, grammar.DishSide) }

func f(x float64) *float64 { return &x }

func mountain(t testing.TB) *time.Location {
	t.Helper()
	loc, err := time.LoadLocation("America/Denver")
	if err != nil {
		t.Fatal(err)
	}
	return loc
}

// golden compares with testdata/name; UPDATE=1 writes it.
func golden(t *testing.T, name string, got []byte) {
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

func render(t testing.TB, write func(*bytes.Buffer) error) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// tool skips where a checking program is missing and else returns its output.
func tool(t *testing.T, name string, args ...string) string {
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

func text(s string) func(io.Writer) error {
	return func(w io.Writer) error { _, err := io.WriteString(w, s); return err }
}

// leftovers lists what lies in a folder beside the names given.
func leftovers(t *testing.T, dir string, names ...string) []string {
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
