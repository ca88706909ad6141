package export

import (
	"bytes"
	"io"
	"strings"
	"testing"
)

// FuzzReadCloseout: what cannot be read is refused in words; what can be is
// rendered in every form, and nothing panics.
func FuzzReadCloseout(f *testing.F) {
	for _, in := range []Input{twoFaults(f), openCall(f)} {
		f.Add(render(f, func(b *bytes.Buffer) error { return closeout(f, in).JSON(b) }))
	}
	f.Add([]byte(`{"schema":"downlead/closeout/1"}`))
	f.Add([]byte(`{"schema":"downlead/closeout/1","points":[{}]}`))
	f.Add([]byte(`{"schema":"downlead/closeout/1","path":[{"id":"a","parent":"a"}],"causes":[{}],"actions":[{}],"open":[{}]}`))
	f.Add([]byte(`{"schema":"downlead/closeout/1","path":[{"id":"a"},{"id":"b","parent":"a"}],"points":[{"id":"b","before":{"level_dbm":-1e3}}]}`))
	f.Add([]byte(`null`))
	f.Fuzz(func(t *testing.T, raw []byte) {
		c, err := ReadCloseout(bytes.NewReader(raw))
		if err != nil {
			if !strings.HasPrefix(err.Error(), "read closeout: ") {
				t.Errorf("got %v", err)
			}
			return
		}
		pathSVG := func(w io.Writer) error { return c.PathSVG(w) }
		levelSVG := func(w io.Writer) error { return c.LevelSVG(w) }
		pdf := func(w io.Writer) error { return c.PDF(w) }
		for _, write := range []func(io.Writer) error{c.JSON, c.Text, c.CSV, pathSVG, levelSVG, pdf} {
			_ = write(io.Discard) // an error is an answer; a panic is not
		}
		if _, err := Redact(c); err != nil {
			t.Errorf("redact: %v", err)
		}
	})
}
