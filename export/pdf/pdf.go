package pdf

import (
	"fmt"
	"io"
	"time"

	"codeberg.org/go-fonts/liberation/liberationmonoregular"
	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-pdf/fpdf"

	"downlead/export/closeout"
	"downlead/export/figure"
)

// Letter paper, millimetres.
const (
	pageWidth  = 215.9
	pageHeight = 279.4
	PageMargin = 14.0
	BodyWidth  = pageWidth - 2*PageMargin
	bodyBottom = pageHeight - 15
)

// Sheet is a PDF document being written from top to bottom. It is a canvas.
type Sheet struct {
	pdf    *fpdf.Fpdf
	Y      float64
	glyphs glyphs
}

// SheetInfo is what stands in the document's metadata and on every page.
type SheetInfo struct {
	Title, Subject, Product, Footer string
	Made                            time.Time
}

// NewSheet starts a document. Dates come from info, fonts are embedded, and
// objects are written in a fixed order, so the same input gives the same bytes.
func NewSheet(info SheetInfo) *Sheet {
	p := fpdf.New("P", "mm", "Letter", "")
	s := &Sheet{pdf: p, glyphs: newGlyphs()}
	p.SetCatalogSort(true)
	p.SetCreationDate(info.Made.UTC())
	p.SetModificationDate(info.Made.UTC())
	p.SetTitle(s.glyphs.printable(info.Title), true)
	p.SetSubject(info.Subject, true)
	p.SetCreator("downlead "+info.Product, true)
	p.SetProducer("downlead "+info.Product, true)
	p.SetLang("en")
	p.AddUTF8FontFromBytes("sans", "", liberationsansregular.TTF)
	p.AddUTF8FontFromBytes("sans", "B", liberationsansbold.TTF)
	p.AddUTF8FontFromBytes("mono", "", liberationmonoregular.TTF)
	p.SetAutoPageBreak(false, 0)
	p.SetMargins(PageMargin, PageMargin, PageMargin)
	p.AliasNbPages("{pages}")
	p.SetFooterFunc(func() {
		p.SetTextColor(figure.Gray.R, figure.Gray.G, figure.Gray.B)
		p.SetFont("sans", "", 6.5)
		p.Text(PageMargin, pageHeight-8, s.glyphs.printable(info.Footer))
		n := fmt.Sprintf("page %d of {pages}", p.PageNo())
		p.Text(pageWidth-PageMargin-p.GetStringWidth("page 1 of 2"), pageHeight-8, n)
	})
	s.newPage()
	return s
}

func (s *Sheet) newPage() {
	s.pdf.AddPage()
	s.Y = PageMargin
}

// need starts a new page unless h more millimetres fit.
func (s *Sheet) need(h float64) {
	if s.Y+h > bodyBottom {
		s.newPage()
	}
}

func (s *Sheet) Save(w io.Writer) error {
	if err := s.pdf.Output(w); err != nil {
		return fmt.Errorf("write pdf: %w", err)
	}
	return nil
}

func (s *Sheet) font(size float64, bold bool) {
	style := ""
	if bold {
		style = "B"
	}
	s.pdf.SetFont("sans", style, size)
}

func (s *Sheet) Line(x1, y1, x2, y2, width float64, c figure.Rgb, dashed bool) {
	s.pdf.SetDrawColor(c.R, c.G, c.B)
	s.pdf.SetLineWidth(width)
	if dashed {
		s.pdf.SetDashPattern([]float64{1.2, 0.9}, 0)
		defer s.pdf.SetDashPattern(nil, 0)
	}
	s.pdf.Line(x1, y1, x2, y2)
}

func (s *Sheet) paint(width float64, stroke, fill figure.Rgb) {
	s.pdf.SetLineWidth(width)
	s.pdf.SetDrawColor(stroke.R, stroke.G, stroke.B)
	s.pdf.SetFillColor(fill.R, fill.G, fill.B)
}

func (s *Sheet) Rect(x, y, w, h, width float64, stroke, fill figure.Rgb) {
	s.paint(width, stroke, fill)
	s.pdf.Rect(x, y, w, h, "FD")
}

func (s *Sheet) Circle(x, y, r, width float64, stroke, fill figure.Rgb) {
	s.paint(width, stroke, fill)
	s.pdf.Circle(x, y, r, "FD")
}

func (s *Sheet) Text(x, y, size float64, bold bool, a figure.Anchor, c figure.Rgb, t string) {
	t = s.glyphs.printable(t)
	s.font(size, bold)
	s.pdf.SetTextColor(c.R, c.G, c.B)
	switch w := s.pdf.GetStringWidth(t); a {
	case figure.Centre:
		x -= w / 2
	case figure.Right:
		x -= w
	}
	s.pdf.Text(x, y, t)
}

func (s *Sheet) TextWidth(size float64, bold bool, t string) float64 {
	s.font(size, bold)
	return s.pdf.GetStringWidth(s.glyphs.printable(t))
}

// Heading begins a section; keep is how much must follow it on the page.
func (s *Sheet) Heading(t string, keep float64) {
	s.need(8 + keep)
	s.Y += 5.6
	s.Text(PageMargin, s.Y, 10, true, figure.Left, figure.Black, t)
	s.Y += 1.4
	s.Line(PageMargin, s.Y, PageMargin+BodyWidth, s.Y, 0.2, figure.Gray, false)
	s.Y += 1.2
}

const TextLine = 3.9 // distance of lines at 8.5 points, millimetres

// Paragraph writes wrapped text, indented by x.
func (s *Sheet) Paragraph(t string, x float64, bold bool) {
	for _, l := range figure.Wrap(s, 8.5, bold, t, BodyWidth-x) {
		s.need(TextLine)
		s.Y += TextLine
		s.Text(PageMargin+x, s.Y-0.7, 8.5, bold, figure.Left, figure.Black, l)
	}
}

// bullet writes a paragraph behind a dash.
func (s *Sheet) bullet(t string) {
	s.need(TextLine)
	s.Text(PageMargin+1, s.Y+TextLine-0.7, 8.5, false, figure.Left, figure.Gray, "–")
	s.Paragraph(t, 4, false)
}

// Column is a column of a table; width is a share of the body's width.
type Column struct {
	Head  string
	Share float64
	Right bool
}

// Table writes rows under a head that is repeated on every page.
func (s *Sheet) Table(cols []Column, rows [][]closeout.Cell) {
	head := make([]closeout.Cell, len(cols))
	for i, c := range cols {
		head[i] = closeout.Cell{Text: c.Head, Bold: true}
	}
	s.row(cols, head)
	for _, r := range rows {
		h := s.rowHeight(cols, r)
		if s.Y+h > bodyBottom {
			s.newPage()
			s.row(cols, head)
		}
		s.row(cols, r)
	}
	s.Y += 1
}

// together is how much of a table must follow its heading: all of a short
// one, the beginning of a long one.
func (s *Sheet) together(cols []Column, rows [][]closeout.Cell) float64 {
	const most = 80 // millimetres
	h := tableLine + 1.0
	for _, r := range rows {
		h += s.rowHeight(cols, r)
	}
	if h > most {
		return 20
	}
	return h
}

const (
	tableSize = 7.6 // points
	tableLine = 3.3 // millimetres
)

func (s *Sheet) cellLines(c Column, x closeout.Cell) []string {
	w := c.Share*BodyWidth - 1.6
	if x.Verdict != nil {
		w -= 3
	}
	return figure.Wrap(s, tableSize, x.Bold, x.Text, w)
}

func (s *Sheet) rowHeight(cols []Column, r []closeout.Cell) float64 {
	n := 1
	for i := range cols {
		n = max(n, len(s.cellLines(cols[i], r[i])))
	}
	return float64(n)*tableLine + 1
}

func (s *Sheet) row(cols []Column, r []closeout.Cell) {
	x, h := PageMargin, s.rowHeight(cols, r)
	for i, c := range cols {
		w := c.Share * BodyWidth
		tx := x + 0.8
		if r[i].Verdict != nil && r[i].Text != "" {
			figure.Mark(s, tx+1.1, s.Y+2.3, 1, *r[i].Verdict, false)
			tx += 3
		}
		for k, l := range s.cellLines(c, r[i]) {
			y := s.Y + 3.1 + tableLine*float64(k)
			if c.Right {
				s.Text(x+w-0.8, y, tableSize, r[i].Bold, figure.Right, figure.Black, l)
			} else {
				s.Text(tx, y, tableSize, r[i].Bold, figure.Left, figure.Black, l)
			}
		}
		x += w
	}
	s.Y += h
	s.Line(PageMargin, s.Y, PageMargin+BodyWidth, s.Y, 0.1, figure.Pale, false)
}
