package office

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"downlead/export/office/officetest"
)

// Every example of the page of questions runs, as an analyst, and has an answer.
func TestExamples(t *testing.T) {
	page, err := os.ReadFile(filepath.Join("..", "SQL.md"))
	if err != nil {
		t.Fatal(err)
	}
	s := officetest.Start(t)
	newTeam(t, s, 3, 200)
	n := 0
	for _, block := range strings.Split(string(page), "```sql\n")[1:] {
		sql, _, closed := strings.Cut(block, "```")
		if !closed {
			t.Fatalf("a block is not closed: %.60s", block)
		}
		n++
		name, _, _ := strings.Cut(strings.TrimPrefix(sql, "-- "), "\n")
		t.Run(name, func(t *testing.T) {
			out := s.SQL(t, "SET ROLE downlead_analyst;\n"+sql, "-At")
			if rows := strings.Count(out, "\n") - 1; rows < 1 {
				t.Errorf("no rows: %s", out)
			}
		})
	}
	if n < 10 {
		t.Errorf("%d examples", n)
	}
}
