package lex

import (
	_ "embed"
	"sort"
	"strings"
)

// english lists common English words, sorted, one a line: those of a spelling
// checker's small list (SCOWL, whose notice stands in the file's directory).
//
//go:embed english.txt
var english string

// isEnglish reports that a word is one of the language, and so no slip of the
// fingers.
func isEnglish(w string) bool {
	lineAt := func(at int) (string, int) {
		lo := strings.LastIndexByte(english[:at], '\n') + 1
		hi := strings.IndexByte(english[lo:], '\n')
		return english[lo : lo+max(hi, 0)], lo
	}
	at := sort.Search(len(english), func(i int) bool {
		line, _ := lineAt(i)
		return line >= w
	})
	if at == len(english) {
		return false
	}
	line, _ := lineAt(at)
	return line == w
}
