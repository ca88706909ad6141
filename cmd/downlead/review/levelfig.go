package review

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"downlead/diagnose/claim"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// The level figure follows one branch from the dish down to a receiver, as
// the path figure does: the signal comes in at the top and grows weaker, to
// the left, on its way down. What lies left of the floor is hatched.
const (
	levelLeft   = 20
	levelRight  = 340
	levelTop    = 58
	levelLabel  = 22 // the words above a row
	levelTrack  = 22 // one round in a row
	levelBottom = 14
	levelWords  = 90 // what the words beside a mark need
)

// levelFigure is the level along one branch.
type levelFigure struct {
	Receiver, ID         string
	Width, Height        int
	Top, Bottom          int
	Left, Right          int
	FloorX               int
	Floor                string
	Ticks                []levelTick
	Rows                 []levelRow
	Expected             string // a path through the expected levels
	Rounds               []levelRound
	Desc                 string
	Failing, HasExpected bool
	rounds               int
	lowest, highest      float64
}

type levelTick struct {
	X     int
	Label string
}

// levelRow is one point of the branch. Cells hold the table's figures, one a
// round.
type levelRow struct {
	Name      string
	Y         int // of the words
	LineY     int
	ExpectedX int
	Expected  string
	expected  float64
	Marks     []levelMark
	Cells     []string
	Margin    string
}

// levelMark is one measured level. Side is where its words stand.
type levelMark struct {
	X, Y    int
	Round   int
	Shape   string // "circle", "square", "triangle": one a round
	Verdict string
	Label   string
	Side    string // "start" or "end"
	TextX   int
	level   float64
}

// levelRound is the line through the levels of one round.
type levelRound struct {
	Round        int
	Shape, D     string
	First, Words string
}

// shape is the mark of a round. After three they repeat; the words beside
// each mark name the round.
func shape(round int) string {
	return []string{"circle", "square", "triangle"}[(max(round, 1)-1)%3]
}

// drawLevels draws one figure for each receiver that has a level on its way
// from the dish.
func drawLevels(d claim.Diagnosis, call trace.Call, floor float64) []levelFigure {
	names := newNamer(d.Path)
	byID := map[string]path.PathElement{}
	for _, e := range d.Path {
		byID[e.ID] = e
	}
	levels := readLevels(call)
	var out []levelFigure
	for _, e := range d.Path {
		if e.Element != entry.Receiver {
			continue
		}
		var branch []string
		for id := e.ID; id != ""; id = byID[id].Parent {
			branch = append(branch, id)
			if len(branch) > len(d.Path) {
				break
			}
		}
		slices.Reverse(branch)
		f := levelFigure{Receiver: names.element(e.ID), ID: strings.ReplaceAll(e.ID, " ", "-")}
		f.collect(d, names, branch, byID, levels)
		if f.rounds > 0 && !covered(out, f) {
			f.lay(floor)
			out = append(out, f)
		}
	}
	return out
}

// covered reports that every point of a figure stands in an earlier one: a
// branch that was not measured beyond the fork has nothing of its own to show.
func covered(earlier []levelFigure, f levelFigure) bool {
	names := map[string]bool{}
	for _, e := range earlier {
		for _, r := range e.Rows {
			names[r.Name] = true
		}
	}
	return !slices.ContainsFunc(f.Rows, func(r levelRow) bool { return !names[r.Name] })
}

// spot is one side of an element.
type spot struct {
	id   string
	side entry.Side
	port int
}

// readLevels holds the levels read at each spot: the worst of a round, since
// the worst decides.
func readLevels(call trace.Call) map[spot]map[int]levelMark {
	out := map[spot]map[int]levelMark{}
	for _, o := range call.Observations {
		if o.Element < 0 || o.Element >= len(call.Path.Elements) || !o.Reading.Level.Said() {
			continue
		}
		at := spot{call.Path.Elements[o.Element].ID, o.Side, o.Port}
		if out[at] == nil {
			out[at] = map[int]levelMark{}
		}
		verdict := o.Reading.Verdict
		if verdict == "" {
			verdict, _ = trace.VerdictOf(o.Reading, call.Settings)
		}
		mark := levelMark{Round: o.Round, Shape: shape(o.Round), Verdict: string(verdict), level: o.Reading.Level.Float()}
		if old, ok := out[at][o.Round]; !ok || mark.level < old.level {
			out[at][o.Round] = mark
		}
	}
	return out
}

// collect gathers the rows of a branch: every point that was measured, and
// every one whose level is expected.
func (f *levelFigure) collect(d claim.Diagnosis, names namer, branch []string, byID map[string]path.PathElement, levels map[spot]map[int]levelMark) {
	f.lowest, f.highest = math.Inf(1), math.Inf(-1)
	see := func(v float64) { f.lowest, f.highest = min(f.lowest, v), max(f.highest, v) }
	for i, id := range branch {
		port := 0
		if i+1 < len(branch) {
			port = byID[branch[i+1]].Port
		}
		for _, s := range []entry.Side{entry.DishSide, entry.ReceiverSide} {
			for _, p := range d.Points {
				if p.ID != id || p.Point.Side != s || p.Point.Port != 0 && port != 0 && p.Point.Port != port {
					continue
				}
				row := levelRow{Name: names.place(id, p.Point)}
				measured := levels[spot{id, s, p.Point.Port}]
				if len(measured) == 0 {
					continue
				}
				if p.Expected != nil {
					row.Expected, row.expected, f.HasExpected = whole(*p.Expected), *p.Expected, true
					see(*p.Expected)
				}
				if p.Margin != nil {
					row.Margin = signed(*p.Margin)
				}
				for _, round := range sortedKeys(measured) {
					m := measured[round]
					see(m.level)
					row.Marks = append(row.Marks, m)
					f.rounds = max(f.rounds, round)
					f.Failing = f.Failing || m.Verdict == string(entry.Fail) && round == f.rounds
				}
				f.Rows = append(f.Rows, row)
			}
		}
	}
}

func sortedKeys(m map[int]levelMark) []int {
	var keys []int
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// lay gives everything its place once the scale is known.
func (f *levelFigure) lay(floor float64) {
	f.Width, f.Left, f.Right, f.Top = figureWidth, levelLeft, levelRight, levelTop
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
		f.Ticks = append(f.Ticks, levelTick{X: x(v), Label: number(v)})
	}
	f.FloorX, f.Floor = x(floor), number(floor)
	y := levelTop
	lines := map[int][]string{}
	var expected []string
	for i := range f.Rows {
		r := &f.Rows[i]
		y += levelLabel
		r.Y, r.LineY = y-5, y+levelTrack*len(r.Marks)+4
		if r.Expected != "" {
			r.ExpectedX = x(r.expected)
			expected = append(expected, fmt.Sprintf("%d %d", r.ExpectedX, y+levelTrack*len(r.Marks)/2))
		}
		for j := range r.Marks {
			m := &r.Marks[j]
			m.X, m.Y = x(m.level), y+levelTrack*j+levelTrack/2
			m.Label = number(m.level)
			m.Side, m.TextX = "start", m.X+12
			if m.X > levelRight-levelWords {
				m.Side, m.TextX = "end", m.X-12
			}
			lines[m.Round] = append(lines[m.Round], fmt.Sprintf("%d %d", m.X, m.Y))
		}
		y += levelTrack*len(r.Marks) + 6
	}
	f.Bottom = y
	f.Height = y + levelBottom
	if len(expected) > 1 {
		f.Expected = "M" + strings.Join(expected, "L")
	}
	for round := 1; round <= f.rounds; round++ {
		if points := lines[round]; len(points) > 0 {
			f.Rounds = append(f.Rounds, levelRound{Round: round, Shape: shape(round), D: "M" + strings.Join(points, "L"), Words: fmt.Sprintf("round %d", round)})
		}
	}
	f.table()
	f.describe()
}

// table fills the cells of the table that stands beside the figure.
func (f *levelFigure) table() {
	for i := range f.Rows {
		r := &f.Rows[i]
		for _, round := range f.Rounds {
			cell := ""
			for _, m := range r.Marks {
				if m.Round == round.Round {
					cell = strings.TrimSpace(number(m.level) + " " + m.Verdict)
				}
			}
			r.Cells = append(r.Cells, cell)
		}
	}
}

func (f *levelFigure) describe() {
	var parts []string
	for _, r := range f.Rows {
		s := r.Name + ":"
		for _, m := range r.Marks {
			s += fmt.Sprintf(" %s in round %d", m.Label, m.Round)
			if m.Verdict != "" {
				s += " " + m.Verdict
			}
			s += ","
		}
		if r.Expected != "" {
			s += " expected " + r.Expected
		}
		parts = append(parts, strings.TrimSuffix(s, ","))
	}
	f.Desc = fmt.Sprintf("Level in dBm from the dish to %s. The floor is %s dBm. %s.", f.Receiver, f.Floor, strings.Join(parts, ". "))
}
