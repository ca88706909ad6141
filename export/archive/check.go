package archive

import (
	"bufio"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"downlead/export/closeout"
	"downlead/export/file"
	"downlead/journal/record"
)

// ArchiveReport is what CheckArchive found.
type ArchiveReport struct {
	Job      string             `json:"job"`
	Journal  closeout.ChainHead `json:"journal"` // as printed in the closeout, to compare with the journal
	Files    int                `json:"files"`   // listed and intact
	Records  int                `json:"records"` // of the journal, each fitting its hash
	Problems []string           `json:"problems"`

	// Proven reports that a head handed in is the end of an unbroken chain
	// that holds every record of the archive. Without it the archive only fits
	// itself: whoever changed all of it would not be found out.
	Proven bool `json:"proven"`

	last     ArchiveRecord // of the records
	lastSeq  int64
	unbroken bool // no entry of another job lies between the records
}

// ErrArchive says that an archive was changed.
var ErrArchive = errors.New("the archive is not intact")

// Against compares the archive with a head and a count that were printed and
// kept elsewhere; a zero value means that none was handed in.
func (r *ArchiveReport) Against(head record.Hash, count int64) {
	if head == (record.Hash{}) && count == 0 {
		return
	}
	if head != (record.Hash{}) && r.Journal.Head != head.String() {
		r.Problems = append(r.Problems, "the closeout carries another head than the one handed in: "+r.Journal.Head)
	}
	if count != 0 && r.Journal.Count != count {
		r.Problems = append(r.Problems, fmt.Sprintf("the closeout counts %d entries, not the %d handed in", r.Journal.Count, count))
	}
	if r.lastSeq == r.Journal.Count && r.Records > 0 && r.last.Hash.String() != r.Journal.Head {
		r.Problems = append(r.Problems, RecordsName+": its last record is not the head that the closeout carries")
	}
	r.Proven = head != (record.Hash{}) && len(r.Problems) == 0 && r.unbroken && r.lastSeq == r.Journal.Count
}

// OK reports that every file is there, intact, and listed.
func (r ArchiveReport) OK() bool { return len(r.Problems) == 0 }

// CheckArchive compares an archive folder with its list of sums, with nothing
// but the folder at hand: files that changed, are missing, or were added are
// problems of the report. An error means that there was nothing to check.
func CheckArchive(ctx context.Context, dir string) (ArchiveReport, error) {
	r := ArchiveReport{Problems: []string{}}
	sums, err := readManifest(filepath.Join(dir, ManifestName))
	if err != nil {
		return r, fmt.Errorf("check archive %s: %w", dir, err)
	}
	seen := map[string]bool{ManifestName: true}
	for _, s := range sums {
		if err := ctx.Err(); err != nil {
			return r, err
		}
		seen[s.name] = true
		if err := checkPart(dir, s); err != nil {
			r.Problems = append(r.Problems, s.name+": "+err.Error())
			continue
		}
		r.Files++
	}
	err = filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		name, err := filepath.Rel(dir, path)
		if name = filepath.ToSlash(name); err == nil && !seen[name] {
			r.Problems = append(r.Problems, name+": it is not in the list of sums")
		}
		return err
	})
	if err != nil {
		return r, fmt.Errorf("check archive %s: %w", dir, err)
	}
	if seen[RecordsName] {
		r.checkRecords(filepath.Join(dir, RecordsName))
	}
	f, err := file.OpenPlain(filepath.Join(dir, "closeout.json"))
	if err != nil {
		return r, nil // already among the problems
	}
	defer f.Close()
	c, err := closeout.ReadCloseout(f)
	if err != nil {
		r.Problems = append(r.Problems, "closeout.json: "+err.Error())
		return r, nil
	}
	r.Job, r.Journal = c.Job, c.Journal
	return r, nil
}

// checkRecords recomputes the hash of every record, and where two follow each
// other in the journal, that the one names the other.
func (r *ArchiveReport) checkRecords(path string) {
	problem := func(format string, args ...any) {
		r.Problems = append(r.Problems, RecordsName+": "+fmt.Sprintf(format, args...))
	}
	f, err := file.OpenPlain(path)
	if err != nil {
		return // already among the problems
	}
	defer f.Close()
	r.unbroken = true
	lines := json.NewDecoder(f)
	var seq int64
	var last ArchiveRecord
	for n := 1; ; n++ {
		var rec ArchiveRecord
		var body struct {
			Seq int64 `json:"seq"`
		}
		err := lines.Decode(&rec)
		if errors.Is(err, io.EOF) {
			return
		}
		if err == nil {
			err = json.Unmarshal(rec.Body, &body)
		}
		switch {
		case err != nil:
			problem("line %d is no record: %v", n, err)
			return
		case rec.Sum() != rec.Hash:
			problem("record %d does not fit its hash", body.Seq)
		case body.Seq <= seq:
			problem("record %d stands after record %d", body.Seq, seq)
		case body.Seq == seq+1 && n > 1 && rec.Prev != last.Hash:
			problem("record %d does not follow record %d", body.Seq, seq)
		default:
			r.Records++
		}
		r.unbroken = r.unbroken && (n == 1 || body.Seq == seq+1)
		seq, last = body.Seq, rec
		r.lastSeq, r.last = seq, last
	}
}

type manifestLine struct{ sum, name string }

// readManifest reads the list of sums. A name that leads out of the folder,
// or stands twice, is an error.
func readManifest(path string) ([]manifestLine, error) {
	f, err := file.OpenPlain(path)
	if errors.Is(err, os.ErrNotExist) {
		return nil, fmt.Errorf("there is no %s: this is not an archive folder", ManifestName)
	}
	if err != nil {
		return nil, err
	}
	defer f.Close()
	var lines []manifestLine
	in := bufio.NewScanner(f)
	for n := 1; in.Scan(); n++ {
		sum, name, ok := strings.Cut(in.Text(), "  ")
		raw, err := hex.DecodeString(sum)
		if !ok || err != nil || len(raw) != sha256.Size {
			return nil, fmt.Errorf("%s line %d is not a sum and a name", ManifestName, n)
		}
		if !filepath.IsLocal(filepath.FromSlash(name)) {
			return nil, fmt.Errorf("%s line %d names a file outside the folder", ManifestName, n)
		}
		if slices.ContainsFunc(lines, func(l manifestLine) bool { return l.name == name }) {
			return nil, fmt.Errorf("%s line %d names %s again", ManifestName, n, name)
		}
		lines = append(lines, manifestLine{strings.ToLower(sum), name})
	}
	if err := in.Err(); err != nil {
		return nil, fmt.Errorf("%s: %w", ManifestName, err)
	}
	if len(lines) == 0 {
		return nil, fmt.Errorf("%s lists no file", ManifestName)
	}
	return lines, nil
}

func checkPart(dir string, s manifestLine) error {
	path := filepath.Join(dir, filepath.FromSlash(s.name))
	f, err := file.OpenPlain(path)
	if errors.Is(err, os.ErrNotExist) {
		return errors.New("it is missing")
	}
	if err != nil {
		return err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return err
	}
	if hex.EncodeToString(h.Sum(nil)) != s.sum {
		return errors.New("its content has changed")
	}
	return nil
}
