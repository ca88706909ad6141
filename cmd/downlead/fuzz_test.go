package main

import (
	"bytes"
	"strings"
	"testing"
	"unicode/utf8"

	"downlead/export/shown"
)

// FuzzLines reads text that may be anything: every line that holds something
// comes, once, in order, as UTF-8, and none is longer than is kept.
func FuzzLines(f *testing.F) {
	f.Add([]byte("outlet pass\r\nnote caf\xe9\n\n\xef\xbb\xbfx"), true)
	f.Add(bytes.Repeat([]byte("long "), 20_000), false)
	f.Fuzz(func(t *testing.T, b []byte, older bool) {
		encoding := encodingUTF8
		if older {
			encoding = encodingWindows
		}
		last := 0
		err := eachLine(bytes.NewReader(b), encoding, func(l textLine) error {
			if l.number <= last || !utf8.ValidString(l.text) || strings.ContainsRune(l.text, '\n') || len(l.text) > 3*maxPhrase {
				t.Errorf("%+v after line %d", l, last)
			}
			last = l.number
			return nil
		})
		if err != nil || last > bytes.Count(b, []byte("\n"))+1 {
			t.Errorf("%d lines, %v", last, err)
		}
	})
}

// FuzzTerminal writes anything: nothing of it steers the terminal, and made
// printable, nothing begins a line.
func FuzzTerminal(f *testing.F) {
	f.Add(hostileText, 3)
	f.Fuzz(func(t *testing.T, text string, cut int) {
		var b bytes.Buffer
		w := &terminal{w: &b}
		if cut < 0 || cut > len(text) {
			cut = len(text) / 2
		}
		for _, part := range []string{text[:cut], text[cut:]} {
			if n, err := w.Write([]byte(part)); n != len(part) || err != nil {
				t.Fatal(n, err)
			}
		}
		if steers(b.String()) {
			t.Errorf("%q steers as %q", text, b.String())
		}
		if strings.ContainsFunc(shown.Of(text), isBreak) {
			t.Errorf("%q is still of several lines", text)
		}
	})
}
