package pdf

import (
	"bytes"
	"fmt"
	"io"
	"maps"
	"slices"
	"time"

	"codeberg.org/go-fonts/dejavu/dejavusans"
	"codeberg.org/go-fonts/dejavu/dejavusansbold"
	"codeberg.org/go-fonts/liberation/liberationmonoregular"
	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-pdf/fpdf"

	"downlead/export/closeout"
	"downlead/export/figure"
)

// PageMargin is left free on all sides, millimetres.
const PageMargin = 14.0

// Sheet is a PDF document being written from top to bottom. It is a canvas.
type Sheet struct {
	pdf    *fpdf.Fpdf
	Y      float64
	paper  Paper
	glyphs glyphs
	fonts  map[string]bool // family and style, once they are in the document
	tight  bool            // set closer, where that saves a page
}

// SheetInfo is what stands in the document's metadata and on every page.
type SheetInfo struct {
	Title, Subject, Author, Product, Footer string
	Made                                    time.Time
	Paper                                   Paper // the zero value means Letter
}

// NewSheet starts a document. Dates come from info, fonts are embedded, and
// objects are written in a fixed order, so the same input gives the same bytes.
func NewSheet(info SheetInfo) *Sheet {
	if info.Paper == (Paper{}) {
		info.Paper = Letter()
	}
	p := fpdf.New("P", "mm", info.Paper.Name, "")
	s := &Sheet{pdf: p, paper: info.Paper, glyphs: newGlyphs(), fonts: map[string]bool{}}
	p.SetCatalogSort(true)
	p.SetCreationDate(info.Made.UTC())
	p.SetModificationDate(info.Made.UTC())
	p.SetTitle(info.Title, true)
	p.SetSubject(info.Subject, true)
	p.SetAuthor(info.Author, true)
	p.SetCreator("downlead "+info.Product, true)
	p.SetProducer("downlead "+info.Product, true)
	p.SetLang("en")
	p.SetXmpMetadata(metadata(info))
	p.AddOutputIntent(colours())
	p.SetAutoPageBreak(false, 0)
	p.SetMargins(PageMargin, PageMargin, PageMargin)
	p.AliasNbPages("{pages}")
	p.SetFooterFunc(func() {
		s.Text(PageMargin, s.paper.Height-8, 6.5, false, figure.Left, figure.Gray, info.Footer)
		n := fmt.Sprintf("page %d of {pages}", p.PageNo())
		s.Text(s.paper.Width-PageMargin-s.TextWidth(6.5, false, "page 1 of 2"), s.paper.Height-8, 6.5, false, figure.Left, figure.Gray, n)
	})
	s.newPage()
	return s
}

func (s *Sheet) newPage() {
	s.pdf.AddPage()
	s.Y = PageMargin
}

// Width is how wide the text is set, bottom where it must end.
func (s *Sheet) Width() float64  { return s.paper.Width - 2*PageMargin }
func (s *Sheet) bottom() float64 { return s.paper.Height - 15 }

// Pages is how many there are so far.
func (s *Sheet) Pages() int { return s.pdf.PageNo() }

// Lacking names the scripts that were met and that no font has.
func (s *Sheet) Lacking() []string { return slices.Sorted(maps.Keys(s.glyphs.lacking)) }

// need starts a new page unless h more millimetres fit.
func (s *Sheet) need(h float64) {
	if s.Y+h > s.bottom() {
		s.newPage()
	}
}

func (s *Sheet) Save(w io.Writer) error {
	var b bytes.Buffer
	if err := s.pdf.Output(&b); err != nil {
		return fmt.Errorf("write pdf: %w", err)
	}
	doc, err := identified(b.Bytes())
	if err != nil {
		return err
	}
	if _, err := w.Write(doc); err != nil {
		return fmt.Errorf("write pdf: %w", err)
	}
	return nil
}

// font takes a font, and puts it into the document when it is first used.
func (s *Sheet) font(family string, size float64, bold bool) {
	style := ""
	if bold {
		style = "B"
	}
	if !s.fonts[family+style] {
		s.fonts[family+style] = true
		s.pdf.AddUTF8FontFromBytes(family, style, map[string][]byte{
			sans: liberationsansregular.TTF, sans + "B": liberationsansbold.TTF,
			other: dejavusans.TTF, other + "B": dejavusansbold.TTF, mono: liberationmonoregular.TTF,
		}[family+style])
	}
	s.pdf.SetFont(family, style, size)
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

func (s *Sheet) Polygon(corners [][2]float64, width float64, stroke, fill figure.Rgb) {
	s.paint(width, stroke, fill)
	var at []fpdf.PointType
	for _, c := range corners {
		at = append(at, fpdf.PointType{X: c[0], Y: c[1]})
	}
	s.pdf.Polygon(at, "FD")
}

func (s *Sheet) Text(x, y, size float64, bold bool, a figure.Anchor, c figure.Rgb, t string) {
	runs := s.glyphs.runs(t)
	s.pdf.SetTextColor(c.R, c.G, c.B)
	switch a {
	case figure.Centre:
		x -= s.width(size, bold, runs) / 2
	case figure.Right:
		x -= s.width(size, bold, runs)
	}
	for _, r := range runs {
		s.font(r.family, size, bold)
		s.pdf.Text(x, y, r.text)
		x += s.pdf.GetStringWidth(r.text)
	}
}

func (s *Sheet) TextWidth(size float64, bold bool, t string) float64 {
	return s.width(size, bold, s.glyphs.runs(t))
}

func (s *Sheet) width(size float64, bold bool, runs []run) float64 {
	w := 0.0
	for _, r := range runs {
		s.font(r.family, size, bold)
		w += s.pdf.GetStringWidth(r.text)
	}
	return w
}

// Heading begins a section, which a reader can go to by its bookmark; keep is
// how much must follow it on the page.
func (s *Sheet) Heading(t string, keep float64) {
	s.need(8 + keep)
	s.font(sans, 10, true) // a bookmark is written in the font at hand
	s.pdf.Bookmark(t, 0, s.Y)
	s.Y += 5.6
	if s.tight {
		s.Y -= 0.9
	}
	s.Text(PageMargin, s.Y, 10, true, figure.Left, figure.Black, t)
	s.Y += 1.4
	s.Line(PageMargin, s.Y, PageMargin+s.Width(), s.Y, 0.2, figure.Gray, false)
	s.Y += 1.2
}

const TextLine = 3.9 // distance of lines at 8.5 points, millimetres

// Paragraph writes wrapped text, indented by x.
func (s *Sheet) Paragraph(t string, x float64, bold bool) {
	for _, l := range figure.Wrap(s, 8.5, bold, t, s.Width()-x) {
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
		if s.Y+h > s.bottom() {
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
	w := c.Share*s.Width() - 1.6
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
		w := c.Share * s.Width()
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
	s.Line(PageMargin, s.Y, PageMargin+s.Width(), s.Y, 0.1, figure.Pale, false)
}
