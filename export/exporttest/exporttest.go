package exporttest

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v6"

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

// described walks a document beside its schema and fails on members that the
// schema does not name.
func described(t *testing.T, root, schema map[string]any, v any, at string) {
	t.Helper()
	if ref, ok := schema["$ref"].(string); ok {
		schema = root["$defs"].(map[string]any)[strings.TrimPrefix(ref, "#/$defs/")].(map[string]any)
	}
	if any, ok := schema["anyOf"].([]any); ok {
		if v == nil {
			return
		}
		described(t, root, any[0].(map[string]interface{}), v, at)
		return
	}
	switch v := v.(type) {
	case map[string]any:
		props, _ := schema["properties"].(map[string]any)
		for k, x := range v {
			p, ok := props[k].(map[string]any)
			if !ok {
				p, ok = schema["additionalProperties"].(map[string]any) // any name, such as that of a figure
			}
			if !ok {
				t.Errorf("%s.%s is not in the schema", at, k)
				continue
			}
			described(t, root, p, x, at+"."+k)
		}
	case []any:
		for _, x := range v {
			described(t, root, schema["items"].(map[string]any), x, at+"[]")
		}
	}
}

// undescribed fails on any member without a description.
func undescribed(t *testing.T, v any, at string) {
	m, ok := v.(map[string]any)
	if !ok {
		return
	}
	if props, ok := m["properties"].(map[string]any); ok {
		for k, p := range props {
			if d, _ := p.(map[string]any)["description"].(string); d == "" {
				t.Errorf("%s.%s has no description", at, k)
			}
			undescribed(t, p, at+"."+k)
		}
	}
	for _, k := range []string{"items", "$defs"} {
		if x, ok := m[k].(map[string]any); ok {
			if k == "$defs" {
				for n, d := range x {
					undescribed(t, d, at+"."+n)
				}
				continue
			}
			undescribed(t, x, at+"."+k)
		}
	}
}

// ajv is a program for node that validates the files after the first by the
// schema in the first, and says what is wrong with each.
const ajv = `
const fs = require("fs"), Ajv = require("ajv/dist/2020"), formats = require("ajv-formats");
const [schema, ...docs] = process.argv.slice(1).map(f => JSON.parse(fs.readFileSync(f)));
const check = formats(new Ajv({allErrors: true, allowUnionTypes: true})).compile(schema);
for (const d of docs) console.log(check(d) ? "valid" : "invalid " + JSON.stringify(check.errors));
`

// validated runs the other validator, ajv of npm, which the set-up of the tests
// puts into the user's cache; it returns a line a document.
func validated(t *testing.T, schema string, docs ...[]byte) []string {
	t.Helper()
	cache, err := os.UserCacheDir()
	if err != nil {
		t.Skip("there is no cache folder")
	}
	modules := filepath.Join(cache, "downlead-test", "ajv", "node_modules")
	node, err := exec.LookPath("node")
	if _, missing := os.Stat(filepath.Join(modules, "ajv-formats")); err != nil || missing != nil {
		t.Skip("ajv and ajv-formats of npm are not installed: make setup-test installs them")
	}
	dir := t.TempDir()
	args := []string{"-e", ajv}
	for i, b := range append([][]byte{[]byte(schema)}, docs...) {
		name := filepath.Join(dir, string(rune('a'+i))+".json")
		if err := os.WriteFile(name, b, 0o600); err != nil {
			t.Fatal(err)
		}
		args = append(args, name)
	}
	cmd := exec.Command(node, args...)
	cmd.Env = append(os.Environ(), "NODE_PATH="+modules)
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("ajv: %v\n%s", err, out)
	}
	return strings.Split(strings.TrimSpace(string(out)), "\n")
}

// Fits holds documents against their published schema by two validators of
// JSON Schema 2020-12; they hold nothing that the schema does not name, and the
// first, broken by a replacement, is refused by both.
func Fits(t *testing.T, text string, docs [][]byte, old, broken string) {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	undescribed(t, doc, "schema")
	k := jsonschema.NewCompiler()
	k.AssertFormat()
	if err := k.AddResource("it.json", doc); err != nil {
		t.Fatal(err)
	}
	schema, err := k.Compile("it.json")
	if err != nil {
		t.Fatal(err)
	}
	for i, raw := range docs {
		v, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
		if err != nil {
			t.Fatal(err)
		}
		if err := schema.Validate(v); err != nil {
			t.Errorf("document %d: %v", i, err)
		}
		described(t, doc.(map[string]any), doc.(map[string]any), v, "document")
	}
	bad := bytes.Replace(docs[0], []byte(old), []byte(broken), 1)
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(bad))
	if err != nil || bytes.Equal(bad, docs[0]) || schema.Validate(v) == nil {
		t.Errorf("a broken document is accepted: %v", err)
	}
	for i, line := range validated(t, text, append(docs, bad)...) {
		if (line == "valid") != (i < len(docs)) {
			t.Errorf("ajv of document %d: %s", i, line)
		}
	}
}

// Archival holds documents against ISO 19005-2, level B, by another's checker,
// and says of each whether it keeps it, in order.
func Archival(t *testing.T, paths ...string) []bool {
	t.Helper()
	cache, err := os.UserCacheDir()
	if err != nil {
		t.Skip("there is no cache folder")
	}
	jars := filepath.Join(cache, "downlead-test", "pdfa")
	java, err := exec.LookPath("java")
	if _, missing := os.Stat(jars); err != nil || missing != nil {
		t.Skip("the checker of PDF/A is not installed: make setup-test installs it")
	}
	_, here, _, _ := runtime.Caller(0)
	program := filepath.Join(filepath.Dir(here), "..", "testdata", "pdfa", "Check.java")
	out, err := exec.Command(java, append([]string{"-cp", jars + "/*", program, "2b"}, paths...)...).Output()
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%s", out)
	var kept []bool
	for line := range strings.Lines(string(out)) {
		kept = append(kept, strings.HasPrefix(line, "kept "))
	}
	return kept
}
