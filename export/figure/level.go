package figure

import (
	"fmt"
	"io"
	"math"
	"strings"

	"downlead/export/closeout"
	"downlead/grammar/entry"
)

// PlotHeight is the height of one level plot, PlotLow where room is short,
// millimetres.
const (
	PlotHeight = 47.0
	PlotLow    = 34.0
)

// widePoints is from how many points on a plot needs the whole width.
const widePoints = 7

// levelPlot is the level along one branch, from the dish to its end.
type levelPlot struct {
	title string
	floor float64
	at    []plotPoint
}

type plotPoint struct {
	name          string
	before, after *closeout.Reading
	expected      *float64
	stale         bool
}

// Wide reports that the plot needs the whole width for its names.
func (p levelPlot) Wide() bool { return len(p.at) >= widePoints }

// LevelPlots returns a plot for every branch that was measured at two points
// or more, one of them beyond its last fork.
func LevelPlots(c closeout.Closeout) []levelPlot {
	parent, kids := map[string]string{}, map[string]int{}
	for _, e := range c.Path {
		parent[e.ID] = e.Parent
		kids[e.Parent]++
	}
	measured := map[string]bool{}
	for _, p := range c.Points {
		measured[p.ID] = true
	}
	names := closeout.NewNamer(c.Path)
	var plots []levelPlot
	for _, e := range c.Path {
		if kids[e.ID] > 0 {
			continue
		}
		var way []string
		own := false
		forked := false
		for id := e.ID; id != ""; id = parent[id] {
			way = append([]string{id}, way...)
			forked = forked || kids[id] > 1
			own = own || !forked && measured[id]
		}
		if p := branchPlot(c, way); own && len(p.at) > 1 {
			p.title = "to " + names.Element(e.Element, closeout.NumberOf(e.ID), e.Room)
			plots = append(plots, p)
		}
	}
	return plots
}

// branchPlot gathers what has a level on the way, in order from the dish. Of
// several slots, transponders or polarities at one point it shows the lowest.
func branchPlot(c closeout.Closeout, way []string) levelPlot {
	p := levelPlot{floor: c.Limits.FloorDBm.Float()}
	for i, id := range way {
		for _, side := range []entry.Side{entry.DishSide, entry.ReceiverSide} {
			var here []closeout.BeforeAfter
			for _, b := range c.Points {
				if b.ID != id || b.Point.Side != side || !plottable(b) {
					continue
				}
				if b.Point.Port > 0 && i+1 < len(way) && !onPort(c, way[i+1], b.Point.Port) {
					continue
				}
				here = append(here, b)
			}
			if len(here) > 0 {
				p.at = append(p.at, lowest(here))
			}
		}
	}
	return p
}

// lowest joins what was measured at one point.
func lowest(here []closeout.BeforeAfter) plotPoint {
	low := func(old, r *closeout.Reading) *closeout.Reading {
		switch {
		case r == nil || !r.Level.Said() && !r.NoSignal:
			return old
		case old == nil || r.NoSignal || !old.NoSignal && r.Level.Micro() < old.Level.Micro():
			return r
		}
		return old
	}
	p := plotPoint{name: here[0].Name, expected: here[0].Expected, stale: true}
	for _, b := range here {
		p.before, p.after = low(p.before, b.Before), low(p.after, b.After)
		p.stale = p.stale && b.Stale
	}
	switch {
	case len(here) > 1:
		p.name += fmt.Sprintf(", lowest of %d", len(here))
	case here[0].What != "":
		p.name += ", " + here[0].What
	}
	return p
}

func onPort(c closeout.Closeout, id string, port int) bool {
	for _, e := range c.Path {
		if e.ID == id {
			return e.Port == 0 || e.Port == port
		}
	}
	return false
}

func plottable(b closeout.BeforeAfter) bool {
	for _, r := range []*closeout.Reading{b.Before, b.After} {
		if r != nil && (r.Level.Said() || r.NoSignal) {
			return true
		}
	}
	return false
}

// span returns the levels shown, in steps of 5 dB.
func (p levelPlot) span() (low, high float64) {
	low, high = p.floor, p.floor
	take := func(v float64) { low, high = min(low, v), max(high, v) }
	for _, a := range p.at {
		for _, r := range []*closeout.Reading{a.before, a.after} {
			if r != nil && r.Level.Said() {
				take(r.Level.Float())
			}
		}
		if a.expected != nil {
			take(*a.expected)
		}
	}
	return math.Floor((low-4)/5) * 5, math.Ceil((high+3)/5) * 5 // room for a value above its mark
}

// Draw puts the plot at x, y, as wide as w and as high as h.
func (p levelPlot) Draw(c Canvas, x, y, w, h float64) {
	c.Text(x, y+3, 7.5, true, Left, Black, "Level "+p.title)
	c.Text(x+w-2, y+3, 6, false, Right, Orange, fmt.Sprintf("dashed: floor %g dBm, below it fails", p.floor))
	low, high := p.span()
	x0, x1, y0, y1 := x+9, x+w-2, y+6, y+h-4.4-nameLine*p.nameLines(c, w)
	py := func(v float64) float64 { return y1 - (v-low)/(high-low)*(y1-y0) }
	px := func(i int) float64 { return x0 + (float64(i)+0.5)*(x1-x0)/float64(len(p.at)) }
	step := 5.0
	if high-low > 40 {
		step = 10
	}
	for v := low; v <= high; v += step {
		c.Line(x0, py(v), x1, py(v), 0.1, Pale, false)
		c.Text(x0-1, py(v)+0.8, 5.8, false, Right, Gray, fmt.Sprintf("%g", v))
	}
	c.Text(x, y0-0.6, 5.8, false, Left, Gray, "dBm")
	c.Line(x0, y0, x0, y1, 0.2, Gray, false)
	c.Line(x0, py(p.floor), x1, py(p.floor), 0.35, Orange, true)
	p.curves(c, px, py, low)
	for i, a := range p.at {
		size, lines := p.name(c, a.name, w)
		for k, s := range lines {
			c.Text(px(i), y1+2.6+nameLine*float64(k), size, false, Centre, Black, s)
		}
	}
}

// Names of points below the plot: millimetres to a line, how many there may be.
const (
	nameLine  = 2.2
	nameLines = 3
)

// name wraps a point's name into its share of a plot as wide as w.
func (p levelPlot) name(c Canvas, name string, w float64) (size float64, lines []string) {
	const usual, least = 5.6, 3.6 // points
	w = (w-11)/float64(len(p.at)) - 0.8
	for size = usual; ; size -= 0.3 {
		lines = Wrap(c, size, false, name, w)
		if size < least || len(lines) <= nameLines && !broken(name, lines) {
			break
		}
	}
	if len(lines) > nameLines {
		lines = lines[:nameLines]
		lines[nameLines-1] += "…"
	}
	return size, lines
}

// nameLines is how many lines the longest name takes.
func (p levelPlot) nameLines(c Canvas, w float64) float64 {
	n := 1
	for _, a := range p.at {
		_, lines := p.name(c, a.name, w)
		n = max(n, len(lines))
	}
	return float64(n)
}

// curves draws what was expected, the first and the last readings.
func (p levelPlot) curves(c Canvas, px func(int) float64, py func(float64) float64, low float64) {
	value := func(r *closeout.Reading) float64 {
		if r.NoSignal || !r.Level.Said() {
			return low + 1 // just above the bottom
		}
		return r.Level.Float()
	}
	type dot struct{ x, y float64 }
	join := func(at func(plotPoint) (float64, bool), width float64, col Rgb, dashed bool) {
		var last *dot
		for i, a := range p.at {
			v, ok := at(a)
			if !ok {
				continue
			}
			d := dot{px(i), py(v)}
			if last != nil {
				c.Line(last.x, last.y, d.x, d.y, width, col, dashed)
			}
			last = &d
		}
	}
	join(func(a plotPoint) (float64, bool) {
		if a.expected == nil {
			return 0, false
		}
		return *a.expected, true
	}, 0.9, Pale, false)
	join(func(a plotPoint) (float64, bool) {
		if a.before == nil {
			return 0, false
		}
		return value(a.before), true
	}, 0.25, Gray, true)
	join(func(a plotPoint) (float64, bool) {
		r := a.after
		if r == nil {
			r = a.before
		}
		if r == nil || r.Verdict != entry.Pass {
			return 0, false
		}
		return value(r), true
	}, 0.4, Blue, false)
	step := px(1) - px(0)
	for i, a := range p.at {
		for k, r := range []*closeout.Reading{a.before, a.after} {
			if r == nil {
				continue
			}
			x, v, label := px(i), py(value(r)), -1.9
			earlier := a.stale || r == a.before && a.after != nil
			if than := []*closeout.Reading{a.after, a.before}[k]; than != nil && !r.NoSignal && (value(r) < value(than) || value(r) == value(than) && k == 0) {
				label = 3.4 // the lower of two below its mark, so that both can be read
			}
			if floor := py(p.floor); math.Abs(v+label-0.7-floor) < 1.4 && (a.before == nil || a.after == nil) {
				label = 1.5 - label // to the other side: not on the line of the floor
			}
			Mark(c, x, v, 1.1, r.Verdict, earlier)
			text := shortValue(*r)
			c.Text(x, v+label, fitSize(c, text, step-0.5), false, Centre, Black, text)
		}
	}
}

// PlotLegend explains the lines of the plots.
const PlotLegend = "Disc: pass. Crossed square: fail. Hollow and dashed: before the repair. Broad pale line: level expected."

// LevelSVG draws the level along every measured branch as one SVG image.
func LevelSVG(c closeout.Closeout, w io.Writer) error {
	const width = 188
	s := &Svg{}
	plots := LevelPlots(c)
	var desc []string
	for i, p := range plots {
		p.Draw(s, 0, PlotHeight*float64(i), width, PlotHeight)
		for _, a := range p.at {
			for _, r := range []*closeout.Reading{a.before, a.after} {
				if r != nil {
					desc = append(desc, fmt.Sprintf("%s: %s, %s", a.name, closeout.VerdictWord(r.Verdict), shortValue(*r)))
				}
			}
		}
	}
	height := PlotHeight*float64(len(plots)) + 5
	s.Text(0, height-1.5, 6, false, Left, Gray, PlotLegend)
	return s.WriteTo(w, width, height, "Level along the path of job "+c.Job, strings.Join(desc, ". "))
}
