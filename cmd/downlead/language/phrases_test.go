package language

import (
	"bytes"
	"strings"
	"testing"
	"time"
	"unicode/utf8"
)

// A zone is named where it has the offset of the time, and else left out: noon at
// -07:00 is not in Denver's summer (US Energy Policy Act of 2005: from March to
// November), when it has -06:00.
func TestAZoneFitsItsTime(t *testing.T) {
	for at, want := range map[string]string{
		"2026-11-18T12:00:00-07:00": "America/Denver", "2026-07-18T12:00:00-06:00": "America/Denver", "2026-07-18T12:00:00-07:00": "", "2026-11-18T12:00:00Z": "",
	} {
		when, err := time.Parse(time.RFC3339, at)
		if err != nil {
			t.Fatal(err)
		}
		if got := ZoneAt("America/Denver", when); got != want {
			t.Errorf("%s: %q, want %q", at, got, want)
		}
		if got := ZoneAt("Nowhere/Atall", when) + ZoneAt("", when); got != "" {
			t.Errorf("%s: %q", at, got)
		}
	}
}

// FuzzLines reads text that may be anything: every line that holds something
// comes, once, in order, as UTF-8, and none is longer than is kept.
func FuzzLines(f *testing.F) {
	f.Add([]byte("outlet pass\r\nnote caf\xe9\n\n\xef\xbb\xbfx"), true)
	f.Add(bytes.Repeat([]byte("long "), 20_000), false)
	f.Fuzz(func(t *testing.T, b []byte, older bool) {
		encoding := EncodingUTF8
		if older {
			encoding = encodingWindows
		}
		last := 0
		err := EachLine(bytes.NewReader(b), encoding, func(l TextLine) error {
			if l.Number <= last || !utf8.ValidString(l.Text) || strings.ContainsRune(l.Text, '\n') || len(l.Text) > 3*maxPhrase {
				t.Errorf("%+v after line %d", l, last)
			}
			last = l.Number
			return nil
		})
		if err != nil || last > bytes.Count(b, []byte("\n"))+1 {
			t.Errorf("%d lines, %v", last, err)
		}
	})
}
