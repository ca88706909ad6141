package journal

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
)

// FuzzFile opens what may be anything at a journal's path, damaged journals
// above all: an error or a journal, never a panic, and reading alone changes
// no byte of the file.
func FuzzFile(f *testing.F) {
	path := filepath.Join(f.TempDir(), "journal.db")
	j, err := Open(f.Context(), path, Options{Create: true, Now: ticking()})
	if err != nil {
		f.Fatal(err)
	}
	sample(f, j)
	if err := j.Close(); err != nil {
		f.Fatal(err)
	}
	whole, err := os.ReadFile(path)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(uint32(100), []byte("\xff"))
	f.Add(uint32(60), []byte("\xff\xff\xff\xff")) // user_version
	f.Add(uint32(4096), []byte{0x0d, 0, 0, 0, 9})
	f.Fuzz(func(t *testing.T, at uint32, change []byte) {
		p := filepath.Join(t.TempDir(), "journal.db")
		b := bytes.Clone(whole)
		copy(b[int(at)%len(b):], change)
		mustWrite(t, p, b)
		for _, o := range []Options{{ReadOnly: true}, {Damaged: true}} {
			j, err := Open(t.Context(), p, o)
			if err != nil {
				continue
			}
			_, _ = j.Verify(t.Context(), VerifyOptions{})
			_, _ = j.Jobs(t.Context())
			_, _ = j.Since(t.Context(), 0, 100)
			j.Close()
		}
		if !bytes.Equal(mustRead(t, p), b) {
			t.Error("reading changed the file")
		}
	})
}
