package export

import (
	"fmt"
	"io"
	"time"

	"codeberg.org/go-fonts/liberation/liberationmonoregular"
	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-pdf/fpdf"
)

// Letter paper, millimetres.
const (
	pageWidth  = 215.9
	pageHeight = 279.4
	pageMargin = 14.0
	bodyWidth  = pageWidth - 2*pageMargin
	bodyBottom = pageHeight - 15
)

// sheet is a PDF document being written from top to bottom. It is a canvas.
type sheet struct {
	pdf    *fpdf.Fpdf
	y      float64
	glyphs glyphs
}

// sheetInfo is what stands in the document's metadata and on every page.
type sheetInfo struct {
	title, subject, product, footer string
	made                            time.Time
}

// newSheet starts a document. Dates come from info, fonts are embedded, and
// objects are written in a fixed order, so the same input gives the same bytes.
func newSheet(info sheetInfo) *sheet {
	p := fpdf.New("P", "mm", "Letter", "")
	s := &sheet{pdf: p, glyphs: newGlyphs()}
	p.SetCatalogSort(true)
	p.SetCreationDate(info.made.UTC())
	p.SetModificationDate(info.made.UTC())
	p.SetTitle(s.glyphs.printable(info.title), true)
	p.SetSubject(info.subject, true)
	p.SetCreator("downlead "+info.product, true)
	p.SetProducer("downlead "+info.product, true)
	p.SetLang("en")
	p.AddUTF8FontFromBytes("sans", "", liberationsansregular.TTF)
	p.AddUTF8FontFromBytes("sans", "B", liberationsansbold.TTF)
	p.AddUTF8FontFromBytes("mono", "", liberationmonoregular.TTF)
	p.SetAutoPageBreak(false, 0)
	p.SetMargins(pageMargin, pageMargin, pageMargin)
	p.AliasNbPages("{pages}")
	p.SetFooterFunc(func() {
		p.SetTextColor(gray.r, gray.g, gray.b)
		p.SetFont("sans", "", 6.5)
		p.Text(pageMargin, pageHeight-8, s.glyphs.printable(info.footer))
		n := fmt.Sprintf("page %d of {pages}", p.PageNo())
		p.Text(pageWidth-pageMargin-p.GetStringWidth("page 1 of 2"), pageHeight-8, n)
	})
	s.newPage()
	return s
}

func (s *sheet) newPage() {
	s.pdf.AddPage()
	s.y = pageMargin
}

// need starts a new page unless h more millimetres fit.
func (s *sheet) need(h float64) {
	if s.y+h > bodyBottom {
		s.newPage()
	}
}

func (s *sheet) writeTo(w io.Writer) error {
	if err := s.pdf.Output(w); err != nil {
		return fmt.Errorf("write pdf: %w", err)
	}
	return nil
}

func (s *sheet) font(size float64, bold bool) {
	style := ""
	if bold {
		style = "B"
	}
	s.pdf.SetFont("sans", style, size)
}

func (s *sheet) line(x1, y1, x2, y2, width float64, c rgb, dashed bool) {
	s.pdf.SetDrawColor(c.r, c.g, c.b)
	s.pdf.SetLineWidth(width)
	if dashed {
		s.pdf.SetDashPattern([]float64{1.2, 0.9}, 0)
		defer s.pdf.SetDashPattern(nil, 0)
	}
	s.pdf.Line(x1, y1, x2, y2)
}

func (s *sheet) paint(width float64, stroke, fill rgb) {
	s.pdf.SetLineWidth(width)
	s.pdf.SetDrawColor(stroke.r, stroke.g, stroke.b)
	s.pdf.SetFillColor(fill.r, fill.g, fill.b)
}

func (s *sheet) rect(x, y, w, h, width float64, stroke, fill rgb) {
	s.paint(width, stroke, fill)
	s.pdf.Rect(x, y, w, h, "FD")
}

func (s *sheet) circle(x, y, r, width float64, stroke, fill rgb) {
	s.paint(width, stroke, fill)
	s.pdf.Circle(x, y, r, "FD")
}

func (s *sheet) text(x, y, size float64, bold bool, a anchor, c rgb, t string) {
	t = s.glyphs.printable(t)
	s.font(size, bold)
	s.pdf.SetTextColor(c.r, c.g, c.b)
	switch w := s.pdf.GetStringWidth(t); a {
	case centre:
		x -= w / 2
	case right:
		x -= w
	}
	s.pdf.Text(x, y, t)
}

func (s *sheet) textWidth(size float64, bold bool, t string) float64 {
	s.font(size, bold)
	return s.pdf.GetStringWidth(s.glyphs.printable(t))
}

// heading begins a section; keep is how much must follow it on the page.
func (s *sheet) heading(t string, keep float64) {
	s.need(8 + keep)
	s.y += 5.6
	s.text(pageMargin, s.y, 10, true, left, black, t)
	s.y += 1.4
	s.line(pageMargin, s.y, pageMargin+bodyWidth, s.y, 0.2, gray, false)
	s.y += 1.2
}

const textLine = 3.9 // distance of lines at 8.5 points, millimetres

// paragraph writes wrapped text, indented by x.
func (s *sheet) paragraph(t string, x float64, bold bool) {
	for _, l := range wrap(s, 8.5, bold, t, bodyWidth-x) {
		s.need(textLine)
		s.y += textLine
		s.text(pageMargin+x, s.y-0.7, 8.5, bold, left, black, l)
	}
}

// bullet writes a paragraph behind a dash.
func (s *sheet) bullet(t string) {
	s.need(textLine)
	s.text(pageMargin+1, s.y+textLine-0.7, 8.5, false, left, gray, "–")
	s.paragraph(t, 4, false)
}

// column is a column of a table; width is a share of the body's width.
type column struct {
	head  string
	share float64
	right bool
}

// table writes rows under a head that is repeated on every page.
func (s *sheet) table(cols []column, rows [][]cell) {
	head := make([]cell, len(cols))
	for i, c := range cols {
		head[i] = cell{text: c.head, bold: true}
	}
	s.row(cols, head)
	for _, r := range rows {
		h := s.rowHeight(cols, r)
		if s.y+h > bodyBottom {
			s.newPage()
			s.row(cols, head)
		}
		s.row(cols, r)
	}
	s.y += 1
}

// together is how much of a table must follow its heading: all of a short
// one, the beginning of a long one.
func (s *sheet) together(cols []column, rows [][]cell) float64 {
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

func (s *sheet) cellLines(c column, x cell) []string {
	w := c.share*bodyWidth - 1.6
	if x.verdict != nil {
		w -= 3
	}
	return wrap(s, tableSize, x.bold, x.text, w)
}

func (s *sheet) rowHeight(cols []column, r []cell) float64 {
	n := 1
	for i := range cols {
		n = max(n, len(s.cellLines(cols[i], r[i])))
	}
	return float64(n)*tableLine + 1
}

func (s *sheet) row(cols []column, r []cell) {
	x, h := pageMargin, s.rowHeight(cols, r)
	for i, c := range cols {
		w := c.share * bodyWidth
		tx := x + 0.8
		if r[i].verdict != nil && r[i].text != "" {
			mark(s, tx+1.1, s.y+2.3, 1, *r[i].verdict, false)
			tx += 3
		}
		for k, l := range s.cellLines(c, r[i]) {
			y := s.y + 3.1 + tableLine*float64(k)
			if c.right {
				s.text(x+w-0.8, y, tableSize, r[i].bold, right, black, l)
			} else {
				s.text(tx, y, tableSize, r[i].bold, left, black, l)
			}
		}
		x += w
	}
	s.y += h
	s.line(pageMargin, s.y, pageMargin+bodyWidth, s.y, 0.1, pale, false)
}
