package main

import (
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// May of ours: data flows down, imports point up. cmd may know everything.
var mayImport = map[string][]string{
	"downlead/capture":      {"downlead/capture/hear"},
	"downlead/capture/hear": {},
	"downlead/grammar":      {},
	"downlead/journal":      {"downlead/grammar"},
	"downlead/diagnose":     {"downlead/grammar", "downlead/journal"},
	"downlead/export":       {"downlead/grammar", "downlead/journal", "downlead/diagnose"},
}

// Libraries that one package alone may know.
var fenced = map[string]string{
	"github.com/gen2brain/malgo":            "downlead/capture",
	"github.com/yalue/onnxruntime_go":       "downlead/capture/hear",
	"github.com/alecthomas/participle/v2":   "downlead/grammar",
	"github.com/mewkiz/flac":                "downlead/capture",
	"github.com/hajimehoshi/go-mp3":         "downlead/capture",
	"gonum.org/v1/gonum":                    "downlead/capture",
	"github.com/xuri/excelize/v2":           "downlead/export",
	"github.com/mattn/go-sqlite3":           "downlead/journal",
	"github.com/spf13/cobra":                "downlead/cmd/downlead",
	"github.com/jackc/pgx/v5":               "downlead/export",
	"github.com/parquet-go/parquet-go":      "downlead/export",
	"codeberg.org/go-pdf/fpdf":              "downlead/export",
	"github.com/santhosh-tekuri/jsonschema": "downlead/export",
}

func TestPackagesKnowOnlyWhatTheyMay(t *testing.T) {
	out, err := exec.Command("go", "list", "-json=ImportPath,Imports,TestImports,XTestImports", "downlead/...").Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	seen := 0
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p struct {
			ImportPath                         string
			Imports, TestImports, XTestImports []string
		}
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		seen++
		for _, imported := range slices.Concat(p.Imports, p.TestImports, p.XTestImports) {
			allowed, ruled := mayImport[p.ImportPath]
			if strings.HasPrefix(imported, "downlead/") && ruled && imported != p.ImportPath && !slices.Contains(allowed, imported) {
				t.Errorf("%s imports %s", p.ImportPath, imported)
			}
			for library, owner := range fenced {
				if (imported == library || strings.HasPrefix(imported, library+"/")) && p.ImportPath != owner {
					t.Errorf("%s imports %s, which only %s may", p.ImportPath, imported, owner)
				}
			}
		}
	}
	if seen < len(mayImport)+1 {
		t.Errorf("saw %d packages, want at least %d", seen, len(mayImport)+1)
	}
}
