package example

import (
	"os"
	"path/filepath"
	"testing"

	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

// The demo removes the journal of an earlier demo, and nothing else.
func TestTheDemoRemovesOnlyItsOwn(t *testing.T) {
	for name, content := range map[string]string{"text": "mine", "database": "SQLite format 3\x00"} {
		path := filepath.Join(t.TempDir(), "text.db")
		if err := os.WriteFile(path, []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := removeDemo(t.Context(), path); err == nil {
			t.Errorf("%s was removed", name)
		}
		if b, _ := os.ReadFile(path); string(b) != content {
			t.Errorf("%s holds %q", name, b)
		}
	}
	holding := func(jobs ...string) string {
		path := filepath.Join(t.TempDir(), "sound.db")
		j, err := journal.Open(t.Context(), path, journal.Options{Create: true})
		if err != nil {
			t.Fatal(err)
		}
		defer j.Close()
		for _, number := range jobs {
			if _, err := j.Append(t.Context(), record.Draft{Job: number, Entry: entry.Job{Verb: "start", Number: number}}); err != nil {
				t.Fatal(err)
			}
		}
		return path
	}
	for _, path := range []string{holding("5"), holding(demoJob, "5")} {
		if err := removeDemo(t.Context(), path); err == nil {
			t.Error("another journal was removed")
		}
		if _, err := os.Stat(path); err != nil {
			t.Error(err)
		}
	}
	path := holding(demoJob)
	if err := removeDemo(t.Context(), path); err != nil {
		t.Error(err)
	}
	if _, err := os.Stat(path); err == nil {
		t.Error("the earlier demo is still there")
	}
}
