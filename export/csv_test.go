package export

import (
	"bytes"
	"encoding/csv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"downlead/export/closeout"
	"downlead/export/exporttest"
	"downlead/grammar/entry"
)

// TestCSVText: the letters that begin a formula are those of OWASP's page on
// CSV injection (equals, plus, minus, at, tab, carriage return).
func TestCSVText(t *testing.T) {
	tests := []struct{ in, want string }{
		{"", ""},
		{"plain", "plain"},
		{"=1+1", "'=1+1"},
		{"+1", "'+1"},
		{"-41", "'-41"},
		{"@SUM(A1)", "'@SUM(A1)"},
		{"\t=1", "' =1"},
		{"\r=1", "' / =1"},
		{"  =1", "'  =1"},
		{"＝1", "'＝1"},
		{"two\r\nlines", "two / lines"},
		{"two\nlines", "two / lines"},
		{"a \"quote\", a comma", "a \"quote\", a comma"},
		{"a\x00b", "a b"},
		{"a\xffb", "a\uFFFDb"},
	}
	for _, tt := range tests {
		if got := closeout.CsvText(tt.in); got != tt.want {
			t.Errorf("%q: got %q, want %q", tt.in, got, tt.want)
		}
	}
}

func TestCSVRefusesWordsInNumbers(t *testing.T) {
	cols := []closeout.CsvColumn{{Name: "words", Numeric: false}, {Name: "number", Numeric: true}}
	if err := closeout.WriteCSV(&bytes.Buffer{}, cols, [][]string{{"a", "-41.5"}, {"b", ""}}); err != nil {
		t.Error(err)
	}
	for _, bad := range []string{"=1", "1e3", "0x10", "1,5", " 1", "+1"} {
		if err := closeout.WriteCSV(&bytes.Buffer{}, cols, [][]string{{"a", bad}}); err == nil || !strings.Contains(err.Error(), "number") {
			t.Errorf("%q: %v", bad, err)
		}
	}
}

func TestCloseoutCSV(t *testing.T) {
	raw := exporttest.Render(t, func(b *bytes.Buffer) error { return closeoutOf(t, twoFaults(t)).CSV(b) })
	exporttest.Golden(t, "whole.csv", raw)
	rows, err := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(raw, []byte(closeout.ByteOrderMark)))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for i, c := range closeout.RowColumns {
		if rows[0][i] != c.Name {
			t.Errorf("column %d is %q", i, rows[0][i])
		}
		for _, r := range rows[1:] {
			if c.Numeric && r[i] != "" {
				if _, err := entry.ParseDecimal(r[i]); err != nil {
					t.Errorf("%s: %v", c.Name, err)
				}
			}
		}
	}
	// The baseline stands there twice, as a reading and as "before", in numbers.
	if n := bytes.Count(raw, []byte(",-58,-8,41,-34,")); n != 2 {
		t.Errorf("the baseline stands there %d times", n)
	}
}

// FuzzCSV: whatever is said, the file reads back as one row whose words begin
// with no formula and hold no line break, and the number stays a number.
func FuzzCSV(f *testing.F) {
	for _, s := range []string{"=cmd|' /C calc'!A0", "-2+3", "a\r\nb", "\"", "'", ",", "\t", " ", "\u2028=1", "＋1", "x\x00"} {
		f.Add(s)
	}
	cols := []closeout.CsvColumn{{Name: "before", Numeric: false}, {Name: "number", Numeric: true}, {Name: "after", Numeric: false}}
	f.Fuzz(func(t *testing.T, s string) {
		var b bytes.Buffer
		if err := closeout.WriteCSV(&b, cols, [][]string{{s, "-41.5", s}}); err != nil {
			t.Fatal(err)
		}
		b.Next(len(closeout.ByteOrderMark))
		rows, err := csv.NewReader(&b).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff([]string{closeout.CsvText(s), "-41.5", closeout.CsvText(s)}, rows[1]); len(rows) != 2 || d != "" {
			t.Fatalf("%d rows: %s", len(rows), d)
		}
		cell := strings.TrimSpace(rows[1][0])
		if cell != "" && strings.ContainsRune("=+-@\t\r＝＋－＠", []rune(cell)[0]) {
			t.Errorf("%q begins a formula", cell)
		}
		if strings.ContainsAny(rows[1][0], "\r\n\x00") {
			t.Errorf("%q holds a line break", rows[1][0])
		}
	})
}
