package pay

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"downlead/export/closeout"
)

// XLSX writes the pay record as a workbook: the jobs with their sums, the
// week's figures, and what to look at. Numbers are numbers, sums too, so that
// a reader that does not reckon shows them; words are never formulas.
func (p Pay) XLSX(w io.Writer) (err error) {
	f := excelize.NewFile()
	defer func() {
		if e := f.Close(); err == nil {
			err = e
		}
	}()
	b := book{f: f}
	b.do(f.SetSheetName("Sheet1", "Jobs"))
	b.jobs(p)
	b.pairs("Week", p.lines())
	var flags [][2]string
	for _, x := range p.Flags {
		flags = append(flags, [2]string{strings.TrimSpace(x.Job + " " + closeout.Plain(x.Code)), x.Text})
	}
	b.pairs("Look at", flags)
	for _, sheet := range f.GetSheetList() {
		b.page(sheet)
	}
	b.onePage("Week")
	b.acrossTwo("Jobs")
	made := p.AsOf.UTC().Format(time.RFC3339)
	b.do(f.SetDocProps(&excelize.DocProperties{
		Created: made, Modified: made, Creator: "downlead " + p.Product, LastModifiedBy: "downlead " + p.Product,
		Title: "Pay of " + p.Week, Description: p.Note,
	}))
	if b.err != nil {
		return fmt.Errorf("write xlsx: %w", b.err)
	}
	if err := f.Write(w); err != nil {
		return fmt.Errorf("write xlsx: %w", err)
	}
	return nil
}

// book keeps the first error of a workbook being built.
type book struct {
	f   *excelize.File
	err error
}

func (b *book) do(err error) {
	if b.err == nil {
		b.err = err
	}
}

func (b *book) cell(col, row int) string {
	name, err := excelize.CoordinatesToCellName(col, row)
	b.do(err)
	return name
}

// page has a sheet printed across, as wide as the paper.
func (b *book) page(sheet string) {
	across, fit, tall := "landscape", true, 0
	b.do(b.f.SetPageLayout(sheet, &excelize.PageLayoutOptions{Orientation: &across, FitToHeight: &tall}))
	b.do(b.f.SetSheetProps(sheet, &excelize.SheetPropsOptions{FitToPage: &fit}))
}

// acrossTwo has a sheet printed two pages wide, so that its figures can be
// read; the heads of columns and the jobs' numbers stand on both.
func (b *book) acrossTwo(sheet string) {
	wide, tall := 2, 0
	b.do(b.f.SetPageLayout(sheet, &excelize.PageLayoutOptions{FitToWidth: &wide, FitToHeight: &tall}))
	b.do(b.f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", Scope: sheet, RefersTo: sheet + "!$A:$D," + sheet + "!$1:$1"}))
}

// onePage has a sheet printed upright on one page.
func (b *book) onePage(sheet string) {
	upright, one := "portrait", 1
	b.do(b.f.SetPageLayout(sheet, &excelize.PageLayoutOptions{Orientation: &upright, FitToWidth: &one, FitToHeight: &one}))
}

// jobs writes the table of jobs, and of the time without, with a row of sums
// below: the week's.
func (b *book) jobs(p Pay) {
	const sheet = "Jobs"
	cols := payColumns[:22] // those of a job; the week has a sheet of its own
	bold, err := b.f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}})
	b.do(err)
	for i, c := range cols {
		b.do(b.f.SetCellStr(sheet, b.cell(i+1, 1), c.Name))
	}
	b.do(b.f.SetRowStyle(sheet, 1, 1, bold))
	var rows [][]string
	for _, j := range p.Jobs {
		rows = append(rows, p.jobCells(j))
	}
	for _, t := range p.Other { // or the sum would lack it
		cells := p.otherCells(t)
		cells[3] = "without: " + string(t.What)
		rows = append(rows, cells)
	}
	for r, cells := range rows {
		for i, s := range cells[:len(cols)] {
			at := b.cell(i+1, r+2)
			if !cols[i].Numeric || s == "" {
				b.do(b.f.SetCellStr(sheet, at, s))
				continue
			}
			v, err := strconv.ParseFloat(s, 64)
			b.do(err)
			b.do(b.f.SetCellFloat(sheet, at, v, -1, 64))
		}
	}
	last := len(rows) + 1
	b.do(b.f.SetCellStr(sheet, b.cell(1, last+1), "sum"))
	sums := p.jobSums()
	for i, c := range cols {
		if v, err := strconv.ParseFloat(sums[i], 64); err == nil && c.Numeric {
			b.do(b.f.SetCellFloat(sheet, b.cell(i+1, last+1), v, -1, 64))
		}
	}
	b.do(b.f.SetRowStyle(sheet, last+1, last+1, bold))
	b.do(b.f.SetPanes(sheet, &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}))
	b.hours(p)
	for _, w := range []struct {
		from, to string
		width    float64
	}{{"A", "E", 11}, {"F", "H", 25}, {"I", "O", 13}, {"P", "P", 26}, {"Q", "U", 13}, {"V", "V", 34}, {"W", "W", 13}} {
		b.do(b.f.SetColWidth(sheet, w.from, w.to, w.width))
	}
}

// hours adds the hours worked to the rows and to that of the sums.
func (b *book) hours(p Pay) {
	const sheet = "Jobs"
	twoPlaces, err := b.f.NewStyle(&excelize.Style{NumFmt: 2}) // 0.00
	b.do(err)
	b.do(b.f.SetCellStr(sheet, "W1", "worked_h"))
	var all []int64
	sum := int64(0)
	for _, j := range p.Jobs {
		all, sum = append(all, j.Worked), sum+j.Worked
	}
	for _, t := range p.Other {
		all, sum = append(all, t.bucket.Worked()), sum+t.bucket.Worked()
	}
	for i, worked := range append(all, sum) {
		at := fmt.Sprintf("W%d", i+2)
		b.do(b.f.SetCellFloat(sheet, at, float64(worked)/3600, -1, 64))
		b.do(b.f.SetCellStyle(sheet, at, at, twoPlaces))
	}
}

// A line of the sheets of names and values: its height in points, and how many
// letters the second column holds. Judged on the printed sheet.
const (
	lineHeight  = 15
	lineLetters = 75
)

// pairs writes a sheet of names and values.
func (b *book) pairs(sheet string, rows [][2]string) {
	_, err := b.f.NewSheet(sheet)
	b.do(err)
	money, err := b.f.NewStyle(&excelize.Style{NumFmt: 2, Alignment: &excelize.Alignment{Horizontal: "left"}}) // 0.00
	b.do(err)
	wrapped, err := b.f.NewStyle(&excelize.Style{Alignment: &excelize.Alignment{Vertical: "top", WrapText: true}})
	b.do(err)
	for i, r := range rows {
		b.do(b.f.SetCellStr(sheet, b.cell(1, i+1), r[0]))
		b.do(b.f.SetCellStyle(sheet, b.cell(1, i+1), b.cell(1, i+1), wrapped))
		at := b.cell(2, i+1)
		if v, err := strconv.ParseFloat(r[1], 64); err == nil {
			b.do(b.f.SetCellFloat(sheet, at, v, 2, 64))
			b.do(b.f.SetCellStyle(sheet, at, at, money))
			continue
		}
		b.do(b.f.SetCellStr(sheet, at, r[1]))
		b.do(b.f.SetCellStyle(sheet, at, at, wrapped))
		b.do(b.f.SetRowHeight(sheet, i+1, lineHeight*float64(1+len(r[1])/lineLetters)))
	}
	b.do(b.f.SetColWidth(sheet, "A", "A", 26))
	b.do(b.f.SetColWidth(sheet, "B", "B", 80))
}
