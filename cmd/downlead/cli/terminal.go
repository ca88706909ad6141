package cli

import (
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"
)

// terminal keeps what is printed from steering the terminal it is printed on
// (CWE-150, ECMA-48): text comes from journals, file names and recordings, and
// a control character in it must not clear, colour or forge anything. It is
// written as \u001b, which in the machine form means the same character.
// Lines and tabs are ours, and stay.
type terminal struct {
	w    io.Writer
	rest []byte // the beginning of a character whose end was not written yet
}

func (t *terminal) Write(p []byte) (int, error) {
	text := append(t.rest, p...)
	t.rest = nil
	var out strings.Builder
	for len(text) > 0 {
		r, size := utf8.DecodeRune(text)
		if r == utf8.RuneError && size == 1 && !utf8.FullRune(text) {
			t.rest = append(t.rest, text...)
			break
		}
		switch {
		case r == '\n', r == '\t':
			out.WriteRune(r)
		case unicode.IsControl(r), unicode.Is(unicode.Bidi_Control, r):
			fmt.Fprintf(&out, `\u%04x`, r)
		default:
			out.WriteRune(r) // a byte that is no UTF-8 becomes U+FFFD
		}
		text = text[size:]
	}
	if _, err := io.WriteString(t.w, out.String()); err != nil {
		return 0, err
	}
	return len(p), nil
}

// isBreak reports what ends a line somewhere (Unicode Standard Annex 14: BK,
// CR, LF, NL).
func isBreak(r rune) bool {
	return r == '\n' || r == '\r' || r == '\v' || r == '\f' || r == '\u0085' || r == '\u2028' || r == '\u2029'
}

// Indented moves all lines but the first to the right, for a text that may
// have several of its own.
func Indented(s string) string {
	lines := strings.FieldsFunc(s, isBreak)
	for i := range lines {
		if i > 0 && !strings.HasPrefix(lines[i], "   ") {
			lines[i] = "   " + lines[i]
		}
	}
	return strings.Join(lines, "\n")
}

// Tamed is the world with terminals that no text can steer.
func (e *Env) Tamed() *Env {
	t := *e
	t.Out, t.Err, t.Bar = &terminal{w: e.Out}, &terminal{w: e.Err}, e.Err
	return &t
}
