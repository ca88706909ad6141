package main

import (
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"strings"
	"testing"
)

// The order of the packages: each may import only what stands before it. Data
// flows down, imports point up. A folder stands for what is below it, too.
// capture stands apart: it imports nothing of ours but its own.
var order = []string{
	"downlead/capture/soundtest",
	"downlead/capture/sound",
	"downlead/capture/segment",
	"downlead/capture/hear/phoneme",
	"downlead/capture/hear",
	"downlead/capture/confidence",
	"downlead/capture/voice",
	"downlead/capture",
	"downlead/grammar/vocab",
	"downlead/grammar/entry",
	"downlead/grammar/lex",
	"downlead/grammar/talk",
	"downlead/grammar/speech",
	"downlead/grammar",
	"downlead/journal/record",
	"downlead/journal",
	"downlead/diagnose/calltest",
	"downlead/diagnose/visit",
	"downlead/diagnose/path",
	"downlead/diagnose/trace",
	"downlead/diagnose/level",
	"downlead/diagnose/fault",
	"downlead/diagnose/next",
	"downlead/diagnose/call",
	"downlead/diagnose/claim",
	"downlead/diagnose",
	"downlead/export/exporttest",
	"downlead/export/exif",
	"downlead/export/file",
	"downlead/export/shown",
	"downlead/export/closeout",
	"downlead/export/figure",
	"downlead/export/pdf",
	"downlead/export/archive",
	"downlead/export/pay",
	"downlead/export/day",
	"downlead/export/quality",
	"downlead/export/office",
	"downlead/export",
	"downlead/testdata",
	"downlead/cmd/downlead/guard",
	"downlead/cmd/downlead/dialogue",
	"downlead/cmd/downlead/phone",
	"downlead/cmd/downlead/review",
	"downlead/cmd/downlead/cli",
	"downlead/cmd/downlead/language",
	"downlead/cmd/downlead/field",
	"downlead/cmd/downlead/listen",
	"downlead/cmd/downlead/records",
	"downlead/cmd/downlead/example",
	"downlead/cmd/downlead/upkeep",
	"downlead/cmd",
}

// Libraries that one folder alone may know.
var fenced = map[string]string{
	"github.com/gen2brain/malgo":            "downlead/capture/sound",
	"github.com/yalue/onnxruntime_go":       "downlead/capture/hear",
	"github.com/alecthomas/participle/v2":   "downlead/grammar",
	"github.com/mewkiz/flac":                "downlead/capture/sound",
	"github.com/hajimehoshi/go-mp3":         "downlead/capture/sound",
	"gonum.org/v1/gonum":                    "downlead/capture",
	"github.com/xuri/excelize/v2":           "downlead/export/pay",
	"github.com/mattn/go-sqlite3":           "downlead/journal",
	"golang.org/x/term":                     "downlead/cmd/downlead",
	"github.com/spf13/cobra":                "downlead/cmd/downlead",
	"github.com/jackc/pgx/v5":               "downlead/export/office",
	"github.com/parquet-go/parquet-go":      "downlead/export/office",
	"codeberg.org/go-pdf/fpdf":              "downlead/export/pdf",
	"github.com/coder/websocket":            "downlead/cmd/downlead/phone",
	"github.com/boombuler/barcode":          "downlead/cmd/downlead/phone",
	"github.com/santhosh-tekuri/jsonschema": "downlead/export",
}

// What the arithmetic must not link, test helpers aside: it is pure.
var impure = []string{"github.com/mattn/go-sqlite3", "github.com/alecthomas/participle/v2", "runtime/cgo"}

// mostFiles is how many files, tests aside, one can look over in a package.
const mostFiles = 25

type listed struct {
	ImportPath        string
	GoFiles, CgoFiles []string
	Imports           []string
}

func packages(t *testing.T, args ...string) []listed {
	t.Helper()
	out, err := exec.Command("go", append([]string{"list", "-json=ImportPath,GoFiles,CgoFiles,Imports"}, args...)...).Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var all []listed
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p listed
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			return all
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
}

func under(p, folder string) bool { return p == folder || strings.HasPrefix(p, folder+"/") }

// place is the index in order of the nearest folder, or -1.
func place(p string) int {
	best := -1
	for i, folder := range order {
		if under(p, folder) && (best < 0 || len(folder) > len(order[best])) {
			best = i
		}
	}
	return best
}

func TestPackagesKnowOnlyWhatTheyMay(t *testing.T) {
	all := packages(t, "downlead/...")
	if len(all) < 20 {
		t.Errorf("saw %d packages only", len(all))
	}
	for _, p := range all {
		if n := len(p.GoFiles) + len(p.CgoFiles); n > mostFiles {
			t.Errorf("%s has %d files, more than %d", p.ImportPath, n, mostFiles)
		}
		in := place(p.ImportPath)
		for _, imported := range p.Imports {
			switch {
			case !strings.HasPrefix(imported, "downlead/"):
			case under(p.ImportPath, "downlead/capture") && !under(imported, "downlead/capture"):
				t.Errorf("%s imports %s", p.ImportPath, imported)
			case in < 0:
				t.Errorf("%s has no place in the order", p.ImportPath)
			case under(imported, "downlead/capture") && !under(p.ImportPath, "downlead/capture") && !under(p.ImportPath, "downlead/cmd"):
				t.Errorf("%s imports %s", p.ImportPath, imported)
			case place(imported) > in:
				t.Errorf("%s imports %s, which comes after it", p.ImportPath, imported)
			}
		}
		for _, imported := range p.Imports { // tests may hold ours against any library
			for library, owner := range fenced {
				if under(imported, library) && !under(p.ImportPath, owner) {
					t.Errorf("%s imports %s, which only %s may", p.ImportPath, imported, owner)
				}
			}
		}
	}
}

func TestArithmeticIsPure(t *testing.T) {
	for _, p := range packages(t, "-deps", "downlead/diagnose/...", "downlead/grammar/entry", "downlead/journal/record") {
		for _, library := range impure {
			if under(p.ImportPath, library) {
				t.Errorf("the arithmetic links %s", p.ImportPath)
			}
		}
	}
}
