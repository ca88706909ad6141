package archive

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// FuzzManifest checks an archive whose list of sums and records are anything:
// an answer, never a panic, and no file outside the folder is looked at.
func FuzzManifest(f *testing.F) {
	sum := strings.Repeat("ab", 32)
	f.Add(sum+"  closeout.json\n", "{}", "")
	f.Add(sum+"  ../outside\n", "{}", "")
	f.Add(sum+"  records.jsonl\n", "{}", `{"body":{"seq":1},"prev":"`+sum+`","hash":"`+sum+`"}`)
	f.Fuzz(func(t *testing.T, manifest, closeout, records string) {
		dir := t.TempDir()
		for name, text := range map[string]string{ManifestName: manifest, "closeout.json": closeout, RecordsName: records} {
			if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		r, err := CheckArchive(t.Context(), dir)
		if err == nil && r.OK() && r.Files == 0 {
			t.Errorf("nothing was checked, and it is in order: %+v", r)
		}
		if lines, err := readManifest(filepath.Join(dir, ManifestName)); err == nil {
			for _, l := range lines {
				if !filepath.IsLocal(l.name) {
					t.Errorf("%q leads out of the folder", l.name)
				}
			}
		}
	})
}
