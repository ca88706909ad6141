package figure

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"downlead/diagnose/level"
	"downlead/diagnose/path"
	"downlead/export/closeout"
	"downlead/export/shown"
	"downlead/grammar/entry"
)

// The level figure follows one branch from the dish down to its end, as the
// path figure does: the signal comes in at the top and grows weaker, to the
// left, on its way down. What lies left of the floor is hatched.
const (
	levelWidth  = 360
	levelLeft   = 20
	levelRight  = 340
	levelBottom = 14
)

// Level is the level along one branch, laid out.
type Level struct {
	To, ID        string // where the branch ends
	Width, Height int
	Top, Bottom   int
	Left, Right   int
	FloorX        int
	Floor         string
	Ticks         []Tick
	Rows          []LevelRow
	Expected      Trail // the way through the expected levels; empty where only one is known
	Rounds        []Round
	Desc          string
	Failing       bool // what was read last fails somewhere
	Stale         bool // something was not read since a repair
	HasExpected   bool

	lowest, highest float64
}

// Tick is a line of the scale.
type Tick struct {
	X     int
	Label string
}

// Dot is a place in a figure.
type Dot struct{ X, Y int }

// Trail is a line through dots.
type Trail []Dot

// D is the line as the data of an SVG path.
func (t Trail) D() string {
	var b strings.Builder
	for i, d := range t {
		fmt.Fprintf(&b, "%c%d %d", "ML"[min(i, 1)], d.X, d.Y)
	}
	return b.String()
}

// LevelRow is one point of the branch. Cells hold the same figures, one a
// round, and Margin that of the last.
type LevelRow struct {
	Name     string
	Y        int // of the words
	Expected string
	Marks    []LevelMark
	Cells    []string
	Margin   string

	expected float64
}

// LevelMark is what was read last at a point in one round: of several signals the
// worst, as it decides. Side is which end of its words stands at TextX.
type LevelMark struct {
	X, Y    int
	Round   int
	Shape   string // "circle", "square", "triangle": one a round
	Verdict entry.Verdict
	Label   string // with the verdict
	Side    string // "start" or "end"
	TextX   int
	Stale   bool // not read since a repair on its way

	level    float64
	noSignal bool
}

// Round is the line through the levels of one round.
type Round struct {
	Round int
	Shape string
	Words string
	Line  Trail
}

// shape is the mark of a round. After three they repeat; the line through them
// tells which is which.
func shape(round int) string {
	return []string{"circle", "square", "triangle"}[(max(round, 1)-1)%3]
}

// NewLevels lays out a figure for each branch that something was read on.
func NewLevels(c closeout.Closeout, st Style) []Level {
	names := closeout.NewNamer(c.Path)
	byID, forks := map[string]path.PathElement{}, map[string]bool{}
	for _, e := range c.Path {
		byID[e.ID] = e
		forks[e.Parent] = true
	}
	var out []Level
	for _, e := range c.Path {
		if forks[e.ID] {
			continue
		}
		var branch []path.PathElement
		for at, ok := e, true; ok; at, ok = byID[at.Parent] {
			branch = append(branch, at)
		}
		slices.Reverse(branch)
		f := Level{To: names.Element(e.Element, closeout.NumberOf(e.ID), e.Room), ID: strings.ReplaceAll(e.ID, " ", "-")}
		f.collect(c, names, branch)
		if len(f.Rows) > 0 && !covered(out, f) {
			for _, part := range f.parts(st) {
				part.lay(c.Limits.FloorDBm.Float(), st)
				out = append(out, part)
			}
		}
	}
	return out
}

// parts cuts a figure that would be longer than a page.
func (f Level) parts(st Style) []Level {
	const most = 1300 // units, of the rows
	rows := f.Rows
	f.Rows = nil
	out, height := []Level{f}, 0
	for _, r := range rows {
		h := st.label + st.track*len(r.Marks) + 6
		if height+h > most && height > 0 {
			f.ID, f.To = f.ID+"-on", strings.TrimSuffix(f.To, ", continued")+", continued"
			out, height = append(out, f), 0
		}
		height += h
		last := &out[len(out)-1]
		last.Rows = append(last.Rows, r)
	}
	return out
}

// covered reports that every point of a figure stands in an earlier one: a
// branch that was not measured beyond the fork has nothing of its own to show.
func covered(earlier []Level, f Level) bool {
	names := map[string]bool{}
	for _, e := range earlier {
		for _, r := range e.Rows {
			names[r.Name] = true
		}
	}
	return !slices.ContainsFunc(f.Rows, func(r LevelRow) bool { return !names[r.Name] })
}

// collect gathers the rows of a branch: every point at which a level was read,
// or found missing.
func (f *Level) collect(c closeout.Closeout, names closeout.Namer, branch []path.PathElement) {
	f.lowest, f.highest = math.Inf(1), math.Inf(-1)
	see := func(v float64) { f.lowest, f.highest = min(f.lowest, v), max(f.highest, v) }
	for i, e := range branch {
		port := 0
		if i+1 < len(branch) {
			port = branch[i+1].Port
		}
		for _, s := range []entry.Side{entry.DishSide, entry.ReceiverSide} {
			for _, p := range c.Now {
				if p.ID != e.ID || p.Point.Side != s || p.Point.Port != 0 && port != 0 && p.Point.Port != port {
					continue
				}
				row := LevelRow{Name: names.Point(p.Point, p.ID), Marks: rounds(readingsOf(c, p), p)}
				if len(row.Marks) == 0 {
					continue
				}
				if p.Expected != nil {
					row.Expected, row.expected, f.HasExpected = shown.Whole(*p.Expected), *p.Expected, true
					see(*p.Expected)
				}
				if p.Margin != nil && !p.Stale {
					row.Margin = shown.Signed(*p.Margin)
				}
				for _, m := range row.Marks {
					if !m.noSignal {
						see(m.level)
					}
					f.Stale = f.Stale || m.Stale
				}
				f.Failing = f.Failing || p.Verdict == entry.Fail && !p.Stale
				f.Rows = append(f.Rows, row)
			}
		}
	}
}

// rounds are the marks of a point, one a round.
func rounds(readings []closeout.Reading, p level.PointState) []LevelMark {
	var out []LevelMark
	count := map[int]int{}
	for i, r := range readings {
		again := func(o closeout.Reading) bool { // of one signal, the last
			return o.Round == r.Round && o.Slot == r.Slot && o.Transponder == r.Transponder && o.Polarity == r.Polarity && (o.Level.Said() || o.NoSignal)
		}
		if !r.Level.Said() && !r.NoSignal || slices.ContainsFunc(readings[i+1:], again) {
			continue
		}
		m := LevelMark{Round: r.Round, Shape: shape(r.Round), Verdict: r.Verdict, Stale: r.Round < p.Round || p.Stale, noSignal: r.NoSignal, level: r.Level.Float()}
		m.Label = "no signal"
		if !r.NoSignal {
			m.Label = shown.Number(m.level)
		}
		count[r.Round]++
		i := slices.IndexFunc(out, func(o LevelMark) bool { return o.Round == r.Round })
		switch {
		case i < 0:
			out = append(out, m)
		case m.noSignal || !out[i].noSignal && m.level < out[i].level:
			out[i] = m
		}
	}
	slices.SortStableFunc(out, func(a, b LevelMark) int { return a.Round - b.Round })
	for i := range out {
		m := &out[i]
		m.Label = strings.TrimSpace(m.Label + " " + string(m.Verdict))
		if n := count[m.Round]; n > 1 {
			m.Label += fmt.Sprintf(", worst of %d", n)
		}
	}
	return out
}

// lay gives everything its place once the scale is known.
func (f *Level) lay(floor float64, st Style) {
	f.Width, f.Left, f.Right, f.Top = levelWidth, levelLeft, levelRight, st.head
	low := math.Floor((min(f.lowest, floor)-4)/10) * 10
	high := math.Ceil((max(f.highest, floor)+3)/10) * 10
	x := func(v float64) int {
		return levelLeft + int(math.Round((v-low)/(high-low)*float64(levelRight-levelLeft)))
	}
	step := 10.0
	if high-low > 60 {
		step = 20
	}
	for v := low; v <= high; v += step {
		f.Ticks = append(f.Ticks, Tick{X: x(v), Label: shown.Number(v)})
	}
	f.FloorX, f.Floor = x(floor), shown.Number(floor)
	y := st.head
	lines := map[int]Trail{}
	for i := range f.Rows {
		r := &f.Rows[i]
		y += st.label
		r.Y = y - 5
		if r.Expected != "" {
			f.Expected = append(f.Expected, Dot{x(r.expected), y + st.track*len(r.Marks)/2})
		}
		for j := range r.Marks {
			m := &r.Marks[j]
			m.X, m.Y = x(m.level), y+st.track*j+st.track/2
			if m.noSignal {
				m.X = levelLeft
			}
			m.Side, m.TextX = "start", m.X+12
			w := st.width(Span{Kind: "name", Text: m.Label})
			acrossFloor := m.X < f.FloorX && m.TextX+w > f.FloorX
			if (m.TextX+w > levelWidth || acrossFloor) && m.X-12 >= w {
				m.Side, m.TextX = "end", m.X-12
			}
			lines[m.Round] = append(lines[m.Round], Dot{m.X, m.Y})
		}
		y += st.track*len(r.Marks) + 6
	}
	f.Bottom, f.Height = y, y+levelBottom
	if len(f.Expected) < 2 {
		f.Expected = nil
	}
	f.number(lines)
	f.describe()
}

// number makes the lines of the rounds, and fills the cells.
func (f *Level) number(lines map[int]Trail) {
	for _, round := range sortedKeys(lines) {
		f.Rounds = append(f.Rounds, Round{Round: round, Shape: shape(round), Words: roundWords(round), Line: lines[round]})
	}
	for i := range f.Rows {
		r := &f.Rows[i]
		for _, round := range f.Rounds {
			cell := ""
			for _, m := range r.Marks {
				if m.Round == round.Round {
					cell = m.Label
				}
			}
			r.Cells = append(r.Cells, cell)
		}
	}
}

// roundWords names a round by what lies before it on the way to the point.
func roundWords(round int) string {
	switch {
	case round < 2:
		return "as found"
	case round == 2:
		return "after a repair"
	}
	return fmt.Sprintf("after %d repairs", round-1)
}

func sortedKeys[V any](m map[int]V) []int {
	var keys []int
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

func (f *Level) describe() {
	var parts []string
	for _, r := range f.Rows {
		s := r.Name + ":"
		for _, m := range r.Marks {
			s += " " + m.Label + " " + roundWords(m.Round) + ","
		}
		if r.Expected != "" {
			s += " expected " + r.Expected
		}
		parts = append(parts, strings.TrimSuffix(s, ","))
	}
	f.Desc = fmt.Sprintf("Level in dBm from the dish to %s. The floor is %s dBm. %s.", f.To, f.Floor, strings.Join(parts, ". "))
}
