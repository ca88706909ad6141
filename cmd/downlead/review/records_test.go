package review

import (
	"context"
	"io"
	"strings"
	"testing"

	"downlead/diagnose"
	"downlead/diagnose/level"
	"downlead/export/closeout"
	"downlead/export/pdf"
	"downlead/journal"
)

// realRecords makes the closeout as the program does.
func realRecords(j *journal.Journal) Records {
	newCloseout := func(ctx context.Context, job string) (closeout.Closeout, error) {
		records, err := j.Job(ctx, job)
		if err != nil {
			return closeout.Closeout{}, err
		}
		head, n, err := j.Head(ctx)
		if err != nil {
			return closeout.Closeout{}, err
		}
		done := diagnose.NewJob(records, level.Options{})
		in := closeout.Input{
			Records: records, Diagnosis: done.Diagnosis(), Steps: done.Plan(), Explanation: done.Explanation(),
			Head: head, Count: n, Version: "test", AsOf: clock(),
		}
		for _, c := range done.Cautions() {
			in.Cautions = append(in.Cautions, closeout.Caution{Topic: c.Code, Text: c.Text})
		}
		return closeout.NewCloseout(in)
	}
	write := func(as func(closeout.Closeout, io.Writer) error) func(context.Context, io.Writer, string) error {
		return func(ctx context.Context, w io.Writer, job string) error {
			c, err := newCloseout(ctx, job)
			if err != nil {
				return err
			}
			return as(c, w)
		}
	}
	r := plainRecords()
	r.Closeout = Record{
		Preview: func(ctx context.Context, job string) (string, error) {
			var b strings.Builder
			err := write(closeout.Closeout.Text)(ctx, &b, job)
			return b.String(), err
		},
		Forms: []Form{
			{Name: "pdf", MediaType: "application/pdf", Write: write(func(c closeout.Closeout, w io.Writer) error { return pdf.WriteCloseout(c, w, pdf.Options{}) })},
			{Name: "json", MediaType: "application/json", Write: write(closeout.Closeout.JSON)},
			{Name: "csv", MediaType: "text/csv; charset=utf-8", Write: write(closeout.Closeout.CSV)},
		},
	}
	return r
}

// TestCloseoutPreviewIsTheRecord compares what the page shows with what is
// saved.
func TestCloseoutPreviewIsTheRecord(t *testing.T) {
	j, p := newJournal(t), newParser(t)
	demo(t, j, p, "")
	s := open(t, Config{Journal: j, Parser: p, Records: realRecords(j)}).in()
	_, page := s.get("/job/4412/closeout")
	for _, want := range []string{"ground block", "jumper", "Save as PDF", "Save as JSON", "Save as CSV"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not show %q", want)
		}
	}
	status, pdf := s.get("/job/4412/closeout/pdf")
	if status != 200 || !strings.HasPrefix(pdf, "%PDF-") {
		t.Errorf("looking at the PDF: status %d, %.20q", status, pdf)
	}
}
