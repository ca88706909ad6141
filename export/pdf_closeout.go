package export

import (
	"fmt"
	"io"
	"strings"

	"downlead/grammar"
)

// PDF writes the closeout as a document: what was found and done on the first
// page, the particulars behind it.
func (c Closeout) PDF(w io.Writer) error {
	head := c.Journal.Head
	if len(head) > 16 {
		head = head[:16]
	}
	s := newSheet(sheetInfo{
		title: "Closeout of job " + c.Job, subject: "Readings, repairs, checks and times of one job",
		product: c.Product, made: c.AsOf,
		footer: fmt.Sprintf("downlead %s · job %s · made %s · journal %s… (%d records)", c.Product, c.Job, c.AsOf.UTC().Format("2006-01-02 15:04 MST"), head, c.Journal.Count),
	})
	s.closeoutHead(c)
	s.closeoutOpen(c)
	s.closeoutFound(c)
	s.heading("Signal path", newFigure(c).height())
	newFigure(c).draw(s, pageMargin, s.y, bodyWidth)
	s.y += newFigure(c).height()
	s.closeoutReadings(c)
	s.closeoutPlots(c)
	s.closeoutChecks(c)
	s.closeoutTimes(c)
	s.closeoutUsed(c)
	s.closeoutWords(c)
	s.closeoutProof(c)
	return s.writeTo(w)
}

func (s *sheet) closeoutHead(c Closeout) {
	s.y += 6
	s.text(pageMargin, s.y, 17, true, left, black, "Job "+c.Job)
	verdict := map[Outcome]grammar.Verdict{Fixed: grammar.Pass, NoFault: grammar.Pass, NotFixed: grammar.Fail}[c.Outcome]
	word := outcomeWord(c.Outcome)
	width := s.textWidth(13, true, word)
	mark(s, pageWidth-pageMargin-width-5, s.y-2.2, 2.2, verdict, false)
	s.text(pageWidth-pageMargin, s.y, 13, true, right, black, word)
	s.y += 5
	line := func(parts ...string) {
		var said []string
		for _, p := range parts {
			if p != "" {
				said = append(said, p)
			}
		}
		s.paragraph(strings.Join(said, "   ·   "), 0, false)
	}
	if c.Redacted {
		s.paragraph("Redacted copy: names, address and free text are replaced by tags.", 0, true)
	}
	closed := "not closed"
	if c.Closed != nil {
		closed = "closed " + c.clock(*c.Closed)
	}
	line(c.Site.Address, c.date(c.Opened, "Monday 2 January 2006, 15:04 MST"), closed)
	if c.Complaint != "" {
		s.paragraph("Complaint: "+c.Complaint, 0, false)
	}
	s.y += 1
}

// closeoutOpen is the box at the top of an incomplete closeout.
func (s *sheet) closeoutOpen(c Closeout) {
	if c.Complete {
		return
	}
	why, lines := c.openWords()
	var wrapped []string
	for _, t := range lines {
		for i, l := range wrap(s, 8.5, false, t, bodyWidth-13) {
			wrapped = append(wrapped, []string{"– ", "   "}[min(i, 1)]+l)
		}
	}
	if why != "" {
		wrapped = append(wrapped, wrap(s, 8.5, false, "Reason given: "+why, bodyWidth-10)...)
	}
	for first := true; len(wrapped) > 0; first = false {
		n := min(len(wrapped), max(1, int((bodyBottom-s.y-11)/textLine))) // as many as the page holds
		s.openBox(wrapped[:n], first)
		if wrapped = wrapped[n:]; len(wrapped) > 0 {
			s.newPage()
		}
	}
}

func (s *sheet) openBox(lines []string, first bool) {
	h := 7.5 + textLine*float64(len(lines))
	s.y += 1.5
	s.rect(pageMargin, s.y, bodyWidth, h, 0.6, orange, white)
	mark(s, pageMargin+4, s.y+3.4, 1.5, grammar.Fail, false)
	title := "INCOMPLETE: what is missing or left open"
	if !first {
		title = "INCOMPLETE, continued"
	}
	s.text(pageMargin+7.5, s.y+4.6, 9.5, true, left, black, title)
	for i, l := range lines {
		s.text(pageMargin+7.5, s.y+9.4+textLine*float64(i), 8.5, false, left, black, l)
	}
	s.y += h + 1
}

func (s *sheet) closeoutFound(c Closeout) {
	s.heading("What was wrong and what was done", 6)
	if len(c.Causes) == 0 {
		s.paragraph("No repair was logged.", 0, false)
	}
	for _, k := range c.Causes {
		s.bullet(causeLine(k))
	}
	for _, t := range c.proofLines() {
		s.bullet(t)
	}
	for _, t := range c.Brackets {
		s.bullet("Still open: " + t)
	}
	for _, t := range c.Findings {
		s.bullet("Note: " + t.Text)
	}
	if len(c.Explanation) > 0 {
		s.heading("In plain words, for the customer", 6)
		s.paragraph(strings.Join(c.Explanation, " "), 0, false)
	}
}

func (s *sheet) closeoutReadings(c Closeout) {
	limits := fmt.Sprintf("Limits: level %s dBm", c.Limits.FloorDBm)
	if c.Limits.Threshold.Said() {
		limits += ", strength " + c.Limits.Threshold.String()
	}
	for _, x := range c.Limits.Slots {
		limits += fmt.Sprintf(", strength %s for slot %d", x.Threshold, x.Slot)
	}
	const title = "Readings before and after, from the receiver towards the dish"
	if len(c.Points) == 0 {
		s.heading(title, 6)
		s.paragraph("No reading was logged.", 0, false)
		return
	}
	cols := []column{{"Point", 0.26, false}, {"Before", 0.23, false}, {"After", 0.23, false}, {"Margin now", 0.2, false}, {"Entries", 0.08, true}}
	var rows [][]cell
	for _, p := range c.Points {
		name := p.Name
		if p.What != "" {
			name += " (" + p.What + ")"
		}
		entries := ""
		for _, r := range []*Reading{p.Before, p.After} {
			if r != nil {
				entries = strings.TrimPrefix(fmt.Sprintf("%s, %d", entries, r.Entry), ", ")
			}
		}
		rows = append(rows, []cell{txt(name), show(p.Before), again(p), txt(margin(p)), txt(entries)})
	}
	s.heading(title, s.together(cols, rows))
	s.table(cols, rows)
	s.text(pageMargin, s.y+2, 6.5, false, left, gray, limits+". Margin is value less limit; below zero fails.")
	s.y += 3
}

func (s *sheet) closeoutPlots(c Closeout) {
	plots := levelPlots(c)
	if len(plots) == 0 {
		return
	}
	s.heading("Level along the path", plotHeight)
	gap := 6.0
	for i := 0; i < len(plots); i += 2 {
		s.need(plotHeight)
		if i+1 == len(plots) && i == 0 {
			plots[i].draw(s, pageMargin, s.y, bodyWidth)
		} else {
			for k, p := range plots[i:min(i+2, len(plots))] {
				p.draw(s, pageMargin+float64(k)*(bodyWidth+gap)/2, s.y, (bodyWidth-gap)/2)
			}
		}
		s.y += plotHeight
	}
	s.text(pageMargin, s.y+1, 6.5, false, left, gray, plotLegend)
	s.y += 2
}

func (s *sheet) closeoutChecks(c Closeout) {
	if len(c.Checks) == 0 {
		return
	}
	var rows [][]cell
	for _, k := range c.Checks {
		if !k.Current {
			continue
		}
		name := plain(k.Check)
		if k.Point != "" {
			name += ", " + k.Point
		}
		rows = append(rows, []cell{txt(name), judged(k.Verdict, verdictWord(k.Verdict)), txt(k.Remark), txt(fmt.Sprint(k.Entry))})
	}
	cols := []column{{"Check", 0.3, false}, {"Result", 0.12, false}, {"Remark", 0.5, false}, {"Entry", 0.08, true}}
	s.heading("Checks", s.together(cols, rows))
	s.table(cols, rows)
}

func (s *sheet) closeoutTimes(c Closeout) {
	s.heading("Times", 10)
	var marks []string
	for _, t := range c.Times {
		m := fmt.Sprintf("%s %s", plain(t.Mark), c.clock(t.At))
		if t.Source == "given" || t.Source == "edited" {
			m += " (" + string(t.Source) + ")"
		}
		marks = append(marks, m)
	}
	if len(marks) == 0 {
		marks = []string{"no time mark was logged"}
	}
	s.paragraph(strings.Join(marks, "   ·   "), 0, false)
	d := c.Durations
	var known []string
	for _, x := range []struct {
		name string
		s    int64
	}{{"travel", d.Travel}, {"on site", d.OnSite}, {"breaks", d.Breaks}, {"report to clear", d.ReportToClear}, {"arrival to clear", d.ArriveToClear}, {"active repair", d.ActiveRepair}} {
		if x.s >= 0 {
			known = append(known, x.name+" "+length(x.s))
		}
	}
	if len(known) > 0 {
		s.paragraph(strings.Join(known, "   ·   "), 0, false)
	}
}
