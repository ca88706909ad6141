package quality

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"downlead/export/closeout"
	"downlead/export/figure"
	"downlead/export/pdf"
	"downlead/export/shown"
	"downlead/grammar/entry"
)

// JSON writes the quality record as one JSON document.
func (q Quality) JSON(w io.Writer) error { return closeout.WriteJSON(w, q) }

// CSV writes the figures and spreads, a row each, with their definitions.
func (q Quality) CSV(w io.Writer) error {
	cols := []closeout.CsvColumn{
		{Name: "month", Numeric: false},
		{Name: "name", Numeric: false},
		{Name: "title", Numeric: false},
		{Name: "unit", Numeric: false},
		{Name: "numerator", Numeric: true},
		{Name: "denominator", Numeric: true},
		{Name: "pending", Numeric: true},
		{Name: "low", Numeric: true},
		{Name: "high", Numeric: true},
		{Name: "n", Numeric: true},
		{Name: "missing", Numeric: true},
		{Name: "min", Numeric: true},
		{Name: "lower_quartile", Numeric: true},
		{Name: "median", Numeric: true},
		{Name: "upper_quartile", Numeric: true},
		{Name: "max", Numeric: true},
		{Name: "window", Numeric: false},
		{Name: "excluded", Numeric: false},
		{Name: "definition", Numeric: false},
	}
	var rows [][]string
	for _, f := range q.Figures {
		rows = append(rows, []string{
			q.Month, f.Name, f.Title, "proportion", strconv.Itoa(f.Numerator), strconv.Itoa(f.Denominator), strconv.Itoa(f.Pending),
			places(f.Low, 4), places(f.High, 4), "", "", "", "", "", "", "", f.Window, f.excludedWords(), f.Definition,
		})
	}
	for _, s := range q.Spreads {
		rows = append(rows, []string{
			q.Month, s.Name, closeout.Plain(s.Name), s.Unit, "", "", "", "", "", strconv.Itoa(s.N), strconv.Itoa(s.Missing),
			places(s.Min, 2), places(s.Q1, 2), places(s.Median, 2), places(s.Q3, 2), places(s.Max, 2), "", "", s.Definition,
		})
	}
	return closeout.WriteCSV(w, cols, rows)
}

// JobsCSV writes the month's visits, a row each, with those drawn for inspection.
func (q Quality) JobsCSV(w io.Writer) error {
	cols := []closeout.CsvColumn{
		{Name: "month", Numeric: false},
		{Name: "job", Numeric: false},
		{Name: "visit", Numeric: true},
		{Name: "began", Numeric: false},
		{Name: "ended", Numeric: false},
		{Name: "closed", Numeric: false},
		{Name: "outcome", Numeric: false},
		{Name: "complete", Numeric: false},
		{Name: "first_time_fix", Numeric: false},
		{Name: "repeat", Numeric: false},
		{Name: "repeat_by", Numeric: false},
		{Name: "failed", Numeric: false},
		{Name: "least_margin_db", Numeric: true},
		{Name: "sampled", Numeric: false},
	}
	rows := make([][]string, len(q.Jobs))
	for i, j := range q.Jobs {
		margin := ""
		if j.Margin != nil {
			margin = places(*j.Margin, 2)
		}
		closed := ""
		if j.Closed != nil {
			closed = j.Closed.Format(time.RFC3339)
		}
		rows[i] = []string{
			q.Month, j.Job, strconv.Itoa(j.Visit), j.Began.Format(time.RFC3339), j.Ended.Format(time.RFC3339), closed, string(j.Outcome),
			yesNo(j.Complete), j.FirstTime, yesNo(j.Repeat), j.RepeatBy, j.Failed, margin, yesNo(j.Sampled),
		}
	}
	return closeout.WriteCSV(w, cols, rows)
}

func places(x float64, n int) string { return strconv.FormatFloat(x, 'f', n, 64) }

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

func (f Figure) excludedWords() string {
	if len(f.Excluded) == 0 {
		return "none"
	}
	var parts []string
	for _, x := range f.Excluded {
		parts = append(parts, fmt.Sprintf("%d %s", x.N, x.Why))
	}
	return strings.Join(parts, "; ")
}

// Text writes the quality record for a terminal.
func (q Quality) Text(w io.Writer) error {
	q = shown.Of(q)
	var b strings.Builder
	fmt.Fprintf(&b, "Quality of %s, %s closed\n", q.Month, shown.Count(len(q.Jobs), "visit"))
	for _, f := range q.Figures {
		fmt.Fprintf(&b, "\n%s: %s\n  means     %s\n  left out  %s\n", f.Title, f.Shown, f.Definition, f.excludedWords())
	}
	for _, s := range q.Spreads {
		fmt.Fprintf(&b, "\n%s: %s\n  means     %s\n", closeout.Plain(s.Name), s.words(), s.Definition)
	}
	b.WriteString("\nfailed:\n")
	for _, j := range q.failedJobs() {
		fmt.Fprintf(&b, "  job %s, %s: %s\n", j.label(), j.Began.In(q.From.Location()).Format(time.DateOnly), j.Failed)
	}
	if len(q.failedJobs()) == 0 {
		b.WriteString("  none of those decided\n")
	}
	fmt.Fprintf(&b, "\nsample: %s\n", q.Sample.words())
	for i := 0; i < len(q.Sample.Jobs); i += 10 {
		fmt.Fprintf(&b, "  %s\n", strings.Join(q.Sample.Jobs[i:min(i+10, len(q.Sample.Jobs))], " "))
	}
	fmt.Fprintf(&b, "\n%s\n", q.Note)
	_, err := io.WriteString(w, b.String())
	return err
}

func (s Sample) words() string {
	kept := ""
	if s.Kept {
		kept = ", and kept"
	}
	if n := len(s.After); n > 0 {
		kept += fmt.Sprintf("; %d closed since are not in it: %s", n, strings.Join(s.After, ", "))
	}
	return fmt.Sprintf("inspect %d of %s of lot %s, accept the lot with at most %d not in order (%s); drawn from the journal's head %.16s… of %s%s", s.N, shown.Count(s.Size, "visit"), s.Lot, s.Accept, s.Plan, s.Head, shown.Count(s.Count, "record"), kept)
}

// PDF writes the quality record as a document.
func (q Quality) PDF(w io.Writer, paper pdf.Paper) error {
	s := pdf.NewSheet(pdf.SheetInfo{
		Title: "Quality of " + q.Month, Subject: "Figures with definitions, chart, inspection sample", Product: q.Product, Made: q.AsOf, Paper: paper,
		Footer: fmt.Sprintf("downlead %s · quality of %s · made %s · journal %.16s… (%d records)", q.Product, q.Month, q.AsOf.UTC().Format("2006-01-02 15:04 MST"), q.Journal.Head, q.Journal.Count),
	})
	s.Y += 6
	s.Text(pdf.PageMargin, s.Y, 17, true, figure.Left, figure.Black, "Quality of "+q.Month)
	s.Y += 4
	s.Paragraph(fmt.Sprintf("%s closed. %s", shown.Count(len(q.Jobs), "visit"), q.Note), 0, false)
	s.Heading("Figures", 30)
	s.Y += 1
	q.intervals(s, pdf.PageMargin, s.Y, s.Width())
	s.Y += q.intervalsHeight()
	var rows [][]closeout.Cell
	for _, f := range q.Figures {
		rows = append(rows, []closeout.Cell{closeout.Txt(f.Title), closeout.Txt(f.Shown), closeout.Txt(f.Definition + ". Window: " + f.Window + ". Left out: " + f.excludedWords() + ".")})
	}
	s.Table([]pdf.Column{{Head: "Figure", Share: 0.15, Right: false}, {Head: "Result", Share: 0.27, Right: false}, {Head: "What it means", Share: 0.58, Right: false}}, rows)
	s.Heading("Times and margins", 20)
	rows = nil
	for _, x := range q.Spreads {
		rows = append(rows, []closeout.Cell{closeout.Txt(closeout.Plain(x.Name)), closeout.Txt(x.words()), closeout.Txt(x.Definition)})
	}
	s.Table([]pdf.Column{{Head: "What", Share: 0.15, Right: false}, {Head: "Result", Share: 0.4, Right: false}, {Head: "What it means", Share: 0.45, Right: false}}, rows)
	s.Paragraph("Quartiles by the p(N+1) method of the NIST/SEMATECH e-Handbook, 7.2.6.2.", 0, false)
	if len(q.Chart.Groups) > 0 {
		s.Heading("Visits not fixed, or not for long, by week", chartHeight+2*pdf.TextLine)
		q.Chart.draw(s, pdf.PageMargin, s.Y, s.Width())
		s.Y += chartHeight
		s.Paragraph(q.Chart.Definition+".", 0, false)
	}
	q.failures(s)
	s.Heading("Sample for inspection", 20)
	s.Paragraph("Inspect "+strings.TrimPrefix(q.Sample.words(), "inspect ")+".", 0, false)
	s.Paragraph("Jobs: "+strings.Join(q.Sample.Jobs, ", "), 0, false)
	s.Paragraph("Drawn by: "+q.Sample.Definition+". Head "+q.Sample.Head+". Seed "+q.Sample.Seed+".", 0, false)
	return s.Save(w)
}

// failures lists the visits that were not fixed or whose fix did not hold.
func (q Quality) failures(s *pdf.Sheet) {
	s.Heading("Visits that failed", 20)
	var rows [][]closeout.Cell
	for _, j := range q.failedJobs() {
		rows = append(rows, []closeout.Cell{closeout.Txt(j.label()), closeout.Txt(j.Began.In(q.From.Location()).Format("2006-01-02 15:04")), closeout.Txt(closeout.OutcomeWord(j.Outcome)), closeout.Txt(j.Failed)})
	}
	if len(rows) == 0 {
		s.Paragraph("None of those decided.", 0, false)
		return
	}
	s.Table([]pdf.Column{{Head: "Job", Share: 0.2, Right: false}, {Head: "Visit of", Share: 0.2, Right: false}, {Head: "Closed as", Share: 0.2, Right: false}, {Head: "Why", Share: 0.4, Right: false}}, rows)
}

// failedJobs are the visits of the month that failed.
func (q Quality) failedJobs() []QualityJob {
	var out []QualityJob
	for _, j := range q.Jobs {
		if j.Failed != "" {
			out = append(out, j)
		}
	}
	return out
}

func (j QualityJob) label() string {
	return Visited{Closeout: closeout.Closeout{Job: j.Job}, Whose: j.Whose, N: j.Visit}.Label()
}

const (
	intervalRow = 6.5
	chartHeight = 52.0
)

func (q Quality) intervalsHeight() float64 { return intervalRow*float64(len(q.Figures)) + 8 }

// intervals draws every figure as a dot on its interval.
func (q Quality) intervals(c figure.Canvas, x, y, w float64) {
	x0, x1 := x+60, x+w-5
	px := func(p float64) float64 { return x0 + p*(x1-x0) }
	bottom := y + intervalRow*float64(len(q.Figures))
	for p := 0.0; p <= 1.001; p += 0.1 {
		c.Line(px(p), y, px(p), bottom, 0.1, figure.Pale, false)
		c.Text(px(p), bottom+3, 6, false, figure.Centre, figure.Gray, fmt.Sprintf("%.0f %%", 100*p))
	}
	for i, f := range q.Figures {
		at := y + intervalRow*(float64(i)+0.5)
		c.Text(x, at+0.8, 7, false, figure.Left, figure.Black, f.Title)
		if f.Denominator == 0 {
			c.Text(x0+1, at+0.8, 6.5, false, figure.Left, figure.Gray, "nothing to count")
			continue
		}
		c.Line(px(f.Low), at, px(f.High), at, 0.5, figure.Blue, false)
		for _, end := range []float64{f.Low, f.High} {
			c.Line(px(end), at-1, px(end), at+1, 0.3, figure.Blue, false)
		}
		c.Circle(px(float64(f.Numerator)/float64(f.Denominator)), at, 1, 0.3, figure.Blue, figure.Blue)
		c.Text(min(px(f.High)+1.5, x1-22), at-1.3, 5.8, false, figure.Left, figure.Black, fmt.Sprintf("%d of %d", f.Numerator, f.Denominator))
	}
}

// draw puts the chart at x, y: a dot a group, its limits as steps.
func (p PChart) draw(c figure.Canvas, x, y, w float64) {
	top := 0.1
	for _, g := range p.Groups {
		top = max(top, min(1, g.High), g.proportion())
	}
	x0, x1, y0, y1 := x+11, x+w-2, y+4, y+chartHeight-9
	py := func(v float64) float64 { return y1 - v/top*(y1-y0) }
	step := (x1 - x0) / float64(len(p.Groups))
	for i := range 6 {
		v := top * float64(i) / 5
		c.Line(x0, py(v), x1, py(v), 0.1, figure.Pale, false)
		c.Text(x0-1, py(v)+0.8, 6, false, figure.Right, figure.Gray, fmt.Sprintf("%.0f %%", 100*v))
	}
	c.Line(x0, py(p.Mean), x1, py(p.Mean), 0.3, figure.Gray, false)
	c.Text(x0+1, py(p.Mean)-0.8, 6, false, figure.Left, figure.Gray, fmt.Sprintf("mean %.1f %%", 100*p.Mean))
	for i, g := range p.Groups {
		a, b := x0+step*float64(i), x0+step*float64(i+1)
		for _, v := range []float64{g.Low, g.High} {
			c.Line(a, py(v), b, py(v), 0.35, figure.Orange, true)
		}
		v := entry.Pass
		if g.Out {
			v = entry.Fail
		}
		figure.Mark(c, (a+b)/2, py(g.proportion()), 1.2, v, false)
		c.Text((a+b)/2+2, py(g.proportion())-1, 5.8, false, figure.Left, figure.Black, fmt.Sprintf("%d of %d", g.Bad, g.N))
		c.Text((a+b)/2, y1+3.2, 6, false, figure.Centre, figure.Black, g.Label)
	}
	c.Text(x, y1+7, 6, false, figure.Left, figure.Gray, "Disc: within the limits. Crossed square: beyond them. Dashed: limits of that week.")
}

func (g Group) proportion() float64 {
	if g.N == 0 {
		return 0
	}
	return float64(g.Bad) / float64(g.N)
}

// ChartSVG draws the p-chart as an SVG image; IntervalsSVG the figures on
// their intervals.
func (q Quality) ChartSVG(w io.Writer) error {
	s := &figure.Svg{}
	q.Chart.draw(s, 0, 0, 188)
	var desc []string
	for _, g := range q.Chart.Groups {
		desc = append(desc, fmt.Sprintf("%s: %d of %d", g.Label, g.Bad, g.N))
	}
	return s.WriteTo(w, 188, chartHeight, "Visits not fixed, or not for long, "+q.Month, strings.Join(desc, ". "))
}

// IntervalsSVG draws the figures on their intervals as an SVG image.
func (q Quality) IntervalsSVG(w io.Writer) error {
	s := &figure.Svg{}
	q.intervals(s, 0, 0, 188)
	var desc []string
	for _, f := range q.Figures {
		desc = append(desc, f.Title+": "+f.Shown)
	}
	return s.WriteTo(w, 188, q.intervalsHeight(), "Figures of "+q.Month, strings.Join(desc, ". "))
}
