package export

import (
	"fmt"
	"html"
	"io"
	"sort"
	"strings"

	"downlead/grammar"
)

// rgb is a colour, 0..255 each.
type rgb struct{ r, g, b int }

// The colours. Blue and orange stay apart for people who see red and green
// alike; nothing is told by colour alone.
var (
	black  = rgb{20, 20, 20}
	gray   = rgb{110, 110, 110}
	pale   = rgb{225, 228, 232}
	white  = rgb{255, 255, 255}
	blue   = rgb{0, 84, 147}
	orange = rgb{190, 70, 0}
)

type anchor int

const (
	left anchor = iota
	centre
	right
)

// canvas is what the figures are drawn on: a PDF page or an SVG image.
// Lengths are millimetres from the top left, text sizes points.
type canvas interface {
	line(x1, y1, x2, y2, width float64, c rgb, dashed bool)
	rect(x, y, w, h, width float64, stroke, fill rgb)
	circle(x, y, r, width float64, stroke, fill rgb)
	text(x, y, size float64, bold bool, a anchor, c rgb, s string)
	textWidth(size float64, bold bool, s string) float64
}

// mark draws a verdict: a disc passes, a crossed square fails, a ring is not
// judged. An earlier reading is drawn hollow.
func mark(c canvas, x, y, r float64, v grammar.Verdict, earlier bool) {
	switch v {
	case grammar.Pass:
		fill := blue
		if earlier {
			fill = white
		}
		c.circle(x, y, r, 0.35, blue, fill)
	case grammar.Fail:
		fill, cross := orange, white
		if earlier {
			fill, cross = white, orange
		}
		c.rect(x-r, y-r, 2*r, 2*r, 0.35, orange, fill)
		k := r * 0.6
		c.line(x-k, y-k, x+k, y+k, 0.35, cross, false)
		c.line(x-k, y+k, x+k, y-k, 0.35, cross, false)
	default:
		c.circle(x, y, r, 0.25, gray, white)
	}
}

// wrap breaks text into lines no wider than w; a word too long for a line is cut.
func wrap(c canvas, size float64, bold bool, s string, w float64) []string {
	var lines []string
	for _, para := range strings.Split(s, "\n") {
		line := ""
		for _, word := range strings.Fields(para) {
			for c.textWidth(size, bold, word) > w && len([]rune(word)) > 1 {
				if line != "" {
					lines, line = append(lines, line), ""
				}
				head := []rune(word)
				n := max(1, sort.Search(len(head), func(n int) bool { return c.textWidth(size, bold, string(head[:n+1])) > w }))
				lines, word = append(lines, string(head[:n])), string(head[n:])
			}
			switch next := strings.TrimSpace(line + " " + word); {
			case c.textWidth(size, bold, next) <= w:
				line = next
			default:
				lines, line = append(lines, line), word
			}
		}
		lines = append(lines, line)
	}
	return lines
}

// svg draws on a scalable image.
type svg struct{ b strings.Builder }

const mmPerPoint = 25.4 / 72 // a point is 1/72 inch

func (c rgb) css() string { return fmt.Sprintf("#%02x%02x%02x", c.r, c.g, c.b) }

func (s *svg) line(x1, y1, x2, y2, width float64, c rgb, dashed bool) {
	dash := ""
	if dashed {
		dash = ` stroke-dasharray="1.2 0.9"`
	}
	fmt.Fprintf(&s.b, `<line x1="%.2f" y1="%.2f" x2="%.2f" y2="%.2f" stroke="%s" stroke-width="%.2f"%s/>`+"\n", x1, y1, x2, y2, c.css(), width, dash)
}

func (s *svg) rect(x, y, w, h, width float64, stroke, fill rgb) {
	fmt.Fprintf(&s.b, `<rect x="%.2f" y="%.2f" width="%.2f" height="%.2f" stroke="%s" stroke-width="%.2f" fill="%s"/>`+"\n", x, y, w, h, stroke.css(), width, fill.css())
}

func (s *svg) circle(x, y, r, width float64, stroke, fill rgb) {
	fmt.Fprintf(&s.b, `<circle cx="%.2f" cy="%.2f" r="%.2f" stroke="%s" stroke-width="%.2f" fill="%s"/>`+"\n", x, y, r, stroke.css(), width, fill.css())
}

func (s *svg) text(x, y, size float64, bold bool, a anchor, c rgb, t string) {
	weight := ""
	if bold {
		weight = ` font-weight="bold"`
	}
	fmt.Fprintf(&s.b, `<text x="%.2f" y="%.2f" font-size="%.2f" text-anchor="%s" fill="%s"%s>%s</text>`+"\n",
		x, y, size*mmPerPoint, []string{"start", "middle", "end"}[a], c.css(), weight, html.EscapeString(t))
}

// textWidth estimates: half an em a letter, as the reader's font is not known.
func (s *svg) textWidth(size float64, bold bool, t string) float64 {
	return 0.52 * size * mmPerPoint * float64(len([]rune(t)))
}

// writeTo writes the image with a title and a description for screen readers.
func (s *svg) writeTo(w io.Writer, width, height float64, title, desc string) error {
	_, err := fmt.Fprintf(w, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %.2f %.2f" width="%.2fmm" height="%.2fmm" role="img" aria-labelledby="t d" font-family="Liberation Sans, Arial, sans-serif">
<title id="t">%s</title>
<desc id="d">%s</desc>
%s</svg>
`, width, height, width, height, html.EscapeString(title), html.EscapeString(desc), s.b.String())
	return err
}
