package level

import (
	"strings"
	"testing"
)

// FuzzTables reads a file of figures that may be anything: tables or an error.
func FuzzTables(f *testing.F) {
	f.Add("[loss]\nsplitter2 = 3.5\n")
	f.Add("a = nan\n")
	f.Fuzz(func(t *testing.T, text string) {
		tables, err := ReadTables(strings.NewReader(text))
		if err == nil && tables == nil {
			t.Error("no tables and no error")
		}
	})
}
