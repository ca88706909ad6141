package journal

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"downlead/journal/record"
)

// The largest files kept: a clip is one phrase and a photograph one picture.
// Judgements, no source: 16 MiB are over eight minutes of 16 kHz mono sound.
const (
	maxClip  = 16 << 20
	maxPhoto = 32 << 20
)

// ErrGone says that a kept file is not there any more.
var ErrGone = errors.New("it is not kept any more")

// store is a folder of files named by the SHA-256 of what is in them.
type store struct {
	dir string
	max int64
}

func clipsOf(journal string) store  { return store{journal + "-clips", maxClip} }
func photosOf(journal string) store { return store{journal + "-photos", maxPhoto} }

// put keeps what r holds and returns its sum in hex. The file and its name
// are on the disk before put returns.
func (s store) put(r io.Reader) (string, error) {
	if err := s.makeDir(); err != nil {
		return "", err
	}
	f, err := os.CreateTemp(s.dir, ".new-*") // mode 0600
	if err != nil {
		return "", err
	}
	defer os.Remove(f.Name()) // gone already when all went well
	h := sha256.New()
	n, err := io.Copy(io.MultiWriter(f, h), io.LimitReader(r, s.max+1))
	if err == nil && n > s.max {
		err = fmt.Errorf("%w: at most %d MiB are", ErrTooLarge, s.max>>20)
	}
	if err == nil && n == 0 {
		err = errors.New("there is nothing in the file")
	}
	if err == nil {
		err = f.Sync()
	}
	if err := errors.Join(err, f.Close()); err != nil {
		return "", err
	}
	sum := sumOf(h)
	if err := os.Rename(f.Name(), s.path(sum)); err != nil {
		return "", err
	}
	return sum, syncPath(s.dir)
}

func (s store) makeDir() error {
	err := os.Mkdir(s.dir, 0o700)
	if errors.Is(err, fs.ErrExist) {
		return nil
	}
	if err != nil {
		return err
	}
	return syncPath(filepath.Dir(s.dir))
}

func (s store) path(sum string) string { return filepath.Join(s.dir, sum) }

// get returns a kept file, checked against its name.
func (s store) get(sum string) ([]byte, error) {
	if _, err := record.ParseHash(sum); err != nil {
		return nil, err // and no path is made of it
	}
	b, err := os.ReadFile(s.path(sum))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, ErrGone
	}
	if err != nil {
		return nil, err
	}
	if got := record.Hash(sha256.Sum256(b)); got.String() != sum {
		return nil, &DamageError{What: fmt.Sprintf("the file %s holds something else", s.path(sum))}
	}
	return b, nil
}

// has reports whether a file is kept, without reading it.
func (s store) has(sum string) (int64, bool) {
	if _, err := record.ParseHash(sum); err != nil {
		return 0, false
	}
	info, err := os.Lstat(s.path(sum))
	if err != nil || !info.Mode().IsRegular() {
		return 0, false
	}
	return info.Size(), true
}

// remove deletes files for good; those that are gone already do not matter.
func (s store) remove(sums []string) error {
	for _, sum := range sums {
		if err := os.Remove(s.path(sum)); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	if len(sums) == 0 {
		return nil
	}
	if err := syncPath(s.dir); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

// list returns the sums of the files kept, in order.
func (s store) list() ([]string, error) {
	entries, err := os.ReadDir(s.dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	var sums []string
	for _, e := range entries {
		if _, err := record.ParseHash(e.Name()); err == nil {
			sums = append(sums, e.Name())
		}
	}
	return sums, err
}

// copyTo puts every file into another store.
func (s store) copyTo(dst store) error {
	sums, err := s.list()
	if err != nil {
		return err
	}
	for _, sum := range sums {
		if err := copyFile(s, dst, sum); err != nil {
			return fmt.Errorf("copy %s: %w", s.path(sum), err)
		}
	}
	return nil
}

// moveTo gives the folder, where there is one, another name that must not
// exist yet.
func (s store) moveTo(dst store) (store, error) {
	err := renameNew(s.dir, dst.dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return s, nil
	case err != nil:
		return s, err
	}
	return dst, nil
}

// discard removes what was put into a store that did not become anything.
func (s store) discard() error {
	sums, err := s.list()
	if err == nil {
		err = s.remove(sums)
	}
	if err == nil {
		err = os.Remove(s.dir)
	}
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}

func copyFile(src, dst store, sum string) error {
	f, err := os.Open(src.path(sum))
	if errors.Is(err, fs.ErrNotExist) {
		return nil // purged meanwhile
	}
	if err != nil {
		return err
	}
	defer f.Close()
	got, err := dst.put(f)
	if err == nil && got != sum {
		// Kept as it is: the check of the copy will name the entry.
		err = dst.remove([]string{got})
	}
	return err
}

func sumOf(h hash.Hash) string { return record.Hash(h.Sum(nil)).String() }
