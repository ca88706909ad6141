package review

import (
	"bytes"
	"cmp"
	"encoding/xml"
	"errors"
	"fmt"
	"html"
	"io"
	"slices"
	"strings"
	"testing"

	"downlead/cmd/downlead/dialogue"
	"downlead/diagnose/claim"
	"downlead/diagnose/level"
	"downlead/export/closeout"
	"downlead/export/figure"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// spoken diagnoses a job from phrases.
func spoken(t testing.TB, phrases ...string) (claim.Diagnosis, closeout.Closeout, []record.Record) {
	t.Helper()
	j := newJournal(t)
	s, err := dialogue.New(t.Context(), j, newParser(t), nil, "")
	if err != nil {
		t.Fatal(err)
	}
	for _, phrase := range append([]string{"start job 1"}, phrases...) {
		r, err := s.Hear(t.Context(), dialogue.Phrase{Text: phrase, At: clock(), TimeSource: record.FromClock, Origin: record.Typed})
		if err != nil || r.Err != nil || r.Asked != "" {
			t.Fatalf("%s: %v %v %s", phrase, err, r.Err, r.Asked)
		}
	}
	records, err := j.Job(t.Context(), "1")
	if err != nil {
		t.Fatal(err)
	}
	d := claim.Diagnose(records, level.Options{})
	c, err := closeout.NewCloseout(closeout.Input{Records: records, Diagnosis: d})
	if err != nil {
		t.Fatal(err)
	}
	return d, c, records
}

// homes are invented homes, from the usual one to one of four receivers
// behind two splits.
func homes() map[string][]string {
	return map[string][]string{
		"nothing said": {"behind receiver one, fail, minus sixty"},
		"one receiver": {
			"path dish, LNB, sixty feet, ground block, forty feet, wall plate, six foot jumper, receiver one",
			"behind receiver one, fail, minus sixty", "ground block dish side, pass, minus forty one", "ground block receiver side, fail, minus fifty four",
		},
		"two behind a splitter": {
			"path dish, LNB, fifty feet, ground block, twenty feet, two way splitter, thirty feet, wall plate, receiver one",
			"receiver two on splitter output two, bedroom, forty feet",
			"behind receiver one, fail, minus sixty", "behind receiver two, pass, minus forty five", "splitter output one, fail, minus fifty eight",
		},
		"four behind two splits": {
			"path dish, LNB, fifty feet, four way multiswitch, thirty feet, two way splitter, twenty feet, receiver one",
			"receiver two on splitter output two, thirty feet", "receiver three on multiswitch output two, forty feet", "receiver four on multiswitch output three, kitchen, fifty feet",
			"behind receiver one, fail, minus seventy", "behind receiver two, fail, minus seventy one", "behind receiver three, pass, minus forty four", "LNB, pass, minus thirty one",
		},
		"all is well": {"path dish, LNB, sixty feet, ground block, forty feet, wall plate, receiver one", "behind receiver one, pass, minus forty three"},
	}
}

// TestPathFigureShowsEverything looks for every element, every reading, every
// bracket and every branch of invented homes in the figure and in its words.
func TestPathFigureShowsEverything(t *testing.T) {
	for name, phrases := range homes() {
		t.Run(name, func(t *testing.T) {
			d, c, _ := spoken(t, phrases...)
			f := figure.NewPath(c, figure.Screen())
			parts, points, wires := 0, 0, 0
			for _, r := range f.Rows {
				switch r.Kind {
				case "part":
					parts++
				case "point":
					points++
				}
				if r.Kind != "sign" && !strings.Contains(f.Desc, r.Name) {
					t.Errorf("the words of the figure leave out %q", r.Name)
				}
				if r.X < 44 || // right of the brackets
					r.X >= f.TextX || r.Y <= 0 || r.Y >= f.Height {
					t.Errorf("%q stands at %d,%d, outside the figure", r.Name, r.X, r.Y)
				}
			}
			measured := 0
			for _, p := range d.Points {
				if len(p.Entries) > 0 {
					measured++
				}
			}
			wires = len(f.Wires)
			if parts != len(d.Path) || points != measured || wires != parts+points-1 {
				t.Errorf("%d elements, %d points, %d joints; want %d, %d, %d", parts, points, wires, len(d.Path), measured, len(d.Path)+measured-1)
			}
			if (len(f.Braces) > 0) != (len(d.Brackets) > 0) {
				t.Errorf("%d braces for %d brackets", len(f.Braces), len(d.Brackets))
			}
			for _, b := range f.Braces {
				if b.Bottom <= b.Top {
					t.Errorf("a brace runs from %d to %d", b.Top, b.Bottom)
				}
			}
			for i, a := range f.Rows { // no two rows in one place
				for _, b := range f.Rows[i+1:] {
					if a.Kind != "sign" && b.Kind != "sign" && b.Y-a.Y < 24 {
						t.Errorf("%q and %q stand %d apart", a.Name, b.Name, b.Y-a.Y)
					}
				}
			}
		})
	}
}

// TestTheLineTellsWhatIsKnown holds the drawing of the coax to what a meter
// tells (common practice, no source): upstream of a pass the signal is good,
// beyond a fail nothing is known to be, and the fault lies between.
func TestTheLineTellsWhatIsKnown(t *testing.T) {
	_, c, _ := spoken(t, homes()["two behind a splitter"]...)
	f := figure.NewPath(c, figure.Screen())
	want := map[string]string{ // the line that ends at a row
		"LNB": "good", "Ground block": "good", "Splitter": "good", "output 1": "fault", "Wall plate": "dead", "Receiver 1": "dead", "Receiver 2": "good",
	}
	got := map[string]string{}
	for _, r := range f.Rows {
		got[r.Name] = r.State
	}
	for name, state := range want {
		if got[name] != state {
			t.Errorf("the line to %s is %q, want %q", name, got[name], state)
		}
	}
}

// TestLevelFigureIsToScale reads the levels back out of the figure's places.
func TestLevelFigureIsToScale(t *testing.T) {
	_, c, _ := spoken(t,
		"path dish, LNB, sixty feet, ground block, forty feet, wall plate, six foot jumper, receiver one",
		"ground block dish side, pass, minus thirty six", "ground block receiver side, fail, minus fifty one", "behind receiver one, fail, minus sixty eight",
		"replaced ground block",
		"ground block receiver side, pass, minus thirty seven", "behind receiver one, fail, minus fifty four")
	figures := figure.NewLevels(c, figure.Screen())
	if len(figures) != 1 {
		t.Fatalf("%d figures, want one: there is one receiver", len(figures))
	}
	f := figures[0]
	var first, last figure.Tick = f.Ticks[0], f.Ticks[len(f.Ticks)-1]
	dBm := func(x int) float64 {
		return levelOf(t, first.Label) + float64(x-first.X)/float64(last.X-first.X)*(levelOf(t, last.Label)-levelOf(t, first.Label))
	}
	near := func(what string, x int, want float64) {
		t.Helper()
		if got := dBm(x); got < want-0.2 || got > want+0.2 { // a unit of the figure is a tenth of a dB or so
			t.Errorf("%s stands at %.1f dBm, want %.1f", what, got, want)
		}
	}
	near("the floor", f.FloorX, -50) // common practice, no source
	var told []string
	for _, r := range f.Rows {
		for _, m := range r.Marks {
			near(r.Name, m.X, levelOf(t, strings.Fields(m.Label)[0]))
			told = append(told, fmt.Sprintf("%s: %s in round %d", r.Name, m.Label, m.Round))
		}
	}
	want := []string{
		"ground block, dish side: −36 pass in round 1",
		"ground block, receiver side: −51 fail in round 1", "ground block, receiver side: −37 pass in round 2",
		"behind receiver: −68 fail in round 1", "behind receiver: −54 fail in round 2",
	}
	if !slices.Equal(told, want) {
		t.Errorf("the figure tells\n%s\nwant\n%s", strings.Join(told, "\n"), strings.Join(want, "\n"))
	}
	for _, r := range f.Rows {
		if len(r.Cells) != len(f.Rounds) {
			t.Errorf("%s has %d cells in the table for %d rounds", r.Name, len(r.Cells), len(f.Rounds))
		}
	}
}

func levelOf(t testing.TB, label string) float64 {
	t.Helper()
	d, err := entry.ParseDecimal(strings.Replace(label, "−", "-", 1))
	if err != nil {
		t.Fatal(err)
	}
	return d.Float()
}

// TestFiguresAreWellFormed reads every figure of every home as XML and looks
// for ids that stand twice.
func TestFiguresAreWellFormed(t *testing.T) {
	pages, err := loadPages()
	if err != nil {
		t.Fatal(err)
	}
	for name, phrases := range homes() {
		_, c, records := spoken(t, phrases...)
		var b bytes.Buffer
		write := func(template string, data any) {
			if err := pages.ExecuteTemplate(&b, template, data); err != nil {
				t.Fatalf("%s: %v", name, err)
			}
		}
		write("pathfig", figure.NewPath(c, figure.Screen()))
		for _, f := range figure.NewLevels(c, figure.Screen()) {
			write("levelfig", f)
		}
		write("timefig", drawTime(record.Current(records)))
		ids := map[string]bool{}
		for x := xml.NewDecoder(&b); ; {
			token, err := x.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			start, ok := token.(xml.StartElement)
			if !ok {
				continue
			}
			for _, a := range start.Attr {
				if a.Name.Local == "id" && ids[a.Value] {
					t.Errorf("%s: two elements have the id %q", name, a.Value)
				}
				ids[a.Value] = ids[a.Value] || a.Name.Local == "id"
			}
		}
	}
}

// Of two transponders read in one round the figure shows the worse: it decides
// whether the point passes.
func TestLevelFigureShowsTheWorstOfARound(t *testing.T) {
	_, c, _ := spoken(t,
		"path dish, LNB, sixty feet, ground block, forty feet, receiver one",
		"ground block dish side, pass, minus forty one",
		"behind receiver one, transponder three, fail, minus fifty eight",
		"behind receiver one, transponder twenty, fail, minus sixty three",
		"behind receiver one, transponder eleven, fail, minus sixty")
	figures := figure.NewLevels(c, figure.Screen())
	if len(figures) != 1 {
		t.Fatalf("%d figures", len(figures))
	}
	rows := figures[0].Rows
	if last := rows[len(rows)-1]; len(last.Marks) != 1 || last.Marks[0].Label != "−63 fail, worst of 3" {
		t.Errorf("behind the receiver: %+v", last.Marks)
	}
}

// TestPageAndPaperTellTheSame: every word, mark and state of the page's figures
// stands in those on paper, and the other way round, and both say of each point
// what the diagnosis says.
func TestPageAndPaperTellTheSame(t *testing.T) {
	pages, err := loadPages()
	if err != nil {
		t.Fatal(err)
	}
	squeezed := func(s string) string { return strings.Join(strings.Fields(html.UnescapeString(s)), "") }
	told := func(p figure.Path) (out []string, words []string) {
		for _, r := range p.Rows {
			row := fmt.Sprintf("%s %s stale %v assumed %v suspect %v worked %v %s ", r.Kind, r.Verdict, r.Stale, r.Assumed, r.Suspect, r.Worked, r.State)
			for _, l := range r.Lines {
				for _, s := range l.Spans {
					row, words = row+squeezed(s.Text), append(words, s.Text)
				}
			}
			out = append(out, row)
		}
		return out, words
	}
	for name, phrases := range homes() {
		d, c, _ := spoken(t, append(phrases, "replaced jumper")...)
		var page, paper, levelPaper bytes.Buffer
		screen, onPaper := figure.NewPath(c, figure.Screen()), figure.NewPath(c, figure.Paper(&figure.Svg{}, 188))
		levels := figure.NewLevels(c, figure.Screen())
		err := cmp.Or(pages.ExecuteTemplate(&page, "pathfig", screen), figure.PathSVG(c, &paper), figure.LevelSVG(c, &levelPaper))
		for _, f := range levels {
			err = cmp.Or(err, pages.ExecuteTemplate(&page, "levelfig", f))
		}
		if err != nil {
			t.Fatal(err)
		}
		a, words := told(screen)
		b, more := told(onPaper)
		if !slices.Equal(a, b) {
			t.Errorf("%s: the page tells\n%s\nthe paper\n%s", name, strings.Join(a, "\n"), strings.Join(b, "\n"))
		}
		for _, w := range words {
			if !strings.Contains(squeezed(page.String()), squeezed(w)) {
				t.Errorf("%s: the page lacks %q", name, w)
			}
		}
		for _, w := range more {
			if !strings.Contains(squeezed(paper.String()), squeezed(w)) {
				t.Errorf("%s: the paper lacks %q", name, w)
			}
		}
		for _, f := range levels {
			for _, r := range f.Rows {
				for _, m := range r.Marks {
					if !strings.Contains(page.String(), m.Label) || !strings.Contains(levelPaper.String(), m.Label) || !strings.Contains(levelPaper.String(), r.Name) {
						t.Errorf("%s: %s, %s is not in both", name, r.Name, m.Label)
					}
				}
			}
		}
		var want, got []string
		for _, p := range d.Points {
			want = append(want, fmt.Sprint(p.Verdict, p.Stale))
		}
		for _, r := range screen.Rows {
			if r.Kind == "point" {
				got = append(got, fmt.Sprint(r.Verdict, r.Stale))
			}
		}
		slices.Sort(want)
		slices.Sort(got)
		if !slices.Equal(got, want) {
			t.Errorf("%s: the figure shows %v, the diagnosis knows %v", name, got, want)
		}
	}
}
