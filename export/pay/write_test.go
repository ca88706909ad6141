package pay

import (
	"bytes"
	"encoding/csv"
	"math/big"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/xuri/excelize/v2"

	"downlead/export/closeout"
	"downlead/export/exporttest"
	"downlead/grammar/entry"
)

func fullWeek(t testing.TB) Pay {
	w := newWorker(t)
	w.days("2026-11-16", 46)
	for i := range w.out {
		c := &w.out[i]
		c.Miles = []Drive{{Entry: 4, At: c.Marks[0].At, Miles: exporttest.Num("12.5")}}
		c.Codes = []closeout.Code{{Entry: 3, At: c.Marks[0].At, Code: "=7", Units: exporttest.Num("1.5")}}
		c.Materials = []UsedPart{{c.Marks[0].At, entry.Material{Item: "fitting", Quantity: 2}}}
	}
	p, err := w.pay(hourly12, "2026-W47")
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestPayCSVAndText(t *testing.T) {
	p := fullWeek(t)
	exporttest.Golden(t, "pay.csv", exporttest.Render(t, func(b *bytes.Buffer) error { return p.CSV(b) }))
	exporttest.Golden(t, "pay.txt", exporttest.Render(t, func(b *bytes.Buffer) error { return p.Text(b) }))
	exporttest.Golden(t, "pay.json", exporttest.Render(t, func(b *bytes.Buffer) error { return p.JSON(b) }))
}

// TestXLSX has LibreOffice open the workbook and reckon its sums.
func TestXLSX(t *testing.T) {
	p := fullWeek(t)
	raw := exporttest.Render(t, func(b *bytes.Buffer) error { return p.XLSX(b) })
	if !bytes.Equal(raw, exporttest.Render(t, func(b *bytes.Buffer) error { return p.XLSX(b) })) {
		t.Error("two workbooks of one week differ")
	}
	office, err := exec.LookPath("soffice")
	if err != nil {
		t.Skip("soffice is not installed")
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "pay.xlsx"), raw, 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(office, "-env:UserInstallation=file://"+filepath.Join(dir, "profile"), "--headless", "--convert-to", "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false,false,false,1", "--outdir", dir, filepath.Join(dir, "pay.xlsx"))
	cmd.Env = append(os.Environ(), "HOME="+dir)
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	names, _ := filepath.Glob(filepath.Join(dir, "*.csv"))
	if len(names) != 1 {
		t.Fatalf("converted to %v", names)
	}
	f, err := os.Open(names[0])
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	sum := rows[len(p.Jobs)+1]
	week := p.weekCells()
	compared := 0
	for i, c := range payColumns[:22] {
		if !c.Numeric || c.Name == "mile_rate" {
			continue
		}
		want, got := new(big.Rat), new(big.Rat)
		if _, ok := want.SetString(week[i]); !ok {
			t.Fatalf("%s: %q", c.Name, week[i])
		}
		if _, ok := got.SetString(sum[i]); !ok {
			t.Fatalf("%s: LibreOffice shows %q", c.Name, sum[i])
		}
		diff := new(big.Rat).Sub(want, got)
		if diff.Abs(diff).Cmp(big.NewRat(1, 100)) >= 0 {
			t.Errorf("%s: LibreOffice reckons %s, the record %s", c.Name, sum[i], week[i])
		}
		compared++
	}
	if sum[22] != "46" {
		t.Errorf("LibreOffice reckons %q hours worked", sum[22])
	}
	if compared != 11 || rows[1][15] != "=7 × 1.5" {
		t.Errorf("%d columns compared; the code is %q", compared, rows[1][15])
	}
}

// TestWorkbookHasTheWholeWeek: the sum below the jobs is the week's, with the
// time that is of none: 1 h in the shop, 8 h on a job.
func TestWorkbookHasTheWholeWeek(t *testing.T) {
	w := newWorker(t)
	w.job("", "shop_time 2026-11-17 07:00")
	w.job("1", "arrived 2026-11-17 08:00", "departed 2026-11-17 16:00")
	p, err := w.pay(hourly12, "2026-W47")
	if err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(bytes.NewReader(exporttest.Render(t, func(b *bytes.Buffer) error { return p.XLSX(b) })))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for at, want := range map[string]string{"A4": "sum", "D3": "without: shop", "O3": "3600", "W3": "1.00", "O4": "32400", "W4": "9.00"} {
		got, err := f.GetCellValue("Jobs", at)
		if err != nil || got != want {
			t.Errorf("%s: %q, want %q, %v", at, got, want, err)
		}
	}
}
