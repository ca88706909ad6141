package export

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"downlead/export/closeout"
	"downlead/export/exporttest"
	"downlead/export/pdf"
	"downlead/grammar/entry"
)

// TestArchival: closeouts, of which the other documents are written alike, are
// PDF/A-2b (ISO 19005-2) as veraPDF judges it; one whose metadata claims a part that there is none of is not.
func TestArchival(t *testing.T) {
	in := shortCall(t)
	for i, r := range in.Records {
		if s, ok := r.Entry.(entry.Site); ok {
			s.Text = "Łódź & <Ñandú> 3 — Улица Мира 7 — Երևան — 日本 שלום"
			in.Records[i].Entry = s
		}
	}
	scripts := closeoutOf(t, in)
	scripts.Photographs = []closeout.Photograph{{Entry: 20, SHA256: "aaaaaaaaaaaa1", Name: "clamp.jpg"}}
	photo := picture(t, 1)
	o := pdf.Options{Photo: func(string) (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(photo)), nil }}
	redacted, err := closeout.Redact(scripts)
	if err != nil {
		t.Fatal(err)
	}
	good := document(t, "good.pdf", closeoutOf(t, shortCall(t)), pdf.Options{Paper: pdf.A4()})
	raw, err := os.ReadFile(good)
	if err != nil {
		t.Fatal(err)
	}
	bad := filepath.Join(t.TempDir(), "bad.pdf")
	if err := os.WriteFile(bad, bytes.Replace(raw, []byte("<pdfaid:part>2<"), []byte("<pdfaid:part>7<"), 1), 0o600); err != nil {
		t.Fatal(err)
	}
	big := document(t, "big.pdf", closeoutOf(t, bigHouse(t)), pdf.Options{})
	got := exporttest.Archival(t, good, document(t, "scripts.pdf", scripts, o), document(t, "redacted.pdf", redacted, o), big, bad)
	if !slices.Equal(got, []bool{true, true, true, true, false}) {
		t.Errorf("PDF/A-2b: %v", got)
	}
}
