package pay

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"downlead/export/closeout"
	"downlead/export/exporttest"
)

// readers has four readers of npm read a CSV file and a workbook, and prints
// what each made of it: two lists of lists for either.
const readers = `
const fs = require("fs"), papa = require("papaparse"), { parse } = require("csv-parse/sync");
const sheets = require("read-excel-file/node"), xlsx = require("@e965/xlsx");
const [csv, book] = process.argv.slice(1);
const text = fs.readFileSync(csv, "utf8");
(async () => {
  const out = { csv: [papa.parse(text, { skipEmptyLines: true }).data, parse(text, { bom: true })], jobs: [], week: [] };
  for (const [key, name] of [["jobs", "Jobs"], ["week", "Week"]]) {
    out[key].push(await sheets.readSheet(book, name));
    out[key].push(xlsx.utils.sheet_to_json(xlsx.readFile(book).Sheets[name], { header: 1, raw: true, defval: null }));
  }
  console.log(JSON.stringify(out));
})();
`

// TestOtherReaders: what a spreadsheet's user sees does not hang on one
// program: the header is the header, accents are accents, figures are numbers,
// sums are there without being reckoned.
func TestOtherReaders(t *testing.T) {
	cache, err := os.UserCacheDir()
	if err != nil {
		t.Skip("there is no cache folder")
	}
	modules := filepath.Join(cache, "downlead-test", "sheets", "node_modules")
	node, err := exec.LookPath("node")
	if _, missing := os.Stat(filepath.Join(modules, "@e965", "xlsx")); err != nil || missing != nil {
		t.Skip("the readers of npm are not installed: make setup-test installs them")
	}
	p := fullWeek(t)
	p.Employee = "Ana Núñez — Łódź"
	for i := range p.Jobs {
		p.Jobs[i].Employee = p.Employee
	}
	dir := t.TempDir()
	table, book := filepath.Join(dir, "pay.csv"), filepath.Join(dir, "pay.xlsx")
	for name, raw := range map[string][]byte{
		table: exporttest.Render(t, func(b *bytes.Buffer) error { return p.CSV(b) }),
		book:  exporttest.Render(t, func(b *bytes.Buffer) error { return p.XLSX(b) }),
	} {
		if err := os.WriteFile(name, raw, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	cmd := exec.Command(node, "-e", readers, table, book)
	cmd.Env = append(os.Environ(), "NODE_PATH="+modules)
	raw, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	var read struct {
		CSV        [2][][]string
		Jobs, Week [2][][]any
	}
	if err := json.Unmarshal(raw, &read); err != nil {
		t.Fatalf("%v: %.200s", err, raw)
	}
	for i, rows := range read.CSV {
		if len(rows) != 1+len(p.Jobs)+len(p.Other)+len(p.Days)+1 {
			t.Errorf("CSV reader %d: %d rows", i, len(rows))
		}
		// The header must be what the first column is called, without the mark.
		if want := strings.TrimPrefix(rows[0][0], closeout.ByteOrderMark); rows[0][0] != want || want != payColumns[0].Name {
			t.Errorf("CSV reader %d: the first column is %q", i, rows[0][0])
		}
		for k, c := range p.jobCells(p.Jobs[0]) {
			if got := rows[1][k]; got != c && got != "'"+c {
				t.Errorf("CSV reader %d: %s is %q, want %q", i, payColumns[k].Name, got, c)
			}
		}
	}
	for i := range 2 {
		sum := read.Jobs[i][len(p.Jobs)+1]
		for k, s := range p.jobSums()[:22] {
			want, err := strconv.ParseFloat(s, 64)
			if err != nil || !payColumns[k].Numeric {
				continue
			}
			if got, ok := sum[k].(float64); !ok || got < want-1e-9 || got > want+1e-9 {
				t.Errorf("workbook reader %d: the sum of %s is %v, want the number %v", i, payColumns[k].Name, sum[k], want)
			}
		}
		if got := read.Jobs[i][1][1]; got != p.Employee {
			t.Errorf("workbook reader %d: the employee is %v", i, got)
		}
		shown := map[string]string{}
		for _, r := range read.Week[i] {
			shown[fmt.Sprint(r[0])] = fmt.Sprint(r[1])
		}
		for name, want := range map[string]string{"employee": p.Employee, "policies in force": p.Policy.words(), "check total": "588"} {
			if shown[name] != want {
				t.Errorf("workbook reader %d: %s is %q, want %q", i, name, shown[name], want)
			}
		}
	}
}
