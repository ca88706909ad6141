package office

import (
	"context"
	"crypto/rand"
	"fmt"
	"io"
	"time"

	"downlead/export/closeout"
	"downlead/export/file"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"

	"github.com/google/uuid"
	"github.com/parquet-go/parquet-go"
)

// line is a row of a Parquet file: a line of a job's record, with whose it is.
// Its columns carry logical types (Parquet format, LogicalTypes.md): UUID,
// timestamps in UTC beside the wall clock's, and decimals of 18 digits, exact.
type line struct {
	Journal        uuid.UUID `parquet:"journal_id,uuid"`
	Technician     string    `parquet:"technician,dict"`
	Job            string    `parquet:"job,dict"`
	Visit          int32     `parquet:"visit_no"`
	Line           int32     `parquet:"line_no"`
	Section        string    `parquet:"section,dict"`
	Entry          *int64    `parquet:"entry_no,optional"`
	Logged         *int64    `parquet:"logged_at,optional,timestamp(millisecond:utc)"`
	LoggedLocal    *int64    `parquet:"logged_local,optional,timestamp(millisecond:local)"`
	Zone           string    `parquet:"time_zone,dict"`
	Subject        string    `parquet:"subject,dict"`
	Verdict        string    `parquet:"verdict,dict"`
	Level          *int64    `parquet:"level_dbm,optional,decimal(6:18)"`
	LevelMargin    *int64    `parquet:"level_margin_db,optional,decimal(6:18)"`
	Strength       *int64    `parquet:"strength,optional,decimal(6:18)"`
	StrengthMargin *int64    `parquet:"strength_margin,optional,decimal(6:18)"`
	MER            *int64    `parquet:"mer_db,optional,decimal(6:18)"`
	Volts          *int64    `parquet:"volts,optional,decimal(6:18)"`
	Slot           *int32    `parquet:"slot,optional"`
	Transponder    *int32    `parquet:"transponder,optional"`
	Polarity       string    `parquet:"polarity,dict"`
	Quantity       *int64    `parquet:"quantity,optional,decimal(6:18)"`
	LengthFt       *int64    `parquet:"length_ft,optional,decimal(6:18)"`
	Minutes        *int64    `parquet:"minutes,optional,decimal(6:18)"`
	Wording        string    `parquet:"wording"`
}

// ParquetForm names the form of the file in its metadata.
const ParquetForm = "downlead/lines/2"

// Parquet writes jobs as lines into one Parquet file.
type Parquet struct {
	out *parquet.GenericWriter[line]
	key salt // nil: nothing is redacted
}

// NewParquet begins a file; Close ends it. Redacted, it has no names, addresses
// and free words; the tags in their place are equal within the file alone.
func NewParquet(w io.Writer, redact bool) *Parquet {
	p := &Parquet{out: parquet.NewGenericWriter[line](w, parquet.Compression(&parquet.Snappy), parquet.KeyValueMetadata("form", ParquetForm))}
	if redact {
		p.key = make(salt, 32)
		_, _ = rand.Read(p.key) // never fails: crypto/rand
	}
	return p
}

// WriteAll adds the lines of every job of every journal, each journal's in order
// of job number, and tells how many of all entries are in.
func (p *Parquet) WriteAll(ctx context.Context, all *Journals, told file.Progress) error {
	return all.Each(func(id string, j *journal.Journal) error {
		_, count, err := j.Head(ctx)
		if err != nil {
			return err
		}
		owner, err := j.LastTechnician(ctx)
		if err != nil {
			return err
		}
		type part struct {
			lines   []line
			entries int
		}
		done := 0
		return journal.FoldEach(ctx, j, time.Time{}, time.Time{}, func(_ string, records []record.Record) (part, error) {
			job, err := plainJob(id, records).withVisits(records)
			if err != nil {
				return part{}, err
			}
			lines, err := p.lines(job.owned(owner))
			return part{lines, len(records)}, err
		}, func(made part) error {
			if err := p.write(made.lines); err != nil {
				return err
			}
			if done += made.entries; told != nil {
				told(done, max(done, int(count)))
			}
			return nil
		})
	})
}

// lines are a job's rows as they go into the file.
func (p *Parquet) lines(j Job) ([]line, error) {
	if p.key != nil {
		var err error
		if j, err = j.redact(p.key); err != nil {
			return nil, err
		}
	}
	return j.lines()
}

func (p *Parquet) write(lines []line) error {
	if _, err := p.out.Write(lines); err != nil {
		return fmt.Errorf("write parquet: %w", err)
	}
	return nil
}

// Close writes the file's end.
func (p *Parquet) Close() error {
	if err := p.out.Close(); err != nil {
		return fmt.Errorf("write parquet: %w", err)
	}
	return nil
}

// lines are the rows of a job's visits. A later visit's record holds what the
// earlier ones logged: that is left to the visit it was logged in.
func (j Job) lines() ([]line, error) {
	id, err := uuid.Parse(j.Journal)
	if err != nil {
		return nil, fmt.Errorf("the journal's identity %q is no UUID: %w", j.Journal, err)
	}
	type place struct {
		section string
		entry   int64
	}
	var out []line
	seen := map[place]bool{}
	for i, v := range j.Visits {
		for _, r := range v.Closeout.Rows() {
			at := place{r.Section, r.Entry}
			if r.Entry != 0 && seen[at] || r.Entry == 0 && r.Section != "duration" && i < len(j.Visits)-1 {
				continue
			}
			seen[at] = true
			l := rowLine(r)
			l.Journal, l.Technician, l.Job, l.Visit, l.Line = id, clean(j.Technician), clean(j.Number), int32(v.N), int32(len(out)+1)
			out = append(out, l)
		}
	}
	return out, nil
}

func rowLine(r closeout.Row) line {
	l := line{
		Section: r.Section, Entry: maybe(r.Entry), Subject: clean(r.Name), Verdict: r.Verdict, Polarity: clean(r.Polarity), Wording: clean(r.Text),
		Level: micros(r.Level), LevelMargin: micros(r.LevelMargin), Strength: micros(r.Strength), StrengthMargin: micros(r.StrengthMargin),
		MER: micros(r.MER), Volts: micros(r.Volts), Slot: maybe(int32(r.Slot)), Transponder: maybe(int32(r.Transponder)),
		Quantity: micros(r.Quantity), LengthFt: micros(r.LengthFt), Minutes: micros(r.Minutes),
	}
	if !r.At.IsZero() {
		_, offset := r.At.Zone()
		utc := r.At.UnixMilli()
		wall := utc + int64(time.Duration(offset)*time.Second/time.Millisecond)
		l.Logged, l.LoggedLocal, l.Zone = &utc, &wall, zoneName(r.At)
	}
	return l
}

// micros is an exact decimal of scale 6.
func micros(d entry.Decimal) *int64 {
	if !d.Said() {
		return nil
	}
	n := d.Micro()
	return &n
}

func maybe[N int32 | int64](n N) *N {
	if n == 0 {
		return nil
	}
	return &n
}
