package figure

import (
	"fmt"
	"math"
	"strings"

	"downlead/grammar/entry"
)

// Stroke is a piece of a drawn part: its outline ("shape", closed and filled),
// a line in it ("detail") or a "dot", which has a radius.
type Stroke struct {
	Kind string
	At   [][2]float64 // units, from the part's middle
	R    float64
}

// D is the stroke as the data of an SVG path.
func (s Stroke) D() string {
	if s.R > 0 {
		x, y := s.At[0][0], s.At[0][1]
		return fmt.Sprintf("M%g %ga%g %g 0 1 0 %g 0a%g %g 0 1 0 %g 0z", x-s.R, y, s.R, s.R, 2*s.R, s.R, s.R, -2*s.R)
	}
	var b strings.Builder
	for i, p := range s.At {
		fmt.Fprintf(&b, "%c%g %g", "ML"[min(i, 1)], p[0], p[1])
	}
	if s.Kind == "shape" {
		b.WriteByte('z')
	}
	return b.String()
}

func shapeOf(at ...float64) Stroke  { return Stroke{Kind: "shape", At: corners(at)} }
func detail(at ...float64) Stroke   { return Stroke{Kind: "detail", At: corners(at)} }
func dot(x, y, r float64) Stroke    { return Stroke{Kind: "dot", At: [][2]float64{{x, y}}, R: r} }
func ring(x, y, r float64) Stroke   { return Stroke{Kind: "detail", At: [][2]float64{{x, y}}, R: r} }
func box(x, y, w, h float64) Stroke { return shapeOf(x, y, x+w, y, x+w, y+h, x, y+h) }

func corners(at []float64) [][2]float64 {
	var out [][2]float64
	for i := 0; i+1 < len(at); i += 2 {
		out = append(out, [2]float64{at[i], at[i+1]})
	}
	return out
}

// bowl is the dish seen from the side: an arc over its chord.
func bowl() Stroke {
	const r, n = 17.0, 16
	s := Stroke{Kind: "shape"}
	cx, cy := 1.3, -1.3 // the arc runs from (-15, -6) to (8, 15)
	from, to := math.Atan2(-6-cy, -15-cx), math.Atan2(15-cy, 8-cx)-2*math.Pi
	for i := range n + 1 {
		a := from + (to-from)*float64(i)/n
		s.At = append(s.At, [2]float64{math.Round(10*(cx+r*math.Cos(a))) / 10, math.Round(10*(cy+r*math.Sin(a))) / 10})
	}
	return s
}

// Glyph is how a part is drawn; coax itself has no shape of its own.
func Glyph(e entry.Element) []Stroke {
	switch e {
	case entry.Cable, entry.Jumper:
		return nil
	case entry.Dish:
		return []Stroke{bowl(), detail(-3, 5, 8, -8), dot(9, -9, 3)}
	case entry.LNB:
		return []Stroke{shapeOf(-6, -12, 6, -12, 9, -2, 9, 10, -9, 10, -9, -2), detail(-9, 2, 9, 2)}
	case entry.Fitting:
		return []Stroke{shapeOf(-7, -9, 7, -9, 10, 0, 7, 9, -7, 9, -10, 0), detail(-7, -3, 7, -3), detail(-7, 3, 7, 3)}
	case entry.GroundBlock:
		return []Stroke{box(-10, -9, 20, 18), detail(-10, 0, -18, 0), detail(-18, -6, -18, 6), detail(-21, -4, -21, 4), detail(-24, -2, -24, 2)}
	case entry.Barrel:
		return []Stroke{box(-7, -11, 14, 22), detail(-7, -5, 7, -5), detail(-7, 5, 7, 5)}
	case entry.WallPlate:
		return []Stroke{box(-12, -13, 24, 26), ring(0, 0, 4.5)}
	case entry.Receiver:
		return []Stroke{box(-16, -9, 32, 17), detail(-10, 0, 2, 0), detail(-11, 8, -11, 12), detail(11, 8, 11, 12), dot(9, 0, 2.4)}
	case entry.Multiswitch:
		return []Stroke{box(-16, -9, 32, 18), detail(-10, 9, -10, 2), detail(-3, 9, -3, 2), detail(4, 9, 4, 2), detail(11, 9, 11, 2)}
	case entry.Splitter:
		return []Stroke{shapeOf(-5, -11, 5, -11, 14, 10, -14, 10), detail(0, -6, 0, 1), detail(-7, 8, 0, 1, 7, 8)}
	case entry.Tap:
		return []Stroke{box(-8, -11, 16, 21), detail(0, -8, 0, 8), detail(0, 0, 8, 0)}
	case entry.PowerInserter:
		return []Stroke{shapeOf(-6, -12, 6, -12, 12, -6, 12, 6, 6, 12, -6, 12, -12, 6, -12, -6), detail(2, -8, -4, 1, 4, 1, -2, 8)}
	}
	return []Stroke{shapeOf(0, -13, 13, 0, 0, 13, -13, 0), detail(-5, 0, 5, 0)}
}
