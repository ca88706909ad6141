// Package axe gives the tests of the pages axe-core, which judges whether a
// page can be used by everybody. It is no part of the program.
package axe

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
)

// version is the release of axe-core that judges the pages.
const version = "4.14.1"

// Source returns the source of axe-core, fetched once with npm into the user's
// cache. It is not part of the project.
func Source(t testing.TB) string {
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
	pack := filepath.Join(dir, "axe-core-"+version+".tgz")
	if _, err := os.Stat(pack); err != nil {
		if err := os.MkdirAll(dir, 0o700); err != nil {
			t.Fatal(err)
		}
		if out, err := exec.Command(npm, "pack", "--silent", "--pack-destination", dir, "axe-core@"+version).CombinedOutput(); err != nil {
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
