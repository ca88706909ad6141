package export

import (
	"cmp"
	"fmt"
	"strings"
)

func (s *sheet) closeoutUsed(c Closeout) {
	s.heading("Work codes, materials, miles, photographs", 6)
	var codes []string
	for _, k := range c.Codes {
		codes = append(codes, fmt.Sprintf("%s × %s", k.Code, k.Units))
	}
	s.paragraph("Work codes: "+orDash(strings.Join(codes, ", ")), 0, false)
	s.paragraph("Materials: "+orDash(strings.Join(materialWords(c), ", ")), 0, false)
	s.paragraph("Miles: "+orDash(c.Miles.String()), 0, false)
	for _, p := range c.Photographs {
		t := "Photograph " + p.Name
		if p.Point != "" {
			t += ", " + p.Point
		}
		if p.Remark != "" {
			t += ": " + p.Remark
		}
		if len(p.SHA256) >= 12 {
			t += " (SHA-256 " + p.SHA256[:12] + "…)"
		}
		s.paragraph(t, 0, false)
	}
}

// closeoutWords writes notes, what counts for nothing, and the cautions.
func (s *sheet) closeoutWords(c Closeout) {
	if len(c.Notes) > 0 {
		s.heading("Notes", 4)
		for _, n := range c.Notes {
			t := n.Text
			if n.Rough {
				t += " (words may be wrong)"
			}
			s.bullet(t)
		}
	}
	if len(c.Unparsed) > 0 {
		s.heading(fmt.Sprintf("Said but not counted: %d not understood, %d not confirmed", c.Counts.Unparsed, c.Counts.Unconfirmed), 4)
		for _, u := range c.Unparsed {
			s.bullet(fmt.Sprintf("entry %d: “%s” (%s)", u.Entry, u.Text, u.Reason))
		}
	}
	if len(c.Cautions) > 0 {
		s.heading("Cautions", 4)
		for _, k := range c.Cautions {
			s.bullet(k.Text)
		}
	}
}

// closeoutProof prints what a later check of the journal needs.
func (s *sheet) closeoutProof(c Closeout) {
	s.heading("Proof", 10)
	s.paragraph(fmt.Sprintf("Made from %d records of this job, %d of them corrections; the journal then held %d records.%s Its head, to compare with later, stands below.", c.Counts.Records, c.Counts.Corrections, c.Journal.Count, c.origin()), 0, false)
	if r := c.Recording; r.Consent != "" || r.Clips > 0 {
		s.paragraph(fmt.Sprintf("Consent to recording: %s; %d clips kept, %d deleted.", cmp.Or(r.Consent, "not logged"), r.Clips, r.Purged), 0, false)
	}
	s.need(textLine)
	s.y += textLine
	s.pdf.SetFont("mono", "", 8)
	s.pdf.SetTextColor(black.r, black.g, black.b)
	s.pdf.Text(pageMargin, s.y-0.7, c.Journal.Head)
}
