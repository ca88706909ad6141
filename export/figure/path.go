package figure

import (
	"fmt"
	"io"
	"strings"

	"downlead/export/closeout"
	"downlead/grammar/entry"
)

// Sizes of the path figure, millimetres.
const (
	figureRow    = 16.0 // up to fewRows rows
	figureTight  = 11.5 // more
	fewRows      = 4
	figureBox    = 8.5
	figureLegend = 5.0
)

// figure is the path laid out: what is drawn as a box, in columns from the
// dish, a row for every end; cables are the lines between.
type figure struct {
	names closeout.Namer
	nodes []figureNode
	index map[string]int // id to node
	cols  int
	rows  int
}

type figureNode struct {
	id     string
	words  string
	parent int // -1 for the first
	port   int
	col    int
	row    float64
	cable  string // what lies between the parent and this: "60 ft rg6"
	// assumed: nobody said so of the element, or of the cable to it
	assumed, assumedCable bool
	work                  string // what was done to it
	marks                 map[figureSpot]figureMark
	kids                  int
}

type figureSpot struct {
	side entry.Side
	port int
}

type figureMark struct {
	verdict entry.Verdict
	label   string
	stale   bool
}

func isCable(e entry.Element) bool { return e == entry.Cable || e == entry.Jumper }

func NewFigure(c closeout.Closeout) figure {
	f := figure{names: closeout.NewNamer(c.Path), index: map[string]int{}}
	via := map[string]struct {
		node    int
		port    int
		label   string
		assumed bool
	}{}
	for _, e := range c.Path {
		from, ok := via[e.Parent]
		if !ok {
			from.node = -1
			if i, ok := f.index[e.Parent]; ok {
				from.node = i
			}
		}
		if e.Port > 0 {
			from.port = e.Port
		}
		if isCable(e.Element) {
			label := closeout.Plain(string(e.Element))
			if e.LengthFt > 0 {
				label = fmt.Sprintf("%g ft", e.LengthFt)
			}
			if from.label != "" {
				label = from.label + " + " + label
			}
			from.label, from.assumed = label, from.assumed || e.Assumed
			via[e.ID] = from
			continue
		}
		work := ""
		if e.Removed {
			work = "removed"
		}
		n := figureNode{id: e.ID, work: work, words: f.names.Element(e.Element, closeout.NumberOf(e.ID), e.Room), parent: from.node, port: from.port, cable: from.label, assumed: e.Assumed, assumedCable: from.assumed || e.Assumed && from.label == "", marks: map[figureSpot]figureMark{}}
		if n.parent >= 0 {
			n.col = f.nodes[n.parent].col + 1
			f.nodes[n.parent].kids++
		}
		f.cols = max(f.cols, n.col+1)
		f.index[e.ID] = len(f.nodes)
		f.nodes = append(f.nodes, n)
	}
	f.place()
	f.annotate(c)
	return f
}

// place gives every end a row and every fork the middle of its branches.
func (f *figure) place() {
	var walk func(i int) (first, last float64)
	walk = func(i int) (float64, float64) {
		if f.nodes[i].kids == 0 {
			f.nodes[i].row = float64(f.rows)
			f.rows++
			return f.nodes[i].row, f.nodes[i].row
		}
		var rows []float64
		for k := range f.nodes {
			if f.nodes[k].parent == i {
				walk(k)
				rows = append(rows, f.nodes[k].row)
			}
		}
		f.nodes[i].row = (rows[0] + rows[len(rows)-1]) / 2
		return rows[0], rows[len(rows)-1]
	}
	for i := range f.nodes {
		if f.nodes[i].parent < 0 {
			walk(i)
		}
	}
}

// annotate puts the readings and the work on the nodes.
func (f *figure) annotate(c closeout.Closeout) {
	for _, p := range c.Points {
		i, ok := f.index[p.ID]
		if !ok {
			continue
		}
		r := p.Last()
		spot := figureSpot{p.Point.Side, p.Point.Port}
		if old, ok := f.nodes[i].marks[spot]; ok && (p.Stale && !old.stale || p.Stale == old.stale && (old.verdict == entry.Fail || r.Verdict == "" && old.verdict != "")) {
			continue // of several at one point what was read since a repair stands, of those a fail, and no voltage before a verdict
		}
		f.nodes[i].marks[spot] = figureMark{verdict: r.Verdict, label: shortValue(r), stale: p.Stale}
	}
	for _, a := range c.Actions {
		id := fmt.Sprintf("%s %d", a.Element, max(1, a.Number))
		if i, ok := f.index[id]; ok && !strings.Contains(f.nodes[i].work, closeout.Plain(a.Action)) {
			f.nodes[i].work = strings.TrimPrefix(f.nodes[i].work+", "+closeout.Plain(a.Action), ", ")
		}
	}
	for i, n := range f.nodes { // what was measured or worked on is no assumption
		f.nodes[i].assumed = n.assumed && len(n.marks) == 0 && n.work == ""
	}
}

// shortValue is the figure printed beside a mark.
func shortValue(r closeout.Reading) string {
	switch {
	case r.NoSignal:
		return "no signal"
	case r.Level.Said():
		return r.Level.String()
	case r.Strength.Said():
		return "strength " + r.Strength.String()
	}
	return closeout.VerdictWord(r.Verdict)
}

func (f figure) row() float64 {
	if f.rows > fewRows {
		return figureTight
	}
	return figureRow
}

func (f figure) Height() float64 { return f.row()*float64(max(1, f.rows)) + figureLegend }

// Draw puts the figure at x, y, as wide as w.
func (f figure) Draw(c Canvas, x, y, w float64) {
	if len(f.nodes) == 0 {
		c.Text(x, y+6, 8, false, Left, Gray, "no path was logged")
		return
	}
	col := w / float64(f.cols)
	box := min(col*0.56, 20)
	at := func(n figureNode) (float64, float64) {
		return x + col*float64(n.col) + (col-box)/2, y + f.row()*n.row + f.row()/2 - 1.5
	}
	for _, n := range f.nodes {
		if n.parent >= 0 {
			px, py := at(f.nodes[n.parent])
			cx, cy := at(n)
			f.edge(c, n, px+box, py, cx, cy)
		}
	}
	for _, n := range f.nodes { // over every line: the fork's own runs past its outputs
		if n.parent >= 0 && n.port > 0 {
			px, _ := at(f.nodes[n.parent])
			cx, cy := at(n)
			f.output(c, n, bend(px+box, cx), cx, cy)
		}
	}
	for i, n := range f.nodes {
		bx, by := at(n)
		f.node(c, i, bx, by, box, col-box)
	}
	f.legend(c, x, y+f.Height()-1.2)
}

// bend is where a fork's line parts towards its outputs.
func bend(x1, x2 float64) float64 { return x1 + (x2-x1)*0.3 }

// edge draws the cable to a node.
func (f figure) edge(c Canvas, n figureNode, x1, y1, x2, y2 float64) {
	mid := bend(x1, x2)
	if y1 == y2 {
		c.Line(x1, y1, x2, y2, 0.4, Black, n.assumedCable)
	} else {
		c.Line(x1, y1, mid, y1, 0.4, Black, false)
		c.Line(mid, y1, mid, y2, 0.4, Black, false)
		c.Line(mid, y2, x2, y2, 0.4, Black, n.assumedCable)
	}
	label := n.cable
	if n.port > 0 {
		label = strings.TrimPrefix(fmt.Sprintf("%s, out %d", label, n.port), ", ")
	}
	lx := x1
	if f.nodes[n.parent].kids > 1 {
		lx = mid + 1
	}
	c.Text((lx+x2)/2, y2-1.9, fitSize(c, label, x2-lx-0.8), false, Centre, Gray, label)
}

// output draws the mark of the output that a node hangs on.
func (f figure) output(c Canvas, n figureNode, mid, x, y float64) {
	m, ok := f.nodes[n.parent].marks[figureSpot{entry.ReceiverSide, n.port}]
	if !ok {
		return
	}
	Mark(c, mid, y, 1.1, m.verdict, m.stale)
	down := 3.2
	if own, ok := n.marks[figureSpot{entry.DishSide, 0}]; ok && crowded(c, m, own, x-mid-2.5) {
		down += labelRow
	}
	c.Text(mid+1.6, y+down, fitSize(c, m.label, x-mid-2), false, Left, Black, m.label)
}

// node draws an element's box, as wide as w, with gap millimetres to the next.
func (f figure) node(c Canvas, i int, x, y, w, gap float64) {
	n := f.nodes[i]
	stroke, width := Black, 0.25
	if n.work != "" {
		stroke, width = Blue, 0.7
	}
	if n.assumed {
		c.Rect(x, y-figureBox/2, w, figureBox, 0, White, White)
		for _, l := range [][4]float64{{0, -1, 1, -1}, {1, -1, 1, 1}, {1, 1, 0, 1}, {0, 1, 0, -1}} {
			c.Line(x+w*l[0], y+figureBox/2*l[1], x+w*l[2], y+figureBox/2*l[3], width, stroke, true)
		}
	} else {
		c.Rect(x, y-figureBox/2, w, figureBox, width, stroke, White)
	}
	size := 6.6
	lines := Wrap(c, size, false, n.words, w-1)
	for size > 4 && (len(lines) > 2 || broken(n.words, lines)) {
		size -= 0.3
		lines = Wrap(c, size, false, n.words, w-1)
	}
	step := size * mmPerPoint * 1.15
	for i, s := range lines {
		c.Text(x+w/2, y+step*(float64(i)-float64(len(lines)-1)/2)+size*mmPerPoint*0.35, size, false, Centre, Black, s)
	}
	if n.work != "" {
		c.Text(x+w/2, y+figureBox/2+2.6, 5.8, true, Centre, Blue, n.work)
	}
	if m, ok := n.marks[figureSpot{entry.DishSide, 0}]; ok {
		Mark(c, x-1.1, y, 1.1, m.verdict, m.stale)
		c.Text(x-0.4, y+3.4, fitSize(c, m.label, gap-1), false, Right, Black, m.label)
	}
	if m, ok := n.marks[figureSpot{entry.ReceiverSide, 0}]; ok {
		Mark(c, x+w+1.1, y, 1.1, m.verdict, m.stale)
		down := 3.4
		for _, k := range f.nodes {
			if next, ok := k.marks[figureSpot{entry.DishSide, 0}]; ok && k.parent == i && k.row == n.row && crowded(c, m, next, gap-1.5) {
				down += labelRow
			}
		}
		c.Text(x+w+0.4, y+down, fitSize(c, m.label, gap-1), false, Left, Black, m.label)
	}
}

// labelRow is how far below the other one of two labels goes that have no room
// side by side, millimetres.
const labelRow = 2.1

// crowded reports that two labels do not fit side by side.
func crowded(c Canvas, a, b figureMark, w float64) bool {
	return c.TextWidth(fitSize(c, a.label, w), false, a.label)+c.TextWidth(fitSize(c, b.label, w), false, b.label) > w
}

// assumed names what is drawn and what nobody said.
func (f figure) assumed() []string {
	var out []string
	for _, n := range f.nodes {
		if n.assumed {
			out = append(out, n.words)
		} else if n.assumedCable {
			out = append(out, "the cable to "+n.words)
		}
	}
	return out
}

// legend explains the marks, on one line.
func (f figure) legend(c Canvas, x, y float64) {
	put := func(v entry.Verdict, s string) {
		Mark(c, x+1, y-0.9, 1, v, false)
		c.Text(x+2.8, y, 6, false, Left, Gray, s)
		x += 5.5 + c.TextWidth(6, false, s)
	}
	put(entry.Pass, "pass")
	put(entry.Fail, "fail")
	put("", "no verdict")
	words := "last reading at each point, dBm. Hollow: before a repair, not read since. Thick box: worked on."
	if len(f.assumed()) > 0 {
		words += " Dashed: assumed, nobody said so."
	}
	c.Text(x, y, 6, false, Left, Gray, words)
}

// PathSVG draws the signal path with its verdicts as an SVG image.
func PathSVG(c closeout.Closeout, w io.Writer) error {
	const width = 188
	f, s := NewFigure(c), &Svg{}
	f.Draw(s, 0, 0, width)
	var desc []string
	for _, p := range c.Points {
		r := p.Last()
		desc = append(desc, fmt.Sprintf("%s: %s, %s", p.Name, closeout.VerdictWord(r.Verdict), shortValue(r)))
	}
	for _, t := range f.assumed() {
		desc = append(desc, t+" is assumed: nobody said so")
	}
	return s.WriteTo(w, width, f.Height(), "Signal path of job "+c.Job, strings.Join(desc, ". "))
}
