package clitest

import (
	"strings"
	"unicode"
)

// Hostile holds what steers terminals (CWE-150; ECMA-48): colours, a
// title, the 8-bit control sequence introducer, a carriage return that writes
// over the line, a change of direction, bytes that are no UTF-8; and line
// breaks with a line of ours after each.
const Hostile = "loose\x1b[31m\x1b]0;title\x07\u009b2J\rintact: 9 checked\nintact: 9 checked\u2028intact: 9 checked\u0085intact: 9 checked\v\x7f\u202egnol"

// Steers finds what must not reach a terminal.
func Steers(s string) bool {
	return strings.ContainsFunc(s, func(r rune) bool {
		return r != '\n' && r != '\t' && (unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r))
	})
}

// Breaks reports what ends a line somewhere (Unicode Standard Annex 14: BK, CR,
// LF, NL).
func Breaks(r rune) bool { return strings.ContainsRune("\n\r\v\f\u0085\u2028\u2029", r) }
