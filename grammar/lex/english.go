package lex

import (
	_ "embed"
	"sort"
	"strings"
)

// englishWords lists common English words, sorted, one a line: those of a spelling
// checker's small list (SCOWL, whose notice stands in the file's directory).
//
//go:embed english.txt
var englishWords string

// English reports that a word is one of the language, and so no slip of the
// fingers.
func English(w string) bool {
	lineAt := func(at int) (string, int) {
		lo := strings.LastIndexByte(englishWords[:at], '\n') + 1
		hi := strings.IndexByte(englishWords[lo:], '\n')
		return englishWords[lo : lo+max(hi, 0)], lo
	}
	at := sort.Search(len(englishWords), func(i int) bool {
		line, _ := lineAt(i)
		return line >= w
	})
	if at == len(englishWords) {
		return false
	}
	line, _ := lineAt(at)
	return line == w
}
