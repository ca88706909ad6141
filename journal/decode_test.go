package journal

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// agrees holds what is scanned of a text against what the library reads of it
// (encoding/json): the same body, or nothing scanned at all.
func agrees(t *testing.T, text []byte) bool {
	t.Helper()
	got, ok := scanBody(text)
	if !ok {
		return false
	}
	want := body{}
	if err := json.Unmarshal(text, &want); err != nil {
		if _, _, now := decode(text, &zones{}); now == nil {
			t.Errorf("%s: read, though the library says %v", text, err)
		}
		return true
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("%s: %s", text, d)
	}
	return true
}

func TestScanReadsAsTheLibrary(t *testing.T) {
	var canonical string
	for i, e := range everyEntry() {
		d := settled(t, e)
		text, err := encode(int64(i+1), &d)
		if err != nil {
			t.Fatal(err)
		}
		if !agrees(t, text) {
			t.Errorf("%s: left to the library", text)
		}
		canonical = string(text)
	}
	// Each has one thing that encode does not write.
	for _, other := range [][2]string{
		{`{"at"`, `{ "at"`},
		{`{"at"`, `{"At"`},
		{`{"at"`, `{"\u0061t"`},
		{`{"at"`, `{"new":1,"at"`},
		{`"unconfirmed":true`, `"unconfirmed":false`},
		{`"unconfirmed":true`, `"unconfirmed":1`},
		{`"offset":-`, `"offset":-0`},
		{`"offset":-`, `"offset":+`},
		{`"offset":-`, `"offset":1.5e`},
		{`"job":"4412"`, `"job":4412`},
		{`"job":"4412"`, `"job":null`},
		{`"job":"4412"`, `"job":"44"12"`},
		{`"job":"4412"`, "\"job\":\"44\x0112\""},
		{`"job":"4412"`, "\"job\":\"44\xff12\""},
		{`"job":"4412"`, `"job":"\q"`},
		{`"job":"4412"`, `"job":`},
		{`"heard":{`, `"heard":[`},
		{`"zone":"America/Chicago"}`, `"zone":"America/Chicago"`},
		{`"zone":"America/Chicago"}`, `"zone":"America/Chicago"}}`},
	} {
		text := strings.Replace(canonical, other[0], other[1], 1)
		if text == canonical {
			t.Fatalf("%s is not in %s", other[0], canonical)
		}
		if agrees(t, []byte(text)) {
			t.Errorf("%q for %q is not left to the library", other[1], other[0])
		}
	}
	if !agrees(t, []byte(strings.Replace(canonical, `"job":"4412"`, `"job":"\u00344\"12"`, 1))) {
		t.Error("an escape is left to the library")
	}
}

// The kind is read once, outside the entry's own decode: only where it is there
// once, and is what the library would take.
func TestKindOfAnEntry(t *testing.T) {
	for text, kind := range map[string]string{
		`{"kind":"note","text":"a"}`:               "note",
		`{"text":"a","kind":"note"}`:               "note",
		`{"kind":"miles","Kind":"note"}`:           "note", // the last counts
		`{"kind":"miles","\u006bind":"note"}`:      "note",
		`{"KIND":"note"}`:                          "note",
		`{"text":"a"}`:                             "",
		`{"kind":"kind"}`:                          "",
		`{"kind":3}`:                               "",
		`{"kind":"note","text":"a"`:                "",
		`{"kind":"note","text":{"kind":"miles"}}`:  "",
		`{"kind":"question","point":{"kind":"x"}}`: "question",
	} {
		e, err := decodeEntry([]byte(text))
		switch {
		case kind == "" && err == nil:
			t.Errorf("%s: %+v, want an error", text, e)
		case kind != "" && (err != nil || string(e.Kind()) != kind):
			t.Errorf("%s: %v, %v", text, e, err)
		}
	}
}

// FuzzScan looks for a text that is scanned otherwise than the library reads it.
func FuzzScan(f *testing.F) {
	for i, e := range everyEntry() {
		d := settled(f, e)
		text, err := encode(int64(i+1), &d)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text []byte) { agrees(t, text) })
}
