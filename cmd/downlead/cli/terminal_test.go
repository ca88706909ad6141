package cli_test

import (
	"bytes"
	"strings"
	"testing"

	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/clitest"
	"downlead/export/shown"
)

func TestTerminal(t *testing.T) {
	var b bytes.Buffer
	w := (&cli.Env{Out: &b}).Tamed().Out
	for _, c := range []byte("é — 日本 \x1b[1m\tx\n\xff") { // a byte at a time: characters come in parts
		if n, err := w.Write([]byte{c}); n != 1 || err != nil {
			t.Fatal(n, err)
		}
	}
	if got, want := b.String(), "é — 日本 \\u001b[1m\tx\n\uFFFD"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// FuzzTerminal writes anything: nothing of it steers the terminal, and made
// printable, nothing begins a line.
func FuzzTerminal(f *testing.F) {
	f.Add(clitest.Hostile, 3)
	f.Fuzz(func(t *testing.T, text string, cut int) {
		var b bytes.Buffer
		w := (&cli.Env{Out: &b}).Tamed().Out
		if cut < 0 || cut > len(text) {
			cut = len(text) / 2
		}
		for _, part := range []string{text[:cut], text[cut:]} {
			if n, err := w.Write([]byte(part)); n != len(part) || err != nil {
				t.Fatal(n, err)
			}
		}
		if clitest.Steers(b.String()) {
			t.Errorf("%q steers as %q", text, b.String())
		}
		if strings.ContainsFunc(shown.Of(text), clitest.Breaks) {
			t.Errorf("%q is still of several lines", text)
		}
	})
}
