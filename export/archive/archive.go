package archive

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"downlead/export/closeout"
	"downlead/export/figure"
	"downlead/export/file"
	"downlead/export/pdf"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

// ManifestName is the archive's list of sums, in the form that the coreutils
// program sha256sum reads and checks.
const ManifestName = "SHA256SUMS"

// RecordsName holds the job's records, one a line.
const RecordsName = "records.jsonl"

// ArchiveInput is what goes into an archive folder besides the closeout's own forms.
type ArchiveInput struct {
	Closeout closeout.Closeout
	Records  []record.Record // of the job; left out of a redacted archive
	// Open opens a kept file (a photograph, a clip) by its hex SHA-256. Nil
	// means there are none to take along. A redacted archive takes none, and
	// no clip goes along where no consent was logged.
	Open  func(sha256 string) (io.ReadCloser, error)
	Paper pdf.Paper // of the document
	// Lacking is told the scripts that the document's fonts do not have.
	Lacking func(scripts []string)
}

type archivePart struct {
	name  string
	write func(io.Writer) error
}

// WriteArchive makes the folder dir with the closeout in every form, the
// records, photographs and clips, and the list of sums. It appears whole or
// not at all. Photographs and clips whose content does not have its sum are
// an error. By force it takes the place of an intact archive, and of nothing
// else.
func WriteArchive(ctx context.Context, dir string, in ArchiveInput, o file.FileOptions, p file.Progress) (err error) {
	if err := mayTake(ctx, dir, o); err != nil {
		return fmt.Errorf("write archive %s: %w", dir, err)
	}
	tmp, err := os.MkdirTemp(filepath.Dir(filepath.Clean(dir)), "."+filepath.Base(dir)+".*.part")
	if err != nil {
		return fmt.Errorf("write archive %s: %w", dir, err)
	}
	ours := true // and not an older archive, nor what was found in its place
	defer func() {
		if ours {
			os.RemoveAll(tmp)
		}
	}()
	parts := archiveParts(in)
	var sums []string
	for i, part := range parts {
		sum, err := writePart(ctx, tmp, part)
		if err != nil {
			return fmt.Errorf("write archive %s: %s: %w", dir, part.name, err)
		}
		sums = append(sums, sum+"  "+part.name+"\n")
		p.Tell(i+1, len(parts))
	}
	list := archivePart{ManifestName, func(w io.Writer) error {
		_, err := io.WriteString(w, strings.Join(sums, ""))
		return err
	}}
	if _, err := writePart(ctx, tmp, list); err != nil {
		return fmt.Errorf("write archive %s: %w", dir, err)
	}
	if ours, err = takeFolder(ctx, tmp, dir); err != nil {
		return fmt.Errorf("write archive %s: %w", dir, err)
	}
	return file.SyncFolder(filepath.Dir(filepath.Clean(dir)))
}

// mayTake reports that an archive may be written to dir: nothing is there, or
// by force an archive that is as it was written, so that nothing of anybody's
// is lost with it.
func mayTake(ctx context.Context, dir string, o file.FileOptions) error {
	info, err := os.Lstat(dir)
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	switch {
	case err != nil:
		return err
	case !o.Force:
		return file.ErrExists
	case !info.IsDir():
		return file.ErrOther
	}
	r, err := CheckArchive(ctx, dir)
	switch {
	case err != nil:
		return fmt.Errorf("%w (%w)", file.ErrOther, err)
	case !r.OK() || r.Job == "":
		return fmt.Errorf("%w (it was changed: %s)", file.ErrOther, strings.Join(r.Problems, "; "))
	}
	return nil
}

// takeFolder gives a finished folder its name. An older archive changes
// places with it in one step, is looked at once more where nobody expects it,
// and goes file by file, as listed.
//
// It reports whether what lies at tmp is still the new folder.
func takeFolder(ctx context.Context, tmp, dir string) (ours bool, err error) {
	err = file.Exchange(tmp, dir)
	if errors.Is(err, os.ErrNotExist) {
		return true, os.Rename(tmp, dir)
	}
	if err != nil {
		return true, err
	}
	if err := mayTake(ctx, tmp, file.FileOptions{Force: true}); err != nil {
		back := file.Exchange(tmp, dir)
		return back == nil, errors.Join(err, back)
	}
	return false, removeArchive(tmp)
}

// removeArchive removes the files that an archive lists, and the folders that
// are empty then.
func removeArchive(dir string) error {
	sums, err := readManifest(filepath.Join(dir, ManifestName))
	if err != nil {
		return err
	}
	folders := map[string]bool{}
	for _, s := range sums {
		name := filepath.FromSlash(s.name)
		if err := os.Remove(filepath.Join(dir, name)); err != nil {
			return err
		}
		for d := filepath.Dir(name); d != "."; d = filepath.Dir(d) {
			folders[d] = true
		}
	}
	if err := os.Remove(filepath.Join(dir, ManifestName)); err != nil {
		return err
	}
	for _, d := range slices.Backward(slices.Sorted(maps.Keys(folders))) {
		if err := os.Remove(filepath.Join(dir, d)); err != nil {
			return err
		}
	}
	return os.Remove(dir)
}

func writePart(ctx context.Context, dir string, part archivePart) (string, error) {
	path := filepath.Join(dir, filepath.FromSlash(part.name))
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return "", err
	}
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	if err := part.write(file.CtxWriter{Ctx: ctx, W: io.MultiWriter(f, h)}); err != nil {
		return "", err
	}
	if err := cmp.Or(ctx.Err(), f.Sync()); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), f.Close()
}

// archiveParts lists the files, in order of their names.
func archiveParts(in ArchiveInput) []archivePart {
	c := in.Closeout
	parts := []archivePart{
		{"closeout.json", c.JSON},
		{"closeout.pdf", func(w io.Writer) error {
			return pdf.WriteCloseout(c, w, pdf.Options{Paper: in.Paper, Photo: in.Open, Lacking: in.Lacking})
		}},
		{"closeout.csv", c.CSV},
		{"closeout.txt", c.Text},
		{"path.svg", func(w io.Writer) error { return figure.PathSVG(c, w) }},
		{"level.svg", func(w io.Writer) error { return figure.LevelSVG(c, w) }},
		{"closeout.schema.json", func(w io.Writer) error { _, err := io.WriteString(w, closeout.CloseoutSchemaJSON); return err }},
	}
	if !c.Redacted {
		if len(in.Records) > 0 {
			parts = append(parts, archivePart{RecordsName, func(w io.Writer) error { return writeRecords(w, in.Records) }})
		}
		parts = append(parts, keptParts(in)...)
	}
	listed := append(slices.Clone(parts), archivePart{name: ReadmeName})
	parts = append(parts, archivePart{ReadmeName, func(w io.Writer) error { return writeReadme(w, c, listed) }})
	for _, list := range [][]archivePart{parts, listed} {
		slices.SortFunc(list, func(a, b archivePart) int { return cmp.Compare(a.name, b.name) })
	}
	return parts
}

func keptParts(in ArchiveInput) []archivePart {
	if in.Open == nil {
		return nil
	}
	var parts []archivePart
	seen := map[string]bool{}
	add := func(name, sum string) {
		if !seen[sum] {
			seen[sum] = true
			parts = append(parts, archivePart{name, func(w io.Writer) error { return copyKept(w, in.Open, sum) }})
		}
	}
	for _, p := range in.Closeout.Photographs {
		add(fmt.Sprintf("photographs/%d-%s", p.Entry, safeName(p.Name)), p.SHA256)
	}
	purged, consent := map[string]bool{}, false
	for _, r := range in.Records {
		switch e := r.Entry.(type) {
		case entry.Purge:
			purged[e.Clip] = true
		case entry.Consent:
			consent = consent || e.Given
		}
	}
	if !consent {
		return parts // sound that nobody agreed to does not travel
	}
	for _, r := range in.Records {
		if r.Clip != "" && !purged[r.Clip] {
			add(fmt.Sprintf("clips/%d.wav", r.Seq), r.Clip)
		}
	}
	return parts
}

// copyKept copies a kept file and compares it with the sum it is kept by.
func copyKept(w io.Writer, open func(string) (io.ReadCloser, error), sum string) error {
	f, err := open(sum)
	if err != nil {
		return err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(io.MultiWriter(w, h), f); err != nil {
		return err
	}
	if got := hex.EncodeToString(h.Sum(nil)); got != sum {
		return fmt.Errorf("the kept file has changed: its sum is %s, the journal says %s", got, sum)
	}
	return nil
}

// safeName keeps letters, digits, dot, dash and underscore of a file name.
func safeName(name string) string {
	name = filepath.Base(filepath.FromSlash(strings.ReplaceAll(name, `\`, "/")))
	safe := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '.', r == '-', r == '_':
			return r
		}
		return '_'
	}, name)
	if len(safe) > 80 {
		safe = safe[len(safe)-80:]
	}
	return strings.TrimLeft(safe, ".")
}

// ArchiveRecord is a line of records.jsonl. Body is the record's canonical
// text, byte for byte: Hash = SHA-256(Prev || Body).
type ArchiveRecord struct {
	Body json.RawMessage `json:"body"`
	Prev record.Hash     `json:"prev"`
	Hash record.Hash     `json:"hash"`
}

// Sum is what the hash must be.
func (r ArchiveRecord) Sum() record.Hash {
	return sha256.Sum256(append(r.Prev[:], r.Body...))
}

// writeRecords writes one record a line. A record that its hash does not fit
// is an error: it did not come from an intact journal.
func writeRecords(w io.Writer, records []record.Record) error {
	for _, r := range records {
		body, err := journal.Canonical(r)
		if err != nil {
			return fmt.Errorf("record %d: %w", r.Seq, err)
		}
		a := ArchiveRecord{Body: body, Prev: r.Prev, Hash: r.Hash}
		if a.Sum() != r.Hash {
			return fmt.Errorf("record %d does not fit its hash: verify the journal", r.Seq)
		}
		// By hand, as the encoder may escape letters of the body.
		if _, err := fmt.Fprintf(w, "{\"body\":%s,\"prev\":\"%s\",\"hash\":\"%s\"}\n", body, r.Prev, r.Hash); err != nil {
			return err
		}
	}
	return nil
}
