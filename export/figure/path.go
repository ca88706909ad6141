package figure

import (
	"fmt"
	"slices"
	"strings"

	"downlead/diagnose/claim"
	"downlead/diagnose/level"
	"downlead/diagnose/next"
	"downlead/diagnose/path"
	"downlead/export/closeout"
	"downlead/export/shown"
	"downlead/grammar/entry"
)

// The path figure shows the coax as what it is: one line that starts in the
// sky at the dish and comes down through every part to the receivers. Where
// the signal is known to be good the line is full; between the last pass and
// the first fail it is broken; beyond a fail it is empty.
const (
	laneStart = 44 // the first lane; left of it is the gutter of the brackets
	laneStep  = 28
)

// Path is the path of a job, laid out. The page and the paper draw it as it
// stands here.
type Path struct {
	Width, Height, TextX int
	Glyph                float64 // size of the drawn parts
	Desc                 string  // all of it in words
	Rows                 []Row
	Wires                []Wire
	Braces               []Brace
	Keys                 []Key    // what the states of the line mean, of those that are drawn
	Notes                []string // what else the drawing means
}

// Row is one line of the figure: an element, a point with its reading, or the
// sign where a bracket begins or ends.
type Row struct {
	Kind    string // "part", "point", "sign"
	X, Y    int
	Name    string
	Lines   []Line
	Element entry.Element // of a part
	Suspect bool
	Assumed bool // nobody said so
	Worked  bool // something was done to it
	Bare    bool // coax itself, with no shape of its own
	Verdict entry.Verdict
	Stale   bool
	State   string // of the line that ends here: good, fault, dead or unknown

	words   string
	spans   []Span
	element int
	parent  int // index of the row before it on its way from the dish; -1 for the dish
	lane    int
	height  int
	wasPass bool
	wasFail bool
	fault   bool // within a bracket
}

// Wire is the coax between two rows: down from the first, and where the second
// stands in another lane, across to it.
type Wire struct {
	X1, Y1, X2, Y2 int
	State          string
	Run            bool // the second row is a run of cable, drawn thicker there
}

// D is the wire as the data of an SVG path; into another lane it bends once,
// as a cable does.
func (w Wire) D() string {
	if w.X1 == w.X2 {
		return fmt.Sprintf("M%d %dV%d", w.X1, w.Y1, w.Y2)
	}
	const bend = 14
	return fmt.Sprintf("M%d %dV%dQ%d %d %d %dH%d", w.X1, w.Y1, w.Y2-bend, w.X1, w.Y2, w.X1+bend, w.Y2, w.X2)
}

// RunD is the thick part of a run of cable.
func (w Wire) RunD() string {
	const half = 15
	return fmt.Sprintf("M%d %dV%d", w.X2, w.Y2-half, w.Y2+half)
}

// Brace marks a run of rows that a bracket holds.
type Brace struct{ Top, Bottom int }

// Key says what a state of the line means.
type Key struct{ State, Words string }

var keys = []Key{{"good", "signal good"}, {"fault", "fault is in here"}, {"dead", "beyond a fail"}, {"unknown", "not known"}}

// NewPath lays out the path of a job.
func NewPath(c closeout.Closeout, st Style) Path {
	l := &pathLayout{c: c, style: st, names: closeout.NewNamer(c.Path), children: map[string][]int{}, fault: map[string]bool{}}
	for i, e := range c.Path {
		l.children[e.Parent] = append(l.children[e.Parent], i)
	}
	for _, id := range c.Bracketed {
		l.fault[id] = true
	}
	for i, e := range c.Path {
		if e.Parent == "" {
			l.add(i, -1, 0)
		}
	}
	l.judge()
	return l.figure()
}

type pathLayout struct {
	c        closeout.Closeout
	style    Style
	names    closeout.Namer
	children map[string][]int // by id, in order
	fault    map[string]bool  // ids within a bracket
	rows     []Row
	lanes    int
}

// add appends the rows of element i and of everything beyond it.
func (l *pathLayout) add(i, before, lane int) {
	e := l.c.Path[i]
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
			if p.Point.Port == l.c.Path[c].Port {
				before = l.push(l.pointRow(i, p), before, lane+1)
			}
		}
		l.add(c, before, lane+1)
		loose = slices.DeleteFunc(loose, func(p level.PointState) bool { return p.Point.Port == l.c.Path[c].Port })
	}
	for _, p := range loose { // an output that nothing hangs on
		l.lanes = max(l.lanes, lane+1)
		l.push(l.pointRow(i, p), part, lane+1)
	}
}

func (l *pathLayout) push(r Row, before, lane int) int {
	r.parent, r.lane = before, lane
	l.rows = append(l.rows, r)
	return len(l.rows) - 1
}

// points returns what is known at one side of an element, by output.
func (l *pathLayout) points(id string, s entry.Side) []level.PointState {
	var out []level.PointState
	for _, p := range l.c.Now {
		if p.ID == id && p.Point.Side == s && len(p.Entries) > 0 {
			out = append(out, p)
		}
	}
	slices.SortStableFunc(out, func(a, b level.PointState) int { return a.Point.Port - b.Point.Port })
	return out
}

func (l *pathLayout) part(i int) Row {
	e := l.c.Path[i]
	work := l.work(e.ID)
	read := slices.ContainsFunc(l.c.Now, func(p level.PointState) bool { return p.ID == e.ID })
	r := Row{
		Kind: "part", Element: e.Element, Name: shown.Capital(l.names.Element(e.Element, closeout.NumberOf(e.ID), "")),
		Bare: isCable(e.Element), Worked: work != "", element: i, fault: l.fault[e.ID],
	}
	if r.Bare {
		r.Name = shown.Capital(closeout.Plain(string(e.Element)))
	}
	r.Assumed = e.Assumed && work == "" && (r.Bare || !read) // what was measured or worked on is no assumption
	suspect, note := l.suspect(e.ID), ""
	r.Suspect = suspect != ""
	if r.Assumed {
		note = "assumed"
	}
	r.say(Span{Kind: "name", Text: r.Name}, Span{Kind: "soft", Text: particulars(e)}, Span{Kind: "suspect", Text: suspect}, Span{Kind: "work", Text: work}, Span{Kind: "note", Text: note})
	return r
}

// say gives a row its words.
func (r *Row) say(spans ...Span) {
	r.spans = spans
	var words []string
	for _, s := range spans {
		if s.Text != "" {
			words = append(words, s.Text)
		}
	}
	r.words = strings.Join(words, ", ")
}

func isCable(e entry.Element) bool { return e == entry.Cable || e == entry.Jumper }

// particulars are an element's length, cable, ways and room.
func particulars(e path.PathElement) string {
	var out []string
	if e.LengthFt > 0 {
		out = append(out, shown.Number(e.LengthFt)+" ft")
	}
	if e.Cable != "" {
		out = append(out, closeout.Plain(e.Cable))
	}
	if e.Ways > 0 {
		out = append(out, fmt.Sprintf("%d ways", e.Ways))
	}
	if e.Room != "" {
		out = append(out, e.Room)
	}
	return strings.Join(out, ", ")
}

// suspect is what an element is suspected of; "" for one that is not.
func (l *pathLayout) suspect(id string) string {
	for _, s := range l.c.Suspects {
		if s.ID == id {
			return strings.TrimSuffix("suspect, "+next.Percent(s.P)+": "+claim.ModeWords(s.Mode), ": ")
		}
	}
	return ""
}

// work is what was done to an element, each thing once.
func (l *pathLayout) work(id string) string {
	var done []string
	for _, a := range l.c.Actions {
		if w := closeout.Plain(a.Action); slices.Contains(a.On, id) && !slices.Contains(done, w) {
			done = append(done, w)
		}
	}
	return strings.Join(done, ", ")
}

func (l *pathLayout) pointRow(i int, p level.PointState) Row {
	e := l.c.Path[i]
	r := Row{
		Kind: "point", Name: closeout.Side(e.Element, p.Point), Verdict: p.Verdict, Stale: p.Stale, element: i, fault: l.fault[e.ID],
		wasPass: p.Verdict == entry.Pass && !p.Stale, wasFail: p.Verdict == entry.Fail && !p.Stale,
	}
	verdict := string(p.Verdict)
	if verdict == "" {
		verdict = "read"
	}
	note := []string{r.Name}
	switch {
	case p.Stale:
		note = append(note, "before a repair")
	case p.Expected != nil:
		note = append(note, "about "+shown.Whole(*p.Expected)+" expected")
	}
	r.say(Span{Kind: "verdict", Text: verdict}, Span{Kind: "figures", Text: l.figures(p)}, Span{Kind: "note", Text: strings.Join(note, " · ")})
	return r
}

// figures are what was read at a point. No signal is worse than any level.
func (l *pathLayout) figures(p level.PointState) string {
	last := readingsOf(l.c, p)
	last = slices.DeleteFunc(last, func(r closeout.Reading) bool { return r.Round != p.Round })
	var out []string
	switch i := len(last) - 1; {
	case i >= 0 && last[i].NoSignal:
		return "no signal"
	case p.Level != nil:
		out = append(out, shown.Number(*p.Level)+" dBm")
		if p.Margin != nil {
			out = append(out, "margin "+shown.Signed(*p.Margin))
		}
		if i >= 0 && p.Verdict == entry.Fail && p.Margin != nil && *p.Margin >= 0 && last[i].Strength.Said() { // why it fails
			out = append(out, "strength "+last[i].Strength.String())
		}
	case i >= 0 && last[i].Strength.Said():
		out = append(out, "strength "+last[i].Strength.String())
	}
	if i := len(last) - 1; i >= 0 && last[i].Volts.Said() {
		out = append(out, shown.Minus(last[i].Volts.String())+" V")
	}
	return strings.Join(out, ", ")
}

// readingsOf are the readings that a point's state rests on, in order.
func readingsOf(c closeout.Closeout, p level.PointState) []closeout.Reading {
	var out []closeout.Reading
	for _, r := range c.Readings {
		if slices.Contains(p.Entries, r.Entry) {
			out = append(out, r)
		}
	}
	return out
}
