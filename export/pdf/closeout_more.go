package pdf

import (
	"cmp"
	"fmt"
	"strings"

	"downlead/export/closeout"
	"downlead/export/figure"
)

func (s *Sheet) closeoutUsed(c closeout.Closeout, shown bool) {
	s.Heading("Work codes, materials, miles", 6)
	var codes []string
	for _, k := range c.Codes {
		codes = append(codes, fmt.Sprintf("%s × %s", k.Code, k.Units))
	}
	s.Paragraph(strings.Join([]string{
		"Work codes: " + closeout.OrDash(strings.Join(codes, ", ")),
		"Materials: " + closeout.OrDash(strings.Join(closeout.MaterialWords(c), ", ")),
		"Miles: " + closeout.OrDash(c.Miles.String()),
	}, "   ·   "), 0, false)
	if shown && !c.Redacted {
		return // the contact sheet has them
	}
	for _, p := range c.Photographs {
		s.Paragraph("Photograph "+photoWords(p), 0, false)
	}
}

// closeoutWords writes notes, what counts for nothing, and the cautions.
func (s *Sheet) closeoutWords(c closeout.Closeout) {
	if len(c.Seen) > 0 {
		s.Heading("Seen and reported", 4)
		for _, x := range c.Seen {
			s.bullet(x.Text)
		}
	}
	if len(c.Notes) > 0 {
		s.Heading("Notes", 4)
		for _, n := range c.Notes {
			t := n.Text
			if n.Rough {
				t += " (words may be wrong)"
			}
			s.bullet(t)
		}
	}
	if len(c.Unparsed) > 0 {
		s.Heading(fmt.Sprintf("Said but not counted: %d not understood, %d not confirmed", c.Counts.Unparsed, c.Counts.Unconfirmed), 4)
		for _, u := range c.Unparsed {
			s.bullet(fmt.Sprintf("entry %d: “%s” (%s)", u.Entry, u.Text, u.Reason))
		}
	}
	if len(c.Cautions) > 0 {
		s.Heading("Cautions", 4)
		for _, k := range c.Cautions {
			s.bullet(k.Text)
		}
	}
}

// closeoutProof prints what a later check of the journal needs.
func (s *Sheet) closeoutProof(c closeout.Closeout) {
	s.Heading("Proof", 10)
	s.Paragraph(fmt.Sprintf("Made from %d records of this job, %d of them corrections; the journal then held %d.%s Its head, to compare with later:", c.Counts.Records, c.Counts.Corrections, c.Journal.Count, c.Origin()), 0, false)
	if r := c.Recording; r.Consent != "" || r.Clips > 0 {
		s.Paragraph(fmt.Sprintf("Consent to recording: %s; %d clips kept, %d deleted.", cmp.Or(r.Consent, "not logged"), r.Clips, r.Purged), 0, false)
	}
	if l := s.Lacking(); len(l) > 0 {
		s.Paragraph("Letters that stand as [U+…] here, as the document's fonts lack them or cannot set them: "+strings.Join(l, ", ")+". The JSON form has them.", 0, false)
	}
	s.need(TextLine)
	s.Y += TextLine
	s.font(mono, 8, false)
	s.pdf.SetTextColor(figure.Black.R, figure.Black.G, figure.Black.B)
	s.pdf.Text(PageMargin, s.Y-0.7, c.Journal.Head)
}
