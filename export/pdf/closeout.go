package pdf

import (
	"fmt"
	"io"
	"strings"

	"downlead/export/closeout"
	"downlead/export/figure"
	"downlead/grammar/entry"
)

// Options are what a document is made with, besides its facts.
type Options struct {
	Paper Paper // the zero value means Letter
	// Photo opens a kept photograph by its hex SHA-256; nil leaves the contact
	// sheet out.
	Photo func(sha256 string) (io.ReadCloser, error)
	// Lacking is told the scripts whose letters no font has, if there are any.
	Lacking func(scripts []string)
}

// WriteCloseout writes the closeout as a document: what was found and done on the first
// page, the particulars behind it. What would leave a second page nearly empty
// is set closer, on one.
func WriteCloseout(c closeout.Closeout, w io.Writer, o Options) error {
	s := compose(c, o, false)
	const saves = 90.0 // millimetres that it may come to at most
	if s.Pages() == 2 && s.Y < PageMargin+saves {
		if t := compose(c, o, true); t.Pages() == 1 {
			s = t
		}
	}
	if l := s.Lacking(); len(l) > 0 && o.Lacking != nil {
		o.Lacking(l)
	}
	return s.Save(w)
}

func compose(c closeout.Closeout, o Options, tight bool) *Sheet {
	head := c.Journal.Head
	if len(head) > 16 {
		head = head[:16]
	}
	s := NewSheet(SheetInfo{
		Title: "Closeout of job " + c.Job, Subject: "Readings, repairs, checks and times of one job",
		Author: c.Technician, Product: c.Product, Made: c.AsOf, Paper: o.Paper,
		Footer: fmt.Sprintf("downlead %s · job %s · made %s · journal %s… (%d records)", c.Product, c.Job, c.AsOf.UTC().Format("2006-01-02 15:04 MST"), head, c.Journal.Count),
	})
	s.tight = tight
	s.closeoutHead(c)
	s.closeoutOpen(c)
	s.closeoutFound(c)
	s.closeoutFigures(c)
	s.closeoutReadings(c)
	s.closeoutChecks(c)
	s.closeoutTimes(c)
	s.closeoutUsed(c, o.Photo != nil)
	s.closeoutWords(c)
	s.closeoutPhotographs(c, o.Photo)
	s.closeoutProof(c)
	return s
}

func (s *Sheet) closeoutHead(c closeout.Closeout) {
	s.Y += 6
	s.Text(PageMargin, s.Y, 17, true, figure.Left, figure.Black, "Job "+c.Job)
	verdict := map[closeout.Outcome]entry.Verdict{closeout.Fixed: entry.Pass, closeout.FixedUnread: entry.Pass, closeout.NoFault: entry.Pass, closeout.NotFixed: entry.Fail}[c.Outcome]
	word := closeout.OutcomeWord(c.Outcome)
	width := s.TextWidth(13, true, word)
	figure.Mark(s, s.paper.Width-PageMargin-width-5, s.Y-2.2, 2.2, verdict, false)
	s.Text(s.paper.Width-PageMargin, s.Y, 13, true, figure.Right, figure.Black, word)
	s.Y += 5
	line := func(parts ...string) {
		var said []string
		for _, p := range parts {
			if p != "" {
				said = append(said, p)
			}
		}
		s.Paragraph(strings.Join(said, "   ·   "), 0, false)
	}
	if c.Redacted {
		s.Paragraph("Redacted copy: names, address and free text are replaced by tags.", 0, true)
	}
	closed := "not closed"
	if c.Closed != nil {
		closed = "closed " + c.Clock(*c.Closed)
	}
	technician := "Technician: not named"
	if c.Technician != "" {
		technician = "Technician: " + c.Technician
	}
	line(c.Site.Address, c.Date(c.Opened, "Monday 2 January 2006, 15:04 MST"), closed, technician)
	if c.Complaint != "" {
		s.Paragraph("Complaint: "+c.Complaint, 0, false)
	}
	if c.Reason != "" {
		s.Paragraph("Reason given at closing: "+c.Reason, 0, false)
	}
	s.Y += 1
}

// closeoutOpen is the box at the top of an incomplete closeout.
func (s *Sheet) closeoutOpen(c closeout.Closeout) {
	if c.Complete {
		return
	}
	_, lines := c.OpenWords() // one reason for all of it stands in the head
	columns, width := 1, s.Width()-13
	if s.tight && len(lines) > 3 {
		columns, width = 2, (s.Width()-13)/2-4
	}
	var wrapped []string
	for _, t := range lines {
		for i, l := range figure.Wrap(s, 8.5, false, t, width) {
			wrapped = append(wrapped, []string{"– ", "   "}[min(i, 1)]+l)
		}
	}
	for first := true; len(wrapped) > 0; first = false {
		n := min(len(wrapped), columns*max(1, int((s.bottom()-s.Y-11)/TextLine))) // as many as the page holds
		s.openBox(wrapped[:n], columns, first)
		if wrapped = wrapped[n:]; len(wrapped) > 0 {
			s.newPage()
		}
	}
}

func (s *Sheet) openBox(lines []string, columns int, first bool) {
	rows := (len(lines) + columns - 1) / columns
	for rows < len(lines) && strings.HasPrefix(lines[rows], " ") {
		rows++ // what is wrapped stays in its column
	}
	h := 7.5 + TextLine*float64(rows)
	s.Y += 1.5
	s.Rect(PageMargin, s.Y, s.Width(), h, 0.6, figure.Orange, figure.White)
	figure.Mark(s, PageMargin+4, s.Y+3.4, 1.5, entry.Fail, false)
	title := "INCOMPLETE: what is missing or left open"
	if !first {
		title = "INCOMPLETE, continued"
	}
	s.Text(PageMargin+7.5, s.Y+4.6, 9.5, true, figure.Left, figure.Black, title)
	for i, l := range lines {
		x := PageMargin + 7.5 + float64(i/rows)*(s.Width()-13)/2
		s.Text(x, s.Y+9.4+TextLine*float64(i%rows), 8.5, false, figure.Left, figure.Black, l)
	}
	s.Y += h + 1
}

func (s *Sheet) closeoutFound(c closeout.Closeout) {
	s.Heading("What was wrong and what was done", 6)
	if len(c.Causes) == 0 {
		s.Paragraph("No repair was logged.", 0, false)
	}
	if t := c.OutcomeLine(); t != "" && c.Outcome != closeout.Fixed { // what was mended says it
		s.bullet(t)
	}
	for _, k := range c.Causes {
		s.bullet(closeout.CauseLine(k))
	}
	const most = 12 // the rest stand in the table alone
	proof := c.ProofLines()
	for _, t := range proof[:min(most, len(proof))] {
		s.bullet(t)
	}
	if n := len(proof) - most; n > 0 {
		s.bullet(fmt.Sprintf("And %d more that failed at first: see the readings.", n))
	}
	for _, t := range c.Brackets {
		s.bullet("Still open: " + t)
	}
	for _, t := range c.Findings {
		s.bullet("Note: " + t.Text)
	}
	if len(c.Explanation) > 0 {
		s.Heading("In plain words, for the customer", 6)
		s.Paragraph(strings.Join(c.Explanation, " "), 0, false)
	}
}

func (s *Sheet) closeoutReadings(c closeout.Closeout) {
	limits := fmt.Sprintf("Limits: level %s dBm", c.Limits.FloorDBm)
	if c.Limits.Threshold.Said() {
		limits += ", strength " + c.Limits.Threshold.String()
	}
	for _, x := range c.Limits.Slots {
		limits += fmt.Sprintf(", strength %s for slot %d", x.Threshold, x.Slot)
	}
	const title = "Readings before and after, from the receiver towards the dish"
	if len(c.Points) == 0 {
		s.Heading(title, 6)
		s.Paragraph("No reading was logged.", 0, false)
		return
	}
	cols := []Column{{"Point", 0.33, false}, {"Before", 0.21, false}, {"After", 0.21, false}, {"Margin now", 0.17, false}, {"Entries", 0.08, true}}
	var rows [][]closeout.Cell
	for _, p := range c.Points {
		name := p.Name
		if p.What != "" {
			name += " (" + p.What + ")"
		}
		entries := ""
		for _, r := range []*closeout.Reading{p.Before, p.After} {
			if r != nil {
				entries = strings.TrimPrefix(fmt.Sprintf("%s, %d", entries, r.Entry), ", ")
			}
		}
		rows = append(rows, []closeout.Cell{closeout.Txt(name), closeout.Show(p.Before), closeout.Again(p), closeout.Txt(closeout.Margin(p)), closeout.Txt(entries)})
	}
	s.Heading(title, s.together(cols, rows))
	s.Table(cols, rows)
	s.Text(PageMargin, s.Y+2, 6.5, false, figure.Left, figure.Gray, limits+". Margin is value less limit; below zero fails.")
	s.Y += 3
}

func (s *Sheet) closeoutChecks(c closeout.Closeout) {
	if len(c.Checks) == 0 {
		return
	}
	var rows [][]closeout.Cell
	for _, k := range c.Checks {
		if !k.Current {
			continue
		}
		name := closeout.Plain(k.Check)
		if k.Point != "" {
			name += ", " + k.Point
		}
		rows = append(rows, []closeout.Cell{closeout.Txt(name), closeout.Judged(k.Verdict, closeout.VerdictWord(k.Verdict)), closeout.Txt(k.Remark), closeout.Txt(fmt.Sprint(k.Entry))})
	}
	cols := []Column{{"Check", 0.3, false}, {"Result", 0.12, false}, {"Remark", 0.5, false}, {"Entry", 0.08, true}}
	s.Heading("Checks", s.together(cols, rows))
	s.Table(cols, rows)
}

func (s *Sheet) closeoutTimes(c closeout.Closeout) {
	s.Heading("Times", 10)
	var marks []string
	for _, t := range c.Times {
		m := fmt.Sprintf("%s %s", closeout.Plain(t.Mark), c.Clock(t.At))
		if t.Source == "given" || t.Source == "edited" {
			m += " (" + string(t.Source) + ")"
		}
		marks = append(marks, m)
	}
	if len(marks) == 0 {
		marks = []string{"no time mark was logged"}
	}
	s.Paragraph(strings.Join(marks, "   ·   "), 0, false)
	d := c.Durations
	var known []string
	for _, x := range []struct {
		name string
		s    int64
	}{{"travel", d.Travel}, {"on site", d.OnSite}, {"breaks", d.Breaks}, {"report to clear", d.ReportToClear}, {"arrival to clear", d.ArriveToClear}, {"active repair", d.ActiveRepair}} {
		if x.s >= 0 {
			known = append(known, x.name+" "+closeout.Length(x.s))
		}
	}
	if len(known) > 0 {
		s.Paragraph(strings.Join(known, "   ·   "), 0, false)
	}
}
