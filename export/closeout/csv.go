package closeout

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"
	"unicode"

	"downlead/grammar/entry"
)

// CsvColumn is a column of a CSV file: words are made safe for a spreadsheet,
// numbers are numbers and stay as they are.
type CsvColumn struct {
	Name    string
	Numeric bool
}

// csvFormula are the first letters by which a spreadsheet takes a text for a
// formula: OWASP, CSV Injection. The full-width forms are taken alike by some.
const csvFormula = "=+-@\t\r＝＋－＠"

// CsvText makes words safe in a cell: a line break becomes " / ", other
// control characters a space, and a text that would be read as a formula gets
// a leading apostrophe.
func CsvText(s string) string {
	s = strings.ToValidUTF8(s, "\uFFFD")
	danger := s != "" && strings.ContainsRune(csvFormula, []rune(s)[0])
	s = strings.NewReplacer("\r\n", " / ", "\r", " / ", "\n", " / ", "\u2028", " / ", "\u2029", " / ").Replace(s)
	s = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, s)
	if t := strings.TrimLeftFunc(s, unicode.IsSpace); t != "" && strings.ContainsRune(csvFormula, []rune(t)[0]) {
		danger = true // a reader that trims would see the formula
	}
	if danger {
		return "'" + s
	}
	return s
}

// ByteOrderMark, first in a file, tells a spreadsheet that it is UTF-8.
const ByteOrderMark = "\uFEFF"

// WriteCSV writes a table as RFC 4180 has it: CRLF, a header, quotes where
// needed, behind a byte order mark. A cell of a numeric column that is no plain
// decimal is an error.
func WriteCSV(w io.Writer, columns []CsvColumn, rows [][]string) error {
	if _, err := io.WriteString(w, ByteOrderMark); err != nil {
		return fmt.Errorf("write csv: %w", err)
	}
	out := csv.NewWriter(w)
	out.UseCRLF = true
	head := make([]string, len(columns))
	for i, c := range columns {
		head[i] = c.Name
	}
	if err := out.Write(head); err != nil {
		return fmt.Errorf("write csv: %w", err)
	}
	line := make([]string, len(columns))
	for _, r := range rows {
		for i, c := range columns {
			line[i] = r[i]
			if !c.Numeric {
				line[i] = CsvText(r[i])
			} else if r[i] != "" {
				if _, err := entry.ParseDecimal(r[i]); err != nil {
					return fmt.Errorf("write csv: column %s: %w", c.Name, err)
				}
			}
		}
		if err := out.Write(line); err != nil {
			return fmt.Errorf("write csv: %w", err)
		}
	}
	out.Flush()
	if err := out.Error(); err != nil {
		return fmt.Errorf("write csv: %w", err)
	}
	return nil
}

// RowColumns are the columns of a Row, the same in every tabular form.
var RowColumns = []CsvColumn{
	{"job", false},
	{"line", true},
	{"section", false},
	{"entry", true},
	{"at", false},
	{"name", false},
	{"verdict", false},
	{"level_dbm", true},
	{"level_margin_db", true},
	{"strength", true},
	{"strength_margin", true},
	{"mer_db", true},
	{"volts", true},
	{"slot", true},
	{"transponder", true},
	{"polarity", false},
	{"quantity", true},
	{"length_ft", true},
	{"minutes", true},
	{"text", false},
	{"technician", false},
	{"journal", false},
}

// CSV writes the closeout's rows.
func (c Closeout) CSV(w io.Writer) error {
	var rows [][]string
	for _, r := range c.Rows() {
		rows = append(rows, r.cells())
	}
	return WriteCSV(w, RowColumns, rows)
}

func (r Row) cells() []string {
	integer := func(n int) string {
		if n == 0 {
			return ""
		}
		return strconv.Itoa(n)
	}
	at := ""
	if !r.At.IsZero() {
		at = r.At.Format(time.RFC3339)
	}
	return []string{
		r.Job, strconv.Itoa(r.Line), r.Section, integer(int(r.Entry)), at, r.Name, r.Verdict,
		r.Level.String(), r.LevelMargin.String(), r.Strength.String(), r.StrengthMargin.String(), r.MER.String(), r.Volts.String(),
		integer(r.Slot), integer(r.Transponder), r.Polarity, r.Quantity.String(), r.LengthFt.String(), r.Minutes.String(), r.Text,
		r.Technician, r.Journal,
	}
}
