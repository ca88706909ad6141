package review

import (
	"fmt"
	"slices"
	"strings"

	"downlead/diagnose/claim"
	"downlead/diagnose/level"
	"downlead/diagnose/next"
	"downlead/grammar/entry"
)

// The path figure shows the coax as what it is: one line that starts in the
// sky at the dish and comes down through every part to the receivers. Where
// the signal is known to be good the line is full; between the last pass and
// the first fail it is broken; beyond a fail it is empty.
//
// Lengths are in user units, about one pixel on a narrow screen.
const (
	figureWidth = 360
	laneStart   = 44 // the first lane; left of it is the gutter of the brackets
	laneStep    = 28
	textGap     = 26 // from the last lane to the words
	partHeight  = 40
	partNoted   = 58 // an element with a second line
	pointHeight = 50
	signHeight  = 30
	topMargin   = 26
)

// pathFigure is the path, laid out.
type pathFigure struct {
	Width, Height, TextX int
	Desc                 string
	Rows                 []pathRow
	Wires                []wire
	Braces               []brace
}

// pathRow is one line of the figure: an element, a point with its reading, or
// the sign where a bracket begins or ends.
type pathRow struct {
	Kind    string // "part", "point", "sign"
	X, Y    int
	Glyph   string // the element, for a part
	Name    string
	Note    string
	Lead    string // length, cable, room
	Suspect string // "62 %, open or short"
	Assumed bool
	Bare    bool   // coax itself, with no shape of its own
	Verdict string // "pass", "fail" or ""
	Figures string
	Stale   bool
	State   string // of the line that ends here: good, fault, dead or unknown

	element int
	parent  int // index of the row before it on its way from the dish; -1 for the dish
	lane    int
	height  int
	wasPass bool
	wasFail bool
	fault   bool // within a bracket
}

// bare reports that a row is coax itself, with no shape of its own.
func (r pathRow) bare() bool {
	return r.Kind == "part" && (r.Glyph == string(entry.Cable) || r.Glyph == string(entry.Jumper))
}

// wire is the coax between two rows. State is good, fault, dead or unknown.
type wire struct {
	D, State string
	Run      string // the thick part, where the row is a run of cable
}

// brace marks a run of rows that a bracket holds.
type brace struct{ Top, Bottom int }

// drawPath lays out the path of a diagnosis.
func drawPath(d claim.Diagnosis) pathFigure {
	l := &pathLayout{d: d, suspected: d.Suspected(), names: newNamer(d.Path), index: map[string]int{}, children: map[string][]int{}, fault: map[string]bool{}}
	for i, e := range d.Path {
		l.index[e.ID] = i
		l.children[e.Parent] = append(l.children[e.Parent], i)
	}
	for _, b := range d.Brackets {
		for _, id := range b.Elements {
			l.fault[id] = true
		}
	}
	for i, e := range d.Path {
		if e.Parent == "" {
			l.add(i, -1, 0)
		}
	}
	l.judge()
	return l.figure()
}

type pathLayout struct {
	d         claim.Diagnosis
	suspected []claim.Chance
	names     namer
	index     map[string]int
	children  map[string][]int // by id, in order
	fault     map[string]bool  // ids within a bracket
	rows      []pathRow
	lanes     int
}

// add appends the rows of element i and of everything beyond it.
func (l *pathLayout) add(i, before, lane int) {
	e := l.d.Path[i]
	l.lanes = max(l.lanes, lane)
	for _, p := range l.points(e.ID, entry.DishSide) {
		before = l.push(l.pointRow(i, p), before, lane)
	}
	part := l.push(l.part(i), before, lane)
	children := l.children[e.ID]
	if len(children) <= 1 {
		before = part
		for _, p := range l.points(e.ID, entry.ReceiverSide) {
			before = l.push(l.pointRow(i, p), before, lane)
		}
		for _, c := range children {
			l.add(c, before, lane)
		}
		return
	}
	loose := l.points(e.ID, entry.ReceiverSide)
	for _, c := range children {
		before := part
		for _, p := range loose {
			if p.Point.Port == l.d.Path[c].Port {
				before = l.push(l.pointRow(i, p), before, lane+1)
			}
		}
		l.add(c, before, lane+1)
		loose = slices.DeleteFunc(loose, func(p level.PointState) bool { return p.Point.Port == l.d.Path[c].Port })
	}
	for _, p := range loose { // an output that nothing hangs on
		l.push(l.pointRow(i, p), part, lane+1)
	}
}

func (l *pathLayout) push(r pathRow, before, lane int) int {
	r.parent, r.lane = before, lane
	l.rows = append(l.rows, r)
	return len(l.rows) - 1
}

// points returns what is known at one side of an element, by output.
func (l *pathLayout) points(id string, s entry.Side) []level.PointState {
	var out []level.PointState
	for _, p := range l.d.Points {
		if p.ID == id && p.Point.Side == s && len(p.Entries) > 0 {
			out = append(out, p)
		}
	}
	slices.SortStableFunc(out, func(a, b level.PointState) int { return a.Point.Port - b.Point.Port })
	return out
}

func (l *pathLayout) part(i int) pathRow {
	e := l.d.Path[i]
	var lead []string
	if e.LengthFt > 0 {
		lead = append(lead, number(e.LengthFt)+" ft")
	}
	if e.Cable != "" {
		lead = append(lead, plain(e.Cable))
	}
	if e.Ways > 0 {
		lead = append(lead, fmt.Sprintf("%d ways", e.Ways))
	}
	if e.Room != "" {
		lead = append(lead, e.Room)
	}
	r := pathRow{
		Kind: "part", Glyph: string(e.Element), Name: capital(l.names.short(e)), Lead: strings.Join(lead, ", "),
		Assumed: e.Assumed, element: i, fault: l.fault[e.ID], height: partHeight,
	}
	r.Suspect = l.suspect(e.ID)
	if e.Assumed {
		r.Note = "assumed, nobody said so"
	}
	if r.Suspect != "" || r.Note != "" {
		r.height = partNoted
	}
	return r
}

// suspect is what an element is suspected of; "" for one that is not.
func (l *pathLayout) suspect(id string) string {
	for _, s := range l.suspected {
		if s.ID == id {
			return strings.TrimSuffix("suspect, "+next.Percent(s.P)+": "+claim.ModeWords(s.Mode), ": ")
		}
	}
	return ""
}

func (l *pathLayout) pointRow(i int, p level.PointState) pathRow {
	e := l.d.Path[i]
	r := pathRow{
		Kind: "point", Name: side(e.Element, p.Point), Verdict: string(p.Verdict), Stale: p.Stale,
		element: i, fault: l.fault[e.ID], height: pointHeight,
		wasPass: p.Verdict == entry.Pass && !p.Stale, wasFail: p.Verdict == entry.Fail && !p.Stale,
	}
	var figures, note []string
	if p.Level != nil {
		figures = append(figures, number(*p.Level)+" dBm")
	}
	if p.Margin != nil {
		figures = append(figures, "margin "+signed(*p.Margin))
	}
	note = append(note, r.Name)
	switch {
	case p.Stale:
		note = append(note, "before a repair")
	case p.Expected != nil:
		note = append(note, "about "+whole(*p.Expected)+" expected")
	}
	r.Figures, r.Note = strings.Join(figures, ", "), strings.Join(note, " · ")
	return r
}

// judge decides what the line is like on its way to each row.
func (l *pathLayout) judge() {
	for i := len(l.rows) - 1; i >= 0; i-- { // upstream of a pass the signal is good
		if r := l.rows[i]; r.wasPass && r.parent >= 0 {
			l.rows[r.parent].wasPass = true
		}
	}
}

// state is good, fault, dead or unknown: what is known of the coax that ends
// at row i.
func (l *pathLayout) state(i int) string {
	r := l.rows[i]
	if up := r.parent; r.wasPass || r.Kind == "part" && up >= 0 && l.rows[up].wasPass && l.rows[up].element == r.element {
		return "good" // up to a pass, and through the joint at which it was measured
	}
	for up := r.parent; up >= 0; up = l.rows[up].parent {
		if l.rows[up].wasFail {
			return "dead"
		}
	}
	if r.fault || r.wasFail && r.parent >= 0 && l.rows[r.parent].fault {
		return "fault"
	}
	return "unknown"
}

// figure gives the rows their places and draws the lines between them.
func (l *pathLayout) figure() pathFigure {
	f := pathFigure{Width: figureWidth, TextX: laneStart + l.lanes*laneStep + textGap}
	y := topMargin
	at := make([]int, len(l.rows)) // row index -> its index in f.Rows
	for i, r := range l.rows {
		if l.begins(i) {
			f.Rows = append(f.Rows, pathRow{Kind: "sign", X: laneStart + r.lane*laneStep, Y: y + signHeight/2 - 6, Name: "the fault is between here"})
			y += signHeight
		}
		r.Bare, r.State = r.bare(), l.state(i)
		r.X, r.Y = laneStart+r.lane*laneStep, y+r.height/2
		at[i] = len(f.Rows)
		f.Rows = append(f.Rows, r)
		y += r.height
		if l.ends(i) {
			f.Rows = append(f.Rows, pathRow{Kind: "sign", X: r.X, Y: y + signHeight/2 - 6, Name: "and here"})
			y += signHeight
		}
	}
	f.Height = y + 10
	for i, r := range l.rows {
		if r.parent >= 0 {
			f.Wires = append(f.Wires, l.wire(f.Rows[at[r.parent]], f.Rows[at[i]]))
		}
	}
	// Branches of one element share a stretch of line: what is known for sure
	// is drawn over what is not.
	order := []string{"unknown", "dead", "fault", "good"}
	slices.SortStableFunc(f.Wires, func(a, b wire) int { return slices.Index(order, a.State) - slices.Index(order, b.State) })
	f.Braces = l.braces(f.Rows, at)
	f.Desc = l.words()
	return f
}

// inBracket reports whether row i belongs to the marked stretch: the elements
// of the bracket, the points between them and the fail that ends it, but not
// the pass before it.
func (l *pathLayout) inBracket(i int) bool {
	r := l.rows[i]
	return r.fault && !r.wasPass || r.wasFail && r.parent >= 0 && l.rows[r.parent].fault
}

func (l *pathLayout) begins(i int) bool {
	return l.inBracket(i) && (i == 0 || !l.inBracket(i-1))
}

func (l *pathLayout) ends(i int) bool {
	return l.inBracket(i) && (i == len(l.rows)-1 || !l.inBracket(i+1))
}

func (l *pathLayout) braces(rows []pathRow, at []int) []brace {
	var out []brace
	for i := range l.rows {
		if l.begins(i) {
			out = append(out, brace{Top: rows[at[i]-1].Y})
		}
		if l.ends(i) && len(out) > 0 {
			out[len(out)-1].Bottom = rows[at[i]+1].Y
		}
	}
	return out
}

// wire draws the coax from one row to the next; into another lane it bends
// once, as a cable does.
func (l *pathLayout) wire(from, to pathRow) wire {
	w := wire{State: to.State}
	if to.Bare {
		const half = 15
		w.Run = fmt.Sprintf("M%d %dV%d", to.X, to.Y-half, to.Y+half)
	}
	if from.X == to.X {
		w.D = fmt.Sprintf("M%d %dV%d", from.X, from.Y, to.Y)
		return w
	}
	const bend = 14
	w.D = fmt.Sprintf("M%d %dV%dQ%d %d %d %dH%d", from.X, from.Y, to.Y-bend, from.X, to.Y, from.X+bend, to.Y, to.X)
	return w
}

// words is the figure for those who cannot see it.
func (l *pathLayout) words() string {
	var parts []string
	for _, r := range l.rows {
		switch r.Kind {
		case "part":
			s := r.Name
			for _, more := range []string{r.Lead, r.Suspect, r.Note} {
				if more != "" {
					s += ", " + more
				}
			}
			parts = append(parts, s)
		case "point":
			s := r.Note
			for _, more := range []string{r.Verdict, r.Figures} {
				if more != "" {
					s += ", " + more
				}
			}
			parts = append(parts, s)
		}
	}
	if len(l.d.Brackets) > 0 {
		for _, b := range l.d.Brackets {
			parts = append(parts, "The fault lies in: "+l.names.list(b.Elements))
		}
	}
	return "From the dish down. " + strings.Join(parts, ". ") + "."
}
