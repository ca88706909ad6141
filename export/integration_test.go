package export

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"downlead/diagnose"
	"downlead/diagnose/level"
	"downlead/export/closeout"
	"downlead/export/exporttest"
	"downlead/export/pdf"
)

// diagnosed replaces a test's diagnosis by the program's own.
func diagnosed(in closeout.Input) closeout.Input {
	j := diagnose.NewJob(in.Records, level.Options{})
	in.Diagnosis, in.Steps, in.Explanation = j.Diagnosis(), j.Plan(), j.Explanation()
	in.Cautions = nil
	for _, c := range j.Cautions() {
		in.Cautions = append(in.Cautions, closeout.Caution{Topic: c.Code, Text: c.Text})
	}
	return in
}

// TestWithTheRealDiagnosis: the call as diagnosed gives the same closeout as
// the one whose diagnosis was written by hand.
func TestWithTheRealDiagnosis(t *testing.T) {
	c := closeoutOf(t, diagnosed(twoFaults(t)))
	if c.Outcome != closeout.Fixed || len(c.Causes) != 2 || c.Causes[0].State != closeout.Proven || c.Causes[1].State != closeout.Proven {
		t.Errorf("outcome %s causes %+v", c.Outcome, c.Causes)
	}
	if len(c.Points) != 6 {
		t.Errorf("%d points", len(c.Points))
	}
	for _, r := range c.Readings {
		if r.ID == "" {
			t.Errorf("entry %d was not placed", r.Entry)
		}
	}
	raw := exporttest.Render(t, func(b *bytes.Buffer) error { return pdf.WriteCloseout(c, b, pdf.Options{}) })
	dir := t.TempDir()
	if keep := os.Getenv("KEEP"); keep != "" {
		dir = keep
	}
	path := filepath.Join(dir, "real.pdf")
	if err := os.WriteFile(path, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	if info := exporttest.Tool(t, "pdfinfo", path); !strings.Contains(info, "Pages:           2") {
		t.Errorf("not two pages:\n%s", info)
	}
	open := closeoutOf(t, diagnosed(openCall(t)))
	if open.Complete || len(open.Open) < 3 || len(open.Brackets) != 1 {
		t.Errorf("open call: %+v %v", open.Open, open.Brackets)
	}
}
