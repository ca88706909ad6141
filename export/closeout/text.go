package closeout

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"downlead/export/shown"
)

// Text writes the closeout as a plain summary for a terminal.
func (c Closeout) Text(w io.Writer) error {
	c = shown.Of(c)
	var b strings.Builder
	fmt.Fprintf(&b, "Job %s: %s\n", c.Job, OutcomeWord(c.Outcome))
	if !c.Complete {
		b.WriteString("INCOMPLETE\n")
		why, lines := c.OpenWords()
		for _, t := range lines {
			b.WriteString("  missing  " + t + "\n")
		}
		if why != "" {
			b.WriteString("  reason given: " + why + "\n")
		}
	}
	for _, x := range [][2]string{{"site", c.Site.Address}, {"complaint", c.Complaint}} {
		if x[1] != "" {
			fmt.Fprintf(&b, "%-10s %s\n", x[0], x[1])
		}
	}
	if t := c.OutcomeLine(); t != "" {
		fmt.Fprintf(&b, "%-10s %s\n", "outcome", t)
	}
	for _, k := range c.Causes {
		fmt.Fprintf(&b, "%-10s %s\n", "repair", CauseLine(k))
	}
	for _, t := range c.ProofLines() {
		fmt.Fprintf(&b, "%-10s %s\n", "proof", t)
	}
	for _, t := range c.Brackets {
		fmt.Fprintf(&b, "%-10s %s\n", "open", t)
	}
	for _, x := range c.Findings {
		fmt.Fprintf(&b, "%-10s %s\n", "note", x.Text)
	}
	c.textReadings(&b)
	c.textChecks(&b)
	c.textRest(&b)
	_, err := io.WriteString(w, b.String())
	return err
}

func (c Closeout) textReadings(b *strings.Builder) {
	if len(c.Points) == 0 {
		return
	}
	rows := [][]string{{"point", "before", "after", "margin"}}
	for _, p := range c.Points {
		name := p.Name
		if p.What != "" {
			name += " (" + p.What + ")"
		}
		rows = append(rows, []string{name, Show(p.Before).Text, Again(p).Text, Margin(p)})
	}
	Columns(b, rows)
}

func (c Closeout) textChecks(b *strings.Builder) {
	if len(c.Checks) == 0 {
		return
	}
	rows := [][]string{{"check", "result", "remark"}}
	for _, k := range c.Checks {
		if k.Current {
			name := Plain(k.Check)
			if k.Point != "" {
				name += ", " + k.Point
			}
			rows = append(rows, []string{name, VerdictWord(k.Verdict), k.Remark})
		}
	}
	Columns(b, rows)
}

func (c Closeout) textRest(b *strings.Builder) {
	b.WriteString("\n")
	line := func(name string, parts []string) {
		if len(parts) > 0 {
			fmt.Fprintf(b, "%-10s %s\n", name, strings.Join(parts, ", "))
		}
	}
	var times, codes, texts []string
	for _, t := range c.Times {
		times = append(times, Plain(t.Mark)+" "+c.Clock(t.At))
	}
	for _, k := range c.Codes {
		codes = append(codes, fmt.Sprintf("%s × %s", k.Code, k.Units))
	}
	for _, n := range c.Notes {
		texts = append(texts, n.Text)
	}
	for _, s := range c.Seen {
		fmt.Fprintf(b, "%-10s %s\n", "seen", s.Text)
	}
	line("times", times)
	line("codes", codes)
	line("materials", MaterialWords(c))
	if c.Miles.Said() {
		line("miles", []string{c.Miles.String()})
	}
	for _, p := range c.Photographs {
		var parts []string
		for _, part := range []string{p.Name, p.Point, p.Remark} {
			if part != "" {
				parts = append(parts, part)
			}
		}
		line("photograph", []string{strings.Join(parts, ", ")})
	}
	line("notes", texts)
	for _, u := range c.Unparsed {
		line("not used", []string{fmt.Sprintf("entry %d %q: %s", u.Entry, u.Text, u.Reason)})
	}
	line("explain", []string{strings.Join(c.Explanation, " ")})
	if c.Technician != "" {
		fmt.Fprintf(b, "%-10s %s\n", "technician", c.Technician)
	}
	if c.Journal.ID != "" {
		fmt.Fprintf(b, "%-10s %s\n", "journal id", c.Journal.ID)
	}
	fmt.Fprintf(b, "%-10s %s, %d records\n", "journal", c.Journal.Head, c.Journal.Count)
}

// Columns writes rows with columns as wide as their widest cell.
func Columns(b *strings.Builder, rows [][]string) {
	b.WriteString("\n")
	width := make([]int, len(rows[0]))
	for _, r := range rows {
		for i, s := range r {
			width[i] = max(width[i], utf8.RuneCountInString(s))
		}
	}
	for _, r := range rows {
		var line strings.Builder
		for i, s := range r {
			line.WriteString(s + strings.Repeat(" ", width[i]-utf8.RuneCountInString(s)+2))
		}
		b.WriteString(strings.TrimRight(line.String(), " ") + "\n")
	}
}

// Origin says in sentences whose job it is and from which journal, as far as
// that is known.
func (c Closeout) Origin() string {
	if c.Journal.ID == "" {
		return ""
	}
	return " The journal's own id is " + c.Journal.ID + "."
}
