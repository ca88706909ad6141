package figure

import (
	"fmt"
	"hash/fnv"
	"html"
	"io"
	"sort"
	"strings"

	"downlead/grammar/entry"
)

// Rgb is a colour, 0..255 each.
type Rgb struct{ R, G, B int }

// The colours. Blue and orange stay apart for people who see red and green
// alike; nothing is told by colour alone.
var (
	Black  = Rgb{20, 20, 20}
	Gray   = Rgb{110, 110, 110}
	Pale   = Rgb{225, 228, 232}
	White  = Rgb{255, 255, 255}
	Blue   = Rgb{0, 84, 147}
	Orange = Rgb{190, 70, 0}
)

type Anchor int

const (
	Left Anchor = iota
	Centre
	Right
)

// Canvas is what the figures are drawn on: a PDF page or an SVG image.
// Lengths are millimetres from the top left, text sizes points.
type Canvas interface {
	Line(x1, y1, x2, y2, width float64, c Rgb, dashed bool)
	Rect(x, y, w, h, width float64, stroke, fill Rgb)
	Circle(x, y, r, width float64, stroke, fill Rgb)
	Polygon(corners [][2]float64, width float64, stroke, fill Rgb)
	Text(x, y, size float64, bold bool, a Anchor, c Rgb, s string)
	Measurer
}

// Mark draws a verdict: a disc passes, a crossed square fails, a ring is not
// judged. An earlier reading is drawn hollow.
func Mark(c Canvas, x, y, r float64, v entry.Verdict, earlier bool) {
	switch v {
	case entry.Pass:
		fill := Blue
		if earlier {
			fill = White
		}
		c.Circle(x, y, r, 0.35, Blue, fill)
	case entry.Fail:
		fill, cross := Orange, White
		if earlier {
			fill, cross = White, Orange
		}
		c.Rect(x-r, y-r, 2*r, 2*r, 0.35, Orange, fill)
		k := r * 0.6
		c.Line(x-k, y-k, x+k, y+k, 0.35, cross, false)
		c.Line(x-k, y+k, x+k, y-k, 0.35, cross, false)
	default:
		c.Circle(x, y, r, 0.25, Gray, White)
	}
}

// Wrap breaks text into lines no wider than w; a word too long for a line is cut.
func Wrap(c Measurer, size float64, bold bool, s string, w float64) []string {
	var lines []string
	for _, para := range strings.Split(s, "\n") {
		line := ""
		for _, word := range strings.Fields(para) {
			for rest := []rune(word); ; word = string(rest) {
				n := fitting(c, size, bold, rest, w)
				if n == len(rest) {
					break
				}
				if line != "" {
					lines, line = append(lines, line), ""
				}
				lines, rest = append(lines, string(rest[:n])), rest[n:]
			}
			switch next := strings.TrimSpace(line + " " + word); {
			case c.TextWidth(size, bold, next) <= w:
				line = next
			default:
				lines, line = append(lines, line), word
			}
		}
		lines = append(lines, line)
	}
	return lines
}

// fitting is how many letters of a word fit into a width, at least one. It
// never measures much more than fits, however long the word is.
func fitting(c Measurer, size float64, bold bool, word []rune, w float64) int {
	n := 1
	for n < len(word) && c.TextWidth(size, bold, string(word[:n])) <= w {
		n = min(2*n, len(word))
	}
	return max(1, sort.Search(n, func(k int) bool { return c.TextWidth(size, bold, string(word[:k+1])) > w }))
}

// Svg draws on a scalable image.
type Svg struct{ b strings.Builder }

const mmPerPoint = 25.4 / 72 // a point is 1/72 inch

func (c Rgb) css() string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

func (s *Svg) Line(x1, y1, x2, y2, width float64, c Rgb, dashed bool) {
	dash := ""
	if dashed {
		dash = ` stroke-dasharray="1.2 0.9"`
	}
	fmt.Fprintf(&s.b, `<line x1="%.2f" y1="%.2f" x2="%.2f" y2="%.2f" stroke="%s" stroke-width="%.2f"%s/>`+"\n", x1, y1, x2, y2, c.css(), width, dash)
}

func (s *Svg) Rect(x, y, w, h, width float64, stroke, fill Rgb) {
	fmt.Fprintf(&s.b, `<rect x="%.2f" y="%.2f" width="%.2f" height="%.2f" stroke="%s" stroke-width="%.2f" fill="%s"/>`+"\n", x, y, w, h, stroke.css(), width, fill.css())
}

func (s *Svg) Circle(x, y, r, width float64, stroke, fill Rgb) {
	fmt.Fprintf(&s.b, `<circle cx="%.2f" cy="%.2f" r="%.2f" stroke="%s" stroke-width="%.2f" fill="%s"/>`+"\n", x, y, r, stroke.css(), width, fill.css())
}

func (s *Svg) Polygon(corners [][2]float64, width float64, stroke, fill Rgb) {
	var at []string
	for _, c := range corners {
		at = append(at, fmt.Sprintf("%.2f,%.2f", c[0], c[1]))
	}
	fmt.Fprintf(&s.b, `<polygon points="%s" stroke="%s" stroke-width="%.2f" fill="%s"/>`+"\n", strings.Join(at, " "), stroke.css(), width, fill.css())
}

func (s *Svg) Text(x, y, size float64, bold bool, a Anchor, c Rgb, t string) {
	weight := ""
	if bold {
		weight = ` font-weight="bold"`
	}
	fmt.Fprintf(&s.b, `<text x="%.2f" y="%.2f" font-size="%.2f" text-anchor="%s" fill="%s"%s>%s</text>`+"\n",
		x, y, size*mmPerPoint, []string{"start", "middle", "end"}[a], c.css(), weight, html.EscapeString(t))
}

// TextWidth estimates, as the reader's font is not known.
func (s *Svg) TextWidth(size float64, bold bool, t string) float64 {
	return even(0.52).TextWidth(size, bold, t)
}

// WriteTo writes the image with a title and a description for screen readers.
func (s *Svg) WriteTo(w io.Writer, width, height float64, title, desc string) error {
	h := fnv.New32a() // a page may show several: their ids must differ
	h.Write([]byte(title))
	id := fmt.Sprintf("%08x", h.Sum32())
	_, err := fmt.Fprintf(w, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %.2f %.2f" width="%.2fmm" height="%.2fmm" role="img" aria-labelledby="t%s d%s" font-family="Liberation Sans, Arial, sans-serif">
<title id="t%s">%s</title>
<desc id="d%s">%s</desc>
%s</svg>
`, width, height, width, height, id, id, id, html.EscapeString(title), id, html.EscapeString(desc), s.b.String())
	return err
}
