package export

import (
	"bytes"
	"io"
	"strings"
	"testing"

	"downlead/export/closeout"
	"downlead/export/exporttest"
	"downlead/export/figure"
	"downlead/export/pdf"
)

// FuzzReadCloseout: what cannot be read is refused in words; what can be is
// rendered in every form, and nothing panics.
func FuzzReadCloseout(f *testing.F) {
	for _, in := range []closeout.Input{twoFaults(f), openCall(f)} {
		f.Add(exporttest.Render(f, func(b *bytes.Buffer) error { return closeoutOf(f, in).JSON(b) }))
	}
	f.Add([]byte(`{"schema":"downlead/closeout/1"}`))
	f.Add([]byte(`{"schema":"downlead/closeout/1","points":[{}]}`))
	f.Add([]byte(`{"schema":"downlead/closeout/1","path":[{"id":"a","parent":"a"}],"causes":[{}],"actions":[{}],"open":[{}]}`))
	f.Add([]byte(`{"schema":"downlead/closeout/1","path":[{"id":"a"},{"id":"b","parent":"a"}],"points":[{"id":"b","before":{"level_dbm":-1e3}}]}`))
	f.Add([]byte(`null`))
	f.Fuzz(func(t *testing.T, raw []byte) {
		c, err := closeout.ReadCloseout(bytes.NewReader(raw))
		if err != nil {
			if !strings.HasPrefix(err.Error(), "read closeout: ") {
				t.Errorf("got %v", err)
			}
			return
		}
		pathSVG := func(w io.Writer) error { return figure.PathSVG(c, w) }
		levelSVG := func(w io.Writer) error { return figure.LevelSVG(c, w) }
		pdf := func(w io.Writer) error { return pdf.WriteCloseout(c, w, pdf.Options{}) }
		for _, write := range []func(io.Writer) error{c.JSON, c.Text, c.CSV, pathSVG, levelSVG, pdf} {
			_ = write(io.Discard) // an error is an answer; a panic is not
		}
		if _, err := closeout.Redact(c); err != nil {
			t.Errorf("redact: %v", err)
		}
	})
}
