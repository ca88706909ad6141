package figure

// Style is what a figure is laid out for: the page on a screen, or paper.
// Lengths are units of the figure: about a pixel on a narrow screen, and
// PaperUnit millimetres on paper.
type Style struct {
	Width int // of the whole, words too

	line              int // from one line of words to the next
	top               int // free above the first row
	gap               int // from the last lane to the words
	part, bare, point int // heights of rows with one line of words, two for a point on the screen
	padPart, padPoint int // what a row has beside its words
	sign              int
	glyph             float64 // size of the drawn parts; 1 as they are defined
	below             bool    // notes stand below what they are about

	label, track int // of the level figure: the words above a row, and one round in it
	head         int // what its scale takes

	measure Measurer
}

// PaperUnit is a unit of a figure on paper, in millimetres: words come to some
// seven points.
const PaperUnit = 0.17

// Sizes of words, in units.
const (
	wordSize  = 15.0
	smallSize = 13.5
)

// Screen is the style of a narrow screen, on which notes stand below.
func Screen() Style {
	return Style{
		Width: 360, line: 18, top: 26, gap: 26, part: 40, bare: 40, point: 50, padPart: 22, padPoint: 14, sign: 30, glyph: 1, below: true,
		label: 22, track: 22, head: 58, measure: even(0.56), // a wide font: what its letters are is not known
	}
}

// Paper is the style of a figure w millimetres wide on a canvas.
func Paper(c Measurer, w float64) Style {
	return Style{
		Width: int(w / PaperUnit), line: 17, top: 4, gap: 16, part: 23, bare: 18, point: 20, padPart: 6, padPoint: 3, sign: 17, glyph: 0.62,
		label: 17, track: 17, head: 52, measure: c,
	}
}

// Measurer tells how wide text is set, millimetres; sizes are points.
type Measurer interface {
	TextWidth(size float64, bold bool, s string) float64
}

// even is a font of which only the mean width of a letter is known, in ems.
type even float64

func (e even) TextWidth(size float64, _ bool, s string) float64 {
	return float64(e) * size * mmPerPoint * float64(len([]rune(s)))
}

// Span is a run of words of one kind: name, soft, verdict, figures, note,
// suspect, work or sign. Gap is free before it, in units.
type Span struct {
	Kind, Text string
	Gap        int
}

func (s Span) bold() bool {
	return s.Kind == "name" || s.Kind == "verdict" || s.Kind == "suspect" || s.Kind == "work" || s.Kind == "sign"
}

func (s Span) size() float64 {
	if s.small() {
		return smallSize
	}
	return wordSize
}

func (s Span) small() bool { return s.Kind == "note" || s.Kind == "suspect" || s.Kind == "work" }

// Line is a line of words; DY is from the row to where it stands.
type Line struct {
	DY    int
	Spans []Span
}

// width is how wide words are, in units.
func (st Style) width(s Span) int {
	return int(st.measure.TextWidth(s.size()/mmPerPoint, s.bold(), s.Text) + 0.5)
}

// flow sets words in lines no wider than room. What is small stands below
// where the style says so.
func (st Style) flow(spans []Span, room int) []Line {
	const gap = 7
	var lines []Line
	at, small := 0, false
	begin := func() { lines, at = append(lines, Line{}), 0 }
	put := func(s Span, w int) {
		l := &lines[len(lines)-1]
		if len(l.Spans) > 0 {
			s.Gap = gap
		}
		l.Spans, at, small = append(l.Spans, s), at+s.Gap+w, s.small()
	}
	for _, s := range spans {
		if s.Text == "" {
			continue
		}
		w := st.width(s)
		if len(lines) == 0 || st.below && s.small() && !small || at > 0 && at+gap+w > room {
			begin()
		}
		if w <= room {
			put(s, w)
			continue
		}
		for i, part := range Wrap(st.measure, s.size()/mmPerPoint, s.bold(), s.Text, float64(room)) {
			if i > 0 {
				begin()
			}
			put(Span{Kind: s.Kind, Text: part}, st.width(Span{Kind: s.Kind, Text: part}))
		}
	}
	for i := range lines {
		lines[i].DY = st.line*(2*i+1-len(lines))/2 + 5
	}
	return lines
}
