package figure

import (
	"fmt"
	"io"
	"strings"

	"downlead/export/closeout"
	"downlead/export/shown"
	"downlead/grammar/entry"
)

// pen draws units of a figure on a canvas.
type pen struct {
	c    Canvas
	x, y float64 // the figure's corner, millimetres
}

func (p pen) at(x, y float64) (float64, float64) { return p.x + x*PaperUnit, p.y + y*PaperUnit }

func (p pen) line(x1, y1, x2, y2, width float64, c Rgb, dashed bool) {
	ax, ay := p.at(x1, y1)
	bx, by := p.at(x2, y2)
	p.c.Line(ax, ay, bx, by, width*PaperUnit, c, dashed)
}

func (p pen) words(x, y float64, s Span, a Anchor, c Rgb) {
	ax, ay := p.at(x, y)
	p.c.Text(ax, ay, s.size()*PaperUnit/mmPerPoint, s.bold(), a, c, s.Text)
}

func (p pen) mark(x, y, r float64, v entry.Verdict, earlier bool) {
	ax, ay := p.at(x, y)
	Mark(p.c, ax, ay, r*PaperUnit, v, earlier)
}

// Draw draws the figure with its corner at x, y, millimetres.
func (p Path) Draw(c Canvas, x, y float64) {
	d := pen{c, x, y}
	if len(p.Rows) == 0 {
		d.words(0, wordSize, Span{Kind: "soft", Text: p.Desc}, Left, Gray)
		return
	}
	for _, b := range p.Braces {
		top, bottom := float64(b.Top), float64(b.Bottom)
		d.line(22, top, 12, top, 5, Orange, false)
		d.line(12, top, 12, bottom, 5, Orange, false)
		d.line(12, bottom, 22, bottom, 5, Orange, false)
	}
	for _, w := range p.Wires {
		d.wire(w)
	}
	for _, r := range p.Rows {
		d.row(r, p)
	}
}

func (d pen) wire(w Wire) {
	x1, y1, x2, y2 := float64(w.X1), float64(w.Y1), float64(w.X2), float64(w.Y2)
	d.coax(x1, y1, x1, y2, 7, w.State)
	if x1 != x2 {
		d.coax(x1, y2, x2, y2, 7, w.State)
	}
	if w.Run {
		d.coax(x2, y2-7, x2, y2+7, 13, w.State)
	}
}

// coax draws a stretch of line: full, broken, empty, or thin and dotted.
func (d pen) coax(x1, y1, x2, y2, width float64, state string) {
	switch state {
	case "good":
		d.line(x1, y1, x2, y2, width, Black, false)
	case "fault":
		d.line(x1, y1, x2, y2, width, Orange, false)
		d.line(x1, y1, x2, y2, width/2, White, true)
	case "dead":
		d.line(x1, y1, x2, y2, width, Gray, false)
		d.line(x1, y1, x2, y2, width*0.6, White, false)
	default:
		d.line(x1, y1, x2, y2, width, Pale, false)
		d.line(x1, y1, x2, y2, width/4, Gray, true)
	}
}

func (d pen) row(r Row, p Path) {
	x, y := float64(r.X), float64(r.Y)
	switch r.Kind {
	case "part":
		d.part(r, p.Glyph)
	case "point":
		d.line(x, y, float64(p.TextX)-4, y, 1, Pale, false)
		d.mark(x, y, 11*p.Glyph, r.Verdict, r.Stale)
	}
	for _, l := range r.Lines {
		at := float64(p.TextX)
		for _, s := range l.Spans {
			at += float64(s.Gap)
			d.words(at, y+float64(l.DY), s, Left, ink(s, r))
			at += d.c.TextWidth(s.size()/mmPerPoint, s.bold(), s.Text)
		}
	}
}

// ink is the colour of a row's words.
func ink(s Span, r Row) Rgb {
	switch {
	case s.Kind == "sign" || s.Kind == "suspect" || s.Kind == "verdict" && r.Verdict == entry.Fail && !r.Stale:
		return Orange
	case s.Kind == "work" || s.Kind == "verdict" && r.Verdict == entry.Pass && !r.Stale:
		return Blue
	case s.Kind == "note" || s.Kind == "soft" || r.Stale:
		return Gray
	}
	return Black
}

// part draws the shape of an element; dashed where nobody said that it is
// there, heavier where it was worked on.
func (d pen) part(r Row, size float64) {
	x, y := float64(r.X), float64(r.Y)
	if r.Suspect && !r.Bare {
		ax, ay := d.at(x, y)
		d.c.Circle(ax, ay, 19*size*PaperUnit, 3*size*PaperUnit, Orange, White)
	}
	stroke, width := Black, 1.6
	switch {
	case r.Assumed:
		stroke = Gray
	case r.Worked:
		stroke, width = Blue, 3
	}
	for _, s := range Glyph(r.Element) {
		var at [][2]float64
		for _, k := range s.At {
			ax, ay := d.at(x+k[0]*size, y+k[1]*size)
			at = append(at, [2]float64{ax, ay})
		}
		switch {
		case s.Kind == "dot":
			d.c.Circle(at[0][0], at[0][1], s.R*size*PaperUnit, 0.1, stroke, stroke)
		case s.R > 0:
			d.c.Circle(at[0][0], at[0][1], s.R*size*PaperUnit, width*PaperUnit, stroke, White)
		case s.Kind == "shape" && !r.Assumed:
			d.c.Polygon(at, width*PaperUnit, stroke, White)
		default:
			if s.Kind == "shape" {
				d.c.Polygon(at, 0, White, White)
				at = append(at, at[0])
			}
			for i := 1; i < len(at); i++ {
				d.c.Line(at[i-1][0], at[i-1][1], at[i][0], at[i][1], width*PaperUnit, stroke, r.Assumed && s.Kind == "shape")
			}
		}
	}
}

// LegendHeight is what the legend of a path takes, millimetres.
const LegendHeight = 4.0

// Legend says on one line what the drawing means.
func (p Path) Legend(c Canvas, x, y float64) {
	const size = 6
	for _, k := range p.Keys {
		pen{c, x, y}.coax(0, -5, 26, -5, 7, k.State)
		x += 28 * PaperUnit
		c.Text(x, y, size, false, Left, Gray, k.Words)
		x += c.TextWidth(size, false, k.Words) + 3
	}
	c.Text(x, y, size, false, Left, Gray, strings.Join(p.Notes, " "))
}

// svgWidth is how wide the images are that stand by themselves, millimetres.
const svgWidth = 188

// PathSVG draws the signal path with its verdicts as an SVG image.
func PathSVG(c closeout.Closeout, w io.Writer) error {
	s := &Svg{}
	p := NewPath(c, Paper(s, svgWidth))
	p.Draw(s, 0, 0)
	height := float64(p.Height)*PaperUnit + LegendHeight + 2
	p.Legend(s, 0, height-1.5)
	return s.WriteTo(w, svgWidth, height, "Signal path of job "+c.Job, p.Desc)
}

// LevelWidth is how wide a level figure is on paper, millimetres.
const LevelWidth = levelWidth * PaperUnit

// Draw draws the figure with its corner at x, y, millimetres.
func (f Level) Draw(c Canvas, x, y float64) {
	d := pen{c, x, y}
	d.words(float64(f.Left), 12, Span{Kind: "name", Text: "Level to " + f.To}, Left, Black)
	top, bottom, left, floor := float64(f.Top), float64(f.Bottom), float64(f.Left), float64(f.FloorX)
	for at := left - (bottom - top) + 10; at < floor; at += 12 { // hatched: below the floor it fails
		x1, y1, x2, y2 := at, bottom, at+bottom-top, top
		if x1 < left {
			x1, y1 = left, bottom-(left-at)
		}
		if x2 > floor {
			x2, y2 = floor, bottom-(floor-at)
		}
		d.line(x1, y1, x2, y2, 0.5, Pale, false)
	}
	for _, t := range f.Ticks {
		d.line(float64(t.X), top, float64(t.X), bottom, 0.5, Pale, false)
		if t.X != f.FloorX {
			d.words(float64(t.X), top-5, Span{Kind: "note", Text: t.Label}, Centre, Gray)
		}
	}
	d.line(floor, top-18, floor, bottom, 2.4, Orange, false)
	d.words(floor, top-22, Span{Kind: "note", Text: "floor " + f.Floor + " dBm"}, Centre, Orange)
	d.through(f.Expected, 4, Pale, false)
	for _, r := range f.Rounds {
		d.through(r.Line, 1.6, []Rgb{Gray, Blue, Black}[(max(r.Round, 1)-1)%3], r.Round == 1)
	}
	for _, r := range f.Rows {
		d.clear(left+4, float64(r.Y), Span{Kind: "note", Text: r.Name}, Left, Gray)
		for _, m := range r.Marks {
			d.level(m)
		}
	}
}

func (d pen) through(line Trail, width float64, c Rgb, dashed bool) {
	for i := 1; i < len(line); i++ {
		d.line(float64(line[i-1].X), float64(line[i-1].Y), float64(line[i].X), float64(line[i].Y), width, c, dashed)
	}
}

// level draws what was read in one round.
func (d pen) level(m LevelMark) {
	x, y := float64(m.X), float64(m.Y)
	stroke := map[entry.Verdict]Rgb{entry.Pass: Blue, entry.Fail: Orange}[m.Verdict]
	if m.Verdict == "" {
		stroke = Gray
	}
	fill := stroke
	if m.Stale {
		fill = White
	}
	ax, ay := d.at(x, y)
	const r, w = 5.5 * PaperUnit, 0.3
	switch m.Shape {
	case "circle":
		d.c.Circle(ax, ay, r, w, stroke, fill)
	case "square":
		d.c.Rect(ax-r, ay-r, 2*r, 2*r, w, stroke, fill)
	default:
		d.c.Polygon([][2]float64{{ax, ay - 1.2*r}, {ax + 1.2*r, ay + r}, {ax - 1.2*r, ay + r}}, w, stroke, fill)
	}
	a := Left
	if m.Side == "end" {
		a = Right
	}
	d.clear(float64(m.TextX), y+5, Span{Kind: "note", Text: m.Label}, a, Black)
}

// clear is words on paper that is wiped first: lines end before them.
func (d pen) clear(x, y float64, s Span, a Anchor, c Rgb) {
	const free = 1.5 // around the words, units
	size := s.size()
	w := d.c.TextWidth(size/mmPerPoint, s.bold(), s.Text)
	left := x
	if a == Right {
		left -= w
	}
	ax, ay := d.at(left-free, y-0.76*size)
	d.c.Rect(ax, ay, (w+2*free)*PaperUnit, size*PaperUnit, 0.05, White, White)
	d.words(x, y, s, a, c)
}

// LevelLegend explains the lines of the level figures.
func LevelLegend(levels []Level) string {
	s := "Hatched: below the floor, it fails. "
	rounds := map[int]Round{}
	expected, stale := false, false
	for _, f := range levels {
		for _, r := range f.Rounds {
			rounds[r.Round] = r
		}
		expected, stale = expected || f.HasExpected, stale || f.Stale
	}
	var words []string
	for _, k := range sortedKeys(rounds) {
		words = append(words, shown.Capital(rounds[k].Shape)+": "+rounds[k].Words)
	}
	s += strings.Join(words, ", ") + "."
	if stale {
		s += " Hollow: a repair came after it."
	}
	if expected {
		s += " Broad pale line: level expected."
	}
	return s
}

// LevelSVG draws the level along every measured branch as one SVG image.
func LevelSVG(c closeout.Closeout, w io.Writer) error {
	s := &Svg{}
	levels := NewLevels(c, Paper(s, svgWidth))
	var desc []string
	y, row := 0.0, 0.0
	for i, f := range levels {
		if i%3 == 0 {
			y, row = y+row, 0
		}
		f.Draw(s, float64(i%3)*(LevelWidth+2), y)
		row = max(row, float64(f.Height)*PaperUnit)
		desc = append(desc, f.Desc)
	}
	height := y + row + 5
	s.Text(0, height-1.5, 6, false, Left, Gray, LevelLegend(levels))
	return s.WriteTo(w, svgWidth, height, fmt.Sprintf("Level along the path of job %s", c.Job), strings.Join(desc, " "))
}
