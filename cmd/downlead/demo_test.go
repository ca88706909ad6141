package main

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/clitest"
)

// The invented call, as `make demo` runs it: to its end, and from sound, where
// there is a recogniser, to the same entries as from text.
func TestDemo(t *testing.T) {
	t.Parallel() // it decodes most of its time
	dir := t.TempDir()
	e, out, errs := clitest.Env(t, "")
	if code := run(context.Background(), e, []string{"demo", "--out", dir}); code != cli.ExitDone {
		t.Fatalf("exit code %d: %s", code, errs)
	}
	for _, want := range []string{"closeout:", "intact: true", "The job can be closed."} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("the demo does not say %q", want)
		}
	}
	if strings.Contains(out.String(), "From sound") && !strings.Contains(out.String(), "gave the same") {
		t.Errorf("sound and text differ:\n%s", out)
	}
	if pdf, err := os.ReadFile(filepath.Join(dir, "closeout.pdf")); err != nil || !strings.HasPrefix(string(pdf), "%PDF-") {
		t.Errorf("no record was made: %v", err)
	}
}
