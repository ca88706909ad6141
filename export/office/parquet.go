package office

import (
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/parquet-go/parquet-go"

	"downlead/export/closeout"
	"downlead/export/file"
	"downlead/grammar/entry"
)

// ParquetRow is a Row with its closeout's head, as columns of a Parquet file.
// Levels and other decimals are doubles there, for engines that count on them.
type ParquetRow struct {
	Head           string   `parquet:"head,dict"`
	Job            string   `parquet:"job,dict"`
	Line           int32    `parquet:"line"`
	Section        string   `parquet:"section,dict"`
	Entry          *int64   `parquet:"entry,optional"`
	At             *int64   `parquet:"at,optional,timestamp(millisecond)"` // UTC
	Name           string   `parquet:"name,dict"`
	Verdict        string   `parquet:"verdict,dict"`
	Level          *float64 `parquet:"level_dbm,optional"`
	LevelMargin    *float64 `parquet:"level_margin_db,optional"`
	Strength       *float64 `parquet:"strength,optional"`
	StrengthMargin *float64 `parquet:"strength_margin,optional"`
	MER            *float64 `parquet:"mer_db,optional"`
	Volts          *float64 `parquet:"volts,optional"`
	Slot           *int32   `parquet:"slot,optional"`
	Transponder    *int32   `parquet:"transponder,optional"`
	Polarity       string   `parquet:"polarity,dict"`
	Quantity       *float64 `parquet:"quantity,optional"`
	LengthFt       *float64 `parquet:"length_ft,optional"`
	Minutes        *float64 `parquet:"minutes,optional"`
	Text           string   `parquet:"text"`
}

// Parquet writes the rows of closeouts as one Parquet file, in their order.
func Parquet(w io.Writer, all []closeout.Closeout, p file.Progress) error {
	out := parquet.NewGenericWriter[ParquetRow](w, parquet.Compression(&parquet.Zstd), parquet.KeyValueMetadata("form", closeout.CloseoutSchema))
	for i, c := range all {
		rows := c.Rows()
		lines := make([]ParquetRow, len(rows))
		for k, r := range rows {
			lines[k] = ToParquet(r, c.Journal.Head)
		}
		if _, err := out.Write(lines); err != nil {
			return fmt.Errorf("write parquet: job %s: %w", c.Job, err)
		}
		p.Tell(i+1, len(all))
	}
	if err := out.Close(); err != nil {
		return fmt.Errorf("write parquet: %w", err)
	}
	return nil
}

func ToParquet(r closeout.Row, head string) ParquetRow {
	return ParquetRow{
		Head: head, Job: r.Job, Line: int32(r.Line), Section: r.Section, Entry: maybeInt64(r.Entry), At: millis(r.At), Name: clean(r.Name), Verdict: r.Verdict,
		Level: double(r.Level), LevelMargin: double(r.LevelMargin), Strength: double(r.Strength), StrengthMargin: double(r.StrengthMargin),
		MER: double(r.MER), Volts: double(r.Volts), Slot: maybeInt32(r.Slot), Transponder: maybeInt32(r.Transponder), Polarity: r.Polarity,
		Quantity: double(r.Quantity), LengthFt: double(r.LengthFt), Minutes: double(r.Minutes), Text: clean(r.Text),
	}
}

func double(d entry.Decimal) *float64 {
	if !d.Said() {
		return nil
	}
	x := d.Float()
	return &x
}

func maybeInt64(n int64) *int64 {
	if n == 0 {
		return nil
	}
	return &n
}

func maybeInt32(n int) *int32 {
	if n == 0 {
		return nil
	}
	m := int32(n)
	return &m
}

func millis(t time.Time) *int64 {
	if t.IsZero() {
		return nil
	}
	m := t.UnixMilli()
	return &m
}

// clean makes words fit for a text column: valid UTF-8 without NUL, which
// databases refuse.
func clean(s string) string { return strings.ReplaceAll(strings.ToValidUTF8(s, "\uFFFD"), "\x00", " ") }
