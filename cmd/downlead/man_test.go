package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"

	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/clitest"
)

// TestManPages keeps the manual pages in man/ as the commands' own help says;
// UPDATE=1 writes them. The date is fixed, so that the same help gives the
// same bytes.
func TestManPages(t *testing.T) {
	e, _, _ := clitest.Env(t, "")
	root := newRoot(e, &cli.Global{})
	root.DisableAutoGenTag = true
	root.Version = cli.Release
	day := time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)
	dir := t.TempDir()
	if os.Getenv("UPDATE") == "1" {
		dir = "man"
		if err := os.RemoveAll(dir); err != nil {
			t.Fatal(err)
		}
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	root.AddCommand(&cobra.Command{Use: "help", Hidden: true}) // no page for help itself
	header := &doc.GenManHeader{Title: "DOWNLEAD", Section: "1", Date: &day, Source: "downlead " + cli.Release, Manual: "downlead"}
	if err := doc.GenManTree(root, header, dir); err != nil {
		t.Fatal(err)
	}
	pages, err := filepath.Glob(filepath.Join(dir, "*.1"))
	if err != nil || len(pages) < len(root.Commands()) {
		t.Fatalf("%d pages for %d commands: %v", len(pages), len(root.Commands()), err)
	}
	for _, page := range pages {
		want, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		got, err := os.ReadFile(filepath.Join("man", filepath.Base(page)))
		if err != nil || !bytes.Equal(got, want) {
			t.Errorf("man/%s is not what the help says; run: UPDATE=1 go test ./cmd/downlead -run ManPages", filepath.Base(page))
		}
	}
}
