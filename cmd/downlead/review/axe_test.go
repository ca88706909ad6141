package review

import (
	"archive/tar"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
)

// axeVersion is the release of axe-core that judges the pages.
const axeVersion = "4.14.1"

// axe returns the source of axe-core, fetched once with npm into the user's
// cache. It is not part of the project.
func axe(t *testing.T) string {
	t.Helper()
	npm, err := exec.LookPath("npm")
	if err != nil {
		t.Skip("npm is not installed: the pages are not checked for accessibility (apt-get install npm)")
	}
	cache, err := os.UserCacheDir()
	if err != nil {
		cache = os.TempDir()
	}
	dir := filepath.Join(cache, "downlead-test")
	pack := filepath.Join(dir, "axe-core-"+axeVersion+".tgz")
	if _, err := os.Stat(pack); err != nil {
		if err := os.MkdirAll(dir, 0o700); err != nil {
			t.Fatal(err)
		}
		if out, err := exec.Command(npm, "pack", "--silent", "--pack-destination", dir, "axe-core@"+axeVersion).CombinedOutput(); err != nil {
			t.Skipf("axe-core cannot be fetched with npm, so the pages are not checked for accessibility: %v\n%s", err, out)
		}
	}
	source, err := unpack(pack, "package/axe.min.js")
	if err != nil {
		t.Fatal(err)
	}
	return source
}

// unpack reads one file of a packed module.
func unpack(pack, name string) (string, error) {
	f, err := os.Open(pack)
	if err != nil {
		return "", err
	}
	defer f.Close()
	z, err := gzip.NewReader(f)
	if err != nil {
		return "", err
	}
	for r := tar.NewReader(z); ; {
		h, err := r.Next()
		if errors.Is(err, io.EOF) {
			return "", fmt.Errorf("%s holds no %s", pack, name)
		}
		if err != nil {
			return "", err
		}
		if h.Name == name {
			b, err := io.ReadAll(r)
			return string(b), err
		}
	}
}

// TestAccessibility has axe-core judge every page, light and dark, on a small
// screen and a large one, with everything that folds unfolded. Its rules are
// those of the Web Content Accessibility Guidelines 2.2, levels A and AA, and
// its best practices. No finding of any weight is let through.
func TestAccessibility(t *testing.T) {
	source := axe(t)
	s := halfwaySite(t)
	b := newTab(t, s)
	type violation struct {
		ID, Impact, Help string
		Nodes            []string
	}
	for _, look := range []struct {
		width  int64
		scheme string
	}{{360, "light"}, {1280, "dark"}} {
		b.do(chromedp.EmulateViewport(look.width, 900), media(look.scheme))
		for name, path := range pages() {
			b.open(path)
			eval[bool](b, `document.querySelectorAll("details").forEach(d => { d.open = true; }), true`)
			eval[bool](b, source+"; true")
			found, err := chromedp.Run(b.ctx, chromedp.Evaluate[[]violation](`axe.run(document, {resultTypes: ["violations"]}).then(r => r.violations.map(v =>
				({ID: v.id, Impact: v.impact, Help: v.help, Nodes: v.nodes.slice(0, 3).map(n => n.html.slice(0, 160) + " | " + n.failureSummary)})))`, chromedp.EvalAwaitPromise))
			if err != nil {
				t.Fatal(err)
			}
			for _, v := range found {
				t.Errorf("%s, %d px, %s: %s (%s): %s\n%q", name, look.width, look.scheme, v.ID, v.Impact, v.Help, v.Nodes)
			}
		}
	}
}
