package figure

import (
	"slices"
	"strings"
)

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
func (l *pathLayout) figure() Path {
	st := l.style
	f := Path{Width: st.Width, Glyph: st.glyph, TextX: laneStart + l.lanes*laneStep + st.gap}
	if least := st.Width / 3; f.TextX > st.Width-least {
		f.TextX = st.Width - least // of very many forks the lanes run under the words
	}
	y := st.top
	at := make([]int, len(l.rows)) // row index -> its index in f.Rows
	sign := func(r Row, words string) {
		s := Row{Kind: "sign", X: laneStart + r.lane*laneStep, Y: y + st.sign*3/10, Name: words, spans: []Span{{Kind: "sign", Text: words}}, height: st.sign}
		s.Lines = st.flow(s.spans, st.Width-f.TextX)
		f.Rows = append(f.Rows, s)
		y += st.sign
	}
	for i, r := range l.rows {
		if l.begins(i) {
			sign(r, "the fault is between here")
		}
		r.State, r.Lines = l.state(i), st.flow(r.spans, st.Width-f.TextX)
		r.height = st.height(r)
		r.X, r.Y = laneStart+r.lane*laneStep, y+r.height/2
		at[i] = len(f.Rows)
		f.Rows = append(f.Rows, r)
		y += r.height
		if l.ends(i) {
			sign(r, "and here")
		}
	}
	f.Height = y + st.top/2
	for i, r := range l.rows {
		if r.parent >= 0 {
			from, to := f.Rows[at[r.parent]], f.Rows[at[i]]
			f.Wires = append(f.Wires, Wire{from.X, from.Y, to.X, to.Y, to.State, to.Bare})
		}
	}
	// Branches of one element share a stretch of line: what is known for sure
	// is drawn over what is not.
	order := []string{"unknown", "dead", "fault", "good"}
	slices.SortStableFunc(f.Wires, func(a, b Wire) int { return slices.Index(order, a.State) - slices.Index(order, b.State) })
	f.Braces = l.braces(f.Rows, at)
	l.explain(&f)
	return f
}

// height is what a row needs.
func (st Style) height(r Row) int {
	least, pad := st.part, st.padPart
	switch {
	case r.Kind == "point":
		least, pad = st.point, st.padPoint
	case r.Bare:
		least = st.bare
	}
	if len(r.Lines) < 2 {
		return least
	}
	return max(least, len(r.Lines)*st.line+pad)
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

func (l *pathLayout) braces(rows []Row, at []int) []Brace {
	var out []Brace
	for i := range l.rows {
		if l.begins(i) {
			out = append(out, Brace{Top: rows[at[i]-1].Y})
		}
		if l.ends(i) && len(out) > 0 {
			out[len(out)-1].Bottom = rows[at[i]+1].Y
		}
	}
	return out
}

// explain writes the keys, the notes, and the figure in words for those who
// cannot see it.
func (l *pathLayout) explain(f *Path) {
	for _, k := range keys {
		if slices.ContainsFunc(f.Wires, func(w Wire) bool { return w.State == k.State }) {
			f.Keys = append(f.Keys, k)
		}
	}
	if slices.ContainsFunc(f.Rows, func(r Row) bool { return r.Stale }) {
		f.Notes = append(f.Notes, "Hollow: before a repair, not read since.")
	}
	if slices.ContainsFunc(f.Rows, func(r Row) bool { return r.Assumed }) {
		f.Notes = append(f.Notes, "Dashed: assumed, nobody said so.")
	}
	var parts []string
	for _, r := range l.rows {
		parts = append(parts, r.words)
	}
	if len(l.c.Bracketed) > 0 {
		var in []string
		for _, r := range l.rows {
			if r.Kind == "part" && r.fault {
				in = append(in, strings.TrimSpace(r.Name+" "+particulars(l.c.Path[r.element])))
			}
		}
		parts = append(parts, "The fault lies in: "+strings.Join(in, ", "))
	}
	if len(parts) == 0 {
		f.Desc = "No path was logged."
		return
	}
	f.Desc = "From the dish down. " + strings.Join(append(parts, f.Notes...), ". ")
	f.Desc = strings.TrimSuffix(f.Desc, ".") + "."
}

// Pages parts a figure into pieces no higher than first and then most, each of
// whole rows. The line goes on from one to the next.
func (p Path) Pages(first, most int) []Path {
	var out []Path
	for top, from := 0, 0; from < len(p.Rows); {
		room := most
		if len(out) == 0 {
			room = first
		}
		to, bottom := from, top
		for to < len(p.Rows) && (to == from || p.Rows[to].bottom()-top <= room) {
			bottom = p.Rows[to].bottom()
			to++
		}
		if to == len(p.Rows) {
			bottom = max(bottom, p.Height)
		}
		out = append(out, p.piece(from, to, top, bottom))
		top, from = bottom, to
	}
	return out
}

// bottom is where a row ends.
func (r Row) bottom() int {
	if r.Kind == "sign" {
		return r.Y + r.height*7/10
	}
	return r.Y + (r.height+1)/2
}

// piece is what stands between two heights.
func (p Path) piece(from, to, top, bottom int) Path {
	f := p
	f.Rows, f.Wires, f.Braces, f.Height = slices.Clone(p.Rows[from:to]), nil, nil, bottom-top
	for i := range f.Rows {
		f.Rows[i].Y -= top
	}
	for _, w := range p.Wires {
		if w.Y2 < top || w.Y1 >= bottom {
			continue
		}
		if w.Y2 >= bottom {
			w.X2, w.Y2, w.Run = w.X1, bottom, false
		}
		w.Y1, w.Y2 = max(w.Y1, top)-top, w.Y2-top
		f.Wires = append(f.Wires, w)
	}
	for _, b := range p.Braces {
		if b.Bottom >= top && b.Top < bottom {
			f.Braces = append(f.Braces, Brace{max(b.Top, top) - top, min(b.Bottom, bottom) - top})
		}
	}
	return f
}
