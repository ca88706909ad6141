package export

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"downlead/diagnose"
)

// diagnosed replaces a test's diagnosis by the program's own.
func diagnosed(in Input) Input {
	in.Diagnosis = diagnose.Diagnose(in.Records, diagnose.Options{})
	in.Steps = diagnose.Plan(in.Records)
	in.Explanation = diagnose.CustomerExplanation(in.Records, in.Diagnosis)
	in.Cautions = nil
	for _, c := range diagnose.Cautions(in.Records) {
		in.Cautions = append(in.Cautions, Caution{Topic: c.Code, Text: c.Text})
	}
	return in
}

// TestWithTheRealDiagnosis: the call as diagnosed gives the same closeout as
// the one whose diagnosis was written by hand.
func TestWithTheRealDiagnosis(t *testing.T) {
	c := closeout(t, diagnosed(twoFaults(t)))
	if c.Outcome != Fixed || len(c.Causes) != 2 || c.Causes[0].State != Proven || c.Causes[1].State != Proven {
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
	raw := render(t, func(b *bytes.Buffer) error { return c.PDF(b) })
	dir := t.TempDir()
	if keep := os.Getenv("KEEP"); keep != "" {
		dir = keep
	}
	path := filepath.Join(dir, "real.pdf")
	if err := os.WriteFile(path, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	if info := tool(t, "pdfinfo", path); !strings.Contains(info, "Pages:           2") {
		t.Errorf("not two pages:\n%s", info)
	}
	open := closeout(t, diagnosed(openCall(t)))
	if open.Complete || len(open.Open) < 3 || len(open.Brackets) != 1 {
		t.Errorf("open call: %+v %v", open.Open, open.Brackets)
	}
}
