package export

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"downlead/export/closeout"
	"downlead/export/exporttest"
	"downlead/export/pdf"
)

// pdfFile writes a document into a folder of the test, or into the folder that
// the variable KEEP names, to be looked at.
func pdfFile(t *testing.T, name string, in closeout.Input) string {
	t.Helper()
	dir := t.TempDir()
	if keep := os.Getenv("KEEP"); keep != "" {
		dir = keep
	}
	path := filepath.Join(dir, name)
	raw := exporttest.Render(t, func(b *bytes.Buffer) error { return pdf.WriteCloseout(closeoutOf(t, in), b, pdf.Options{}) })
	if err := os.WriteFile(path, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestPDFIsTheSameTwice(t *testing.T) {
	a := exporttest.Render(t, func(b *bytes.Buffer) error { return pdf.WriteCloseout(closeoutOf(t, twoFaults(t)), b, pdf.Options{}) })
	b := exporttest.Render(t, func(b *bytes.Buffer) error { return pdf.WriteCloseout(closeoutOf(t, twoFaults(t)), b, pdf.Options{}) })
	if !bytes.Equal(a, b) {
		t.Error("two documents of one record differ")
	}
	if bytes.Contains(a, []byte(time.Now().UTC().Format("20060102"))) {
		t.Error("the document holds today's date")
	}
}

// TestPDFIsWellFormed has independent readers look at the document.
func TestPDFIsWellFormed(t *testing.T) {
	path := pdfFile(t, "whole.pdf", twoFaults(t))
	if out := exporttest.Tool(t, "qpdf", "--check", path); !strings.Contains(out, "No syntax or stream encoding errors") {
		t.Error(out)
	}
	fonts := strings.Split(strings.TrimSpace(exporttest.Tool(t, "pdffonts", path)), "\n")[2:]
	for _, l := range fonts {
		if f := strings.Fields(l); f[len(f)-5] != "yes" {
			t.Errorf("font not embedded: %s", l)
		}
	}
	info := exporttest.Tool(t, "pdfinfo", "-isodates", path)
	for _, want := range []string{`Title: +Closeout of job 4412`, `Pages: +2\b`, `CreationDate: +2026-11-17T17:00:00Z`, `Producer: +downlead 1\.0\.0-test`, `Page size: +612 x 792 pts`} {
		if !regexp.MustCompile(want).MatchString(info) {
			t.Errorf("pdfinfo lacks %s:\n%s", want, info)
		}
	}
}

func TestPDFText(t *testing.T) {
	text := strings.Join(strings.Fields(exporttest.Tool(t, "pdftotext", "-layout", pdfFile(t, "whole.pdf", twoFaults(t)), "-")), " ")
	for _, want := range []string{
		"Job 4412", "12 Quarry Lane", "channels missing when it rains",
		"Replaced ground block: proven, it failed at the ground block, receiver side before and passes after, 9.5 dB gained",
		"Replaced splitter: proven, it failed behind receiver one in the kitchen before and passes after, 5.5 dB gained",
		"Baseline behind receiver 1 (kitchen): FAIL, -58 dBm, strength 41. Proof: pass, -47 dBm, strength 84, margin +3 dB, +9 strength.", "pass, -47 dBm, strength 84", "+3 dB, +9 strength",
		"corroded clamp, customer told", "trouble call × 2", "4 × fitting", "Miles: 12", "block.jpg",
		"dog in the yard", "sprinkler output two pass", "Ladder firm and level",
		"abcdef0102030000000000000000000000000000000000000000000000000000",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the document lacks %q", want)
		}
	}
	if strings.Contains(text, "INCOMPLETE") {
		t.Error("a complete closeout says it is not")
	}
}

func TestPDFOfOpenCallSaysSoAtTheTop(t *testing.T) {
	text := exporttest.Tool(t, "pdftotext", "-layout", pdfFile(t, "open.pdf", openCall(t)), "-")
	at, found := strings.Index(text, "INCOMPLETE"), strings.Index(text, "What was wrong")
	if at < 0 || at > found {
		t.Errorf("INCOMPLETE at %d, first section at %d", at, found)
	}
	for _, want := range []string{"no passing point found yet", "power outlet not tested", "the job has not been closed"} {
		if !strings.Contains(text, want) {
			t.Errorf("the document lacks %q", want)
		}
	}
}

func TestTimesOverMidnightHaveTheirDay(t *testing.T) {
	in := twoFaults(t)
	for i := range in.Records {
		in.Records[i].At = in.Records[i].At.Add(14*time.Hour + 10*time.Minute)
	}
	text := exporttest.Tool(t, "pdftotext", "-layout", pdfFile(t, "night.pdf", in), "-")
	for _, want := range []string{"en route 23:13", "departed Wed 18 Nov 00:06", "closed Wed 18 Nov 00:07"} {
		if !strings.Contains(text, want) {
			t.Errorf("the document lacks %q", want)
		}
	}
}
