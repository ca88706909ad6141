package journal

import (
	"context"
	"fmt"
	"io"

	"downlead/grammar/entry"
	"downlead/journal/record"
)

// Clip is recorded sound as the journal knows it.
type Clip struct {
	Sum     string  `json:"clip"` // hex SHA-256
	Job     string  `json:"job"`
	Entries []int64 `json:"entries"` // the records that name it
	Bytes   int64   `json:"bytes"`   // 0 when it is gone
	Purged  bool    `json:"purged"`
}

// ConsentGiven reports whether the last consent of a job, as it counts now,
// allows sound to be kept. Where it is in doubt that consent was taken back,
// none is kept.
func ConsentGiven(records []record.Record) bool {
	given := false
	for _, v := range record.View(records) {
		c, ok := v.Entry.(entry.Consent)
		if ok && v.SupersededBy == 0 && (!v.Unconfirmed || !c.Given) {
			given = c.Given
		}
	}
	return given
}

// PutClip keeps the sound of a phrase of a job and returns its sum for
// Draft.Clip. It is on the disk when PutClip returns, so that no entry names
// sound that is not there. Errors: ErrNoJob, ErrNoConsent, ErrTooLarge, ErrReadOnly.
func (j *Journal) PutClip(ctx context.Context, job string, sound io.Reader) (string, error) {
	if j.writer == nil {
		return "", fmt.Errorf("keep a clip: %w: the journal was opened to read", ErrReadOnly)
	}
	records, err := j.Job(ctx, job)
	if err != nil {
		return "", fmt.Errorf("keep a clip: %w", err)
	}
	if !ConsentGiven(records) {
		return "", fmt.Errorf("keep a clip of job %s: %w", job, ErrNoConsent)
	}
	sum, err := j.clips.put(sound)
	if err != nil {
		return "", fmt.Errorf("keep a clip: %w", err)
	}
	return sum, nil
}

// Clip returns kept sound, checked against its sum; ErrGone when it was purged.
func (j *Journal) Clip(sum string) ([]byte, error) {
	b, err := j.clips.get(sum)
	if err != nil {
		return nil, fmt.Errorf("clip %s: %w", sum, err)
	}
	return b, nil
}

// PutPhoto keeps a photograph and returns its sum for grammar.Photo.
func (j *Journal) PutPhoto(picture io.Reader) (string, error) {
	if j.writer == nil {
		return "", fmt.Errorf("keep a photograph: %w: the journal was opened to read", ErrReadOnly)
	}
	sum, err := j.photos.put(picture)
	if err != nil {
		return "", fmt.Errorf("keep a photograph: %w", err)
	}
	return sum, nil
}

// Photo returns a kept photograph, checked against its sum.
func (j *Journal) Photo(sum string) ([]byte, error) {
	b, err := j.photos.get(sum)
	if err != nil {
		return nil, fmt.Errorf("photograph %s: %w", sum, err)
	}
	return b, nil
}

// Clips returns the sound that a job's records name, or with "" all there is,
// in order of first mention.
func (j *Journal) Clips(ctx context.Context, job string) ([]Clip, error) {
	rows, err := j.readers.QueryContext(ctx, `
		SELECT clip, seq, job, EXISTS (
			SELECT 1 FROM record p WHERE p.kind = 'purge' AND p.seq > r.seq
			AND json_extract(p.body, '$.entry.entry') = r.seq)
		FROM record r WHERE clip IS NOT NULL AND (?1 = '' OR job = ?1) ORDER BY seq`, job)
	if err != nil {
		return nil, explain(err)
	}
	defer rows.Close()
	var list []Clip
	index := map[string]int{}
	for rows.Next() {
		var c Clip
		var seq int64
		if err := rows.Scan(&c.Sum, &seq, &c.Job, &c.Purged); err != nil {
			return nil, explain(err)
		}
		i, known := index[c.Sum]
		if !known {
			i = len(list)
			index[c.Sum] = i
			c.Bytes, _ = j.clips.has(c.Sum)
			list = append(list, c)
		}
		list[i].Entries = append(list[i].Entries, seq)
		list[i].Purged = list[i].Purged && c.Purged
	}
	return list, explain(rows.Err())
}

// Purge deletes sound for good. The entries that name it stay, and for each
// of them a record says that its sound is gone; stamp gives the time and
// origin of these records. Sound that no entry names is just deleted. The
// records come first: should the deletion be cut short, purging again ends it.
func (j *Journal) Purge(ctx context.Context, stamp record.Draft, sums ...string) ([]record.Record, error) {
	if j.writer == nil {
		return nil, fmt.Errorf("purge clips: %w: the journal was opened to read", ErrReadOnly)
	}
	var drafts []record.Draft
	for _, sum := range sums {
		if _, err := record.ParseHash(sum); err != nil {
			return nil, fmt.Errorf("purge clips: %w", err)
		}
		more, err := j.purgeDrafts(ctx, stamp, sum)
		if err != nil {
			return nil, fmt.Errorf("purge clips: %w", err)
		}
		drafts = append(drafts, more...)
	}
	records, err := j.Append(ctx, drafts...)
	if err != nil {
		return nil, err
	}
	if err := j.clips.remove(sums); err != nil {
		return records, fmt.Errorf("purge clips: %w; purge again", err)
	}
	return records, nil
}

func (j *Journal) purgeDrafts(ctx context.Context, stamp record.Draft, sum string) ([]record.Draft, error) {
	rows, err := j.readers.QueryContext(ctx, `
		SELECT seq, job FROM record r WHERE clip = ? AND NOT EXISTS (
			SELECT 1 FROM record p WHERE p.kind = 'purge' AND p.seq > r.seq
			AND json_extract(p.body, '$.entry.entry') = r.seq) ORDER BY seq`, sum)
	if err != nil {
		return nil, explain(err)
	}
	defer rows.Close()
	var drafts []record.Draft
	for rows.Next() {
		d := stamp
		var seq int64
		if err := rows.Scan(&seq, &d.Job); err != nil {
			return nil, explain(err)
		}
		d.Clip, d.Entry = "", entry.Purge{Entry: seq, Clip: sum}
		drafts = append(drafts, d)
	}
	return drafts, explain(rows.Err())
}

// admitFile checks that the files a draft names are kept.
func (j *Journal) admitFile(d *record.Draft) error {
	if _, kept := j.clips.has(d.Clip); d.Clip != "" && !kept {
		return fmt.Errorf("the clip %q is not kept: put it before its entry", d.Clip)
	}
	if p, ok := d.Entry.(entry.Photo); ok {
		if _, kept := j.photos.has(p.SHA256); !kept {
			return fmt.Errorf("the photograph %q is not kept: put it before its entry", p.SHA256)
		}
	}
	return nil
}
