package day

import (
	_ "embed" // the schema
	"fmt"
	"io"
	"strings"
	"time"

	"downlead/diagnose/visit"
	"downlead/export/closeout"
	"downlead/export/figure"
	"downlead/export/pdf"
	"downlead/export/shown"
	"downlead/grammar/entry"
)

// SchemaJSON is the JSON Schema (2020-12) of the JSON form of a Day.
//
//go:embed day.schema.json
var SchemaJSON string

// JSON writes the day as one JSON document.
func (d Day) JSON(w io.Writer) error { return closeout.WriteJSON(w, d) }

// Text writes the day for a terminal.
func (d Day) Text(w io.Writer) error {
	d = shown.Of(d)
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s\n", d.title(), d.sums())
	if len(d.Jobs) > 0 {
		closeout.Columns(&b, d.jobRows())
	}
	if len(d.Times) > 0 {
		closeout.Columns(&b, d.timeRows())
	}
	b.WriteString("\n")
	fmt.Fprintf(&b, "%-10s %s\n", "miles", closeout.OrDash(d.Miles.String()))
	fmt.Fprintf(&b, "%-10s %s\n", "used", closeout.OrDash(strings.Join(words(d.Used), ", ")))
	fmt.Fprintf(&b, "%-10s %s\n", "restock", closeout.OrDash(strings.Join(words(d.Restock), ", ")))
	if len(d.Left) == 0 {
		b.WriteString("Nothing was left open.\n")
	}
	for _, g := range d.groups() {
		fmt.Fprintf(&b, "\njob %s, %s:%s\n", g.job, g.to.words(), g.reason())
		for _, t := range g.lines {
			b.WriteString("  " + t + "\n")
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// title is the day with its weekday.
func (d Day) title() string {
	t, err := time.Parse(time.DateOnly, d.Date)
	if err != nil {
		return d.Date
	}
	return t.Format("Monday 2006-01-02")
}

// sums says the day's times in a line.
func (d Day) sums() string {
	parts := []string{shown.Count(len(d.Jobs), "job")}
	for _, x := range []struct {
		what string
		s    int64
	}{{"on site", d.Totals.Site}, {"on the road", d.Totals.Travel}, {"break", d.Totals.Break}, {"shop, meetings, training", d.Totals.Other}, {"not marked", d.Totals.Gap}} {
		if x.s > 0 {
			parts = append(parts, x.what+" "+closeout.Length(x.s))
		}
	}
	return strings.Join(parts, ", ")
}

func (d Day) jobRows() [][]string {
	rows := [][]string{{"job", "how it stands", "on site", "travel", "break", "miles", "site"}}
	for _, j := range d.Jobs {
		rows = append(rows, []string{j.Job, closeout.OutcomeWord(j.Outcome), length(j.Totals.Site), length(j.Totals.Travel), length(j.Totals.Break), closeout.OrDash(j.Miles.String()), j.Site})
	}
	return rows
}

func (d Day) timeRows() [][]string {
	rows := [][]string{{"from", "to", "what", "job", "how long"}}
	for _, s := range d.Times {
		job := s.Job
		if s.What == visit.Gap {
			job = ""
		}
		rows = append(rows, []string{s.From.Format("15:04"), s.To.Format("15:04"), kindWord(s.What), job, length(s.Seconds)})
	}
	return rows
}

func kindWord(k visit.Kind) string {
	switch k {
	case visit.Site:
		return "on site"
	case visit.Gap:
		return "not marked"
	}
	return string(k)
}

// length is a time that was spent; a dash for none.
func length(seconds int64) string {
	if seconds == 0 {
		return "—"
	}
	return closeout.Length(seconds)
}

// words names parts, and marks those that nobody said were used.
func words(parts []Part) []string {
	var out []string
	for _, p := range parts {
		t := closeout.MaterialWords(closeout.Closeout{Materials: []closeout.Material{{Item: p.Item, Quantity: p.Quantity, LengthFt: p.LengthFt}}})[0]
		if p.Item == string(entry.LNB) {
			t = strings.Replace(t, p.Item, "LNB", 1)
		}
		if !p.Said {
			t += " (put in, not said as used)"
		}
		out = append(out, t)
	}
	return out
}

// group is what one job leaves for one person.
type group struct {
	job   string
	to    For
	why   string
	lines []string
}

func (g group) reason() string {
	if g.why == "" {
		return ""
	}
	return " (reason given: " + g.why + ")"
}

// groups joins what is left, by job and by whom it is for.
func (d Day) groups() []group {
	var out []group
next:
	for _, l := range d.Left {
		t := closeout.Plain(l.What) + ": " + l.Detail
		if l.What == "finding" {
			t = l.Detail
		}
		for i := range out {
			if g := &out[i]; g.job == l.Job && g.to == l.For {
				g.lines = append(g.lines, t)
				if l.Why != "" {
					g.why = l.Why
				}
				continue next
			}
		}
		out = append(out, group{l.Job, l.For, l.Why, []string{t}})
	}
	return out
}

// Say tells the day in a few sentences, as it is spoken.
func (d Day) Say() string {
	var out, jobs []string
	for _, j := range d.Jobs {
		jobs = append(jobs, j.Job+" "+closeout.OutcomeWord(j.Outcome))
	}
	if len(jobs) > 0 {
		out = append(out, sentence(strings.Join(jobs, ", ")))
	}
	_, times, _ := strings.Cut(d.sums(), ", ")
	if times != "" {
		out = append(out, sentence(times))
	}
	if d.Miles.Said() {
		out = append(out, d.Miles.String()+" miles.")
	}
	var parts []string
	for _, p := range d.Restock {
		parts = append(parts, strings.TrimPrefix(entry.Say(entry.Material{Item: p.Item, Quantity: p.Quantity, LengthFt: p.LengthFt}), "used "))
	}
	if len(parts) > 0 {
		out = append(out, "To restock: "+strings.Join(parts, ", ")+".")
	}
	var left []string
	for _, g := range d.groups() {
		left = append(left, fmt.Sprintf("%d of job %s %s", len(g.lines), g.job, g.to.words()))
	}
	if len(left) == 0 {
		return strings.Join(append(out, "Nothing was left open."), " ")
	}
	return strings.Join(append(out, "Left open: "+strings.Join(left, ", ")+"."), " ")
}

func sentence(s string) string { return strings.ToUpper(s[:1]) + s[1:] + "." }

// PDF writes the day as a document.
func (d Day) PDF(w io.Writer) error {
	s := pdf.NewSheet(pdf.SheetInfo{
		Title: "The day " + d.Date, Subject: "Jobs, times, miles, parts, and what was left open", Product: d.Product, Made: d.AsOf,
		Footer: fmt.Sprintf("downlead %s · %s · made %s · journal %.16s… (%d records)", d.Product, d.Date, d.AsOf.UTC().Format("2006-01-02 15:04 MST"), d.Journal.Head, d.Journal.Count),
	})
	s.Y += 6
	s.Text(pdf.PageMargin, s.Y, 17, true, figure.Left, figure.Black, d.title())
	s.Y += 4
	s.Paragraph(d.sums()+". Times are of "+d.Zone+".", 0, false)
	if d.Technician != "" {
		s.Paragraph("Technician: "+d.Technician, 0, false)
	}
	if rows := d.jobRows(); len(rows) > 1 {
		s.Heading("Jobs", 20)
		s.Table(columns(rows[0], 0.09, 0.24, 0.12, 0.12, 0.12, 0.08, 0.23), tableCells(rows[1:]))
	}
	if rows := d.timeRows(); len(rows) > 1 {
		s.Heading("Times", 20)
		s.Table(columns(rows[0], 0.12, 0.12, 0.3, 0.26, 0.2), tableCells(rows[1:]))
	}
	s.Heading("Miles and parts", 12)
	s.Paragraph("Miles: "+closeout.OrDash(d.Miles.String()), 0, false)
	s.Paragraph("Used: "+closeout.OrDash(strings.Join(words(d.Used), ", ")), 0, false)
	s.Paragraph("To restock: "+closeout.OrDash(strings.Join(words(d.Restock), ", ")), 0, false)
	s.Heading("Left open", 12)
	if len(d.Left) == 0 {
		s.Paragraph("Nothing.", 0, false)
	}
	for _, g := range d.groups() {
		s.Paragraph("Job "+g.job+", "+g.to.words()+":"+g.reason(), 0, true)
		for _, t := range g.lines {
			s.Paragraph(t, 4, false)
		}
	}
	return s.Save(w)
}

func columns(head []string, shares ...float64) []pdf.Column {
	out := make([]pdf.Column, len(head))
	for i, h := range head {
		out[i] = pdf.Column{Head: h, Share: shares[i]}
	}
	return out
}

func tableCells(rows [][]string) [][]closeout.Cell {
	out := make([][]closeout.Cell, len(rows))
	for i, r := range rows {
		for _, c := range r {
			out[i] = append(out[i], closeout.Txt(c))
		}
	}
	return out
}
