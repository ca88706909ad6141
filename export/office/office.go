package office

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/big"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgtype"

	"downlead/export/closeout"
	"downlead/export/file"
	"downlead/grammar/entry"
)

// ErrNewerOffice is returned for a database that a newer version has made.
var ErrNewerOffice = errors.New("the database was made by a newer version: update this program")

// Office is a PostgreSQL database where the closeouts of a team meet. It
// holds two tables in the schema "downlead": closeouts, one row each with the
// whole JSON document, and lines, the rows of Closeout.Rows; and the view
// latest, the newest closeout of every job.
type Office struct{ Conn *pgx.Conn }

// officeMigrations are the versions of the schema, in order; only ever added to.
func officeMigrations() []string {
	return []string{`
CREATE TABLE downlead.closeouts (
  head        text        NOT NULL CHECK (head ~ '^[0-9a-f]{64}$'),
  job         text        NOT NULL,
  records     bigint      NOT NULL,
  as_of       timestamptz NOT NULL,
  product     text        NOT NULL,
  outcome     text        NOT NULL,
  complete    boolean     NOT NULL,
  redacted    boolean     NOT NULL,
  address     text        NOT NULL,
  opened      timestamptz,
  closed      timestamptz,
  document    jsonb       NOT NULL,
  stored      timestamptz NOT NULL DEFAULT now(),
  PRIMARY KEY (head, job)
);
CREATE INDEX closeouts_job ON downlead.closeouts (job, records DESC);
CREATE INDEX closeouts_closed ON downlead.closeouts (closed);
CREATE TABLE downlead.lines (
  head        text    NOT NULL,
  job         text    NOT NULL,
  line        integer NOT NULL,
  section     text    NOT NULL,
  entry       bigint,
  at          timestamptz,
  name        text    NOT NULL,
  verdict     text    NOT NULL,
  level_dbm   numeric, level_margin_db numeric, strength numeric, strength_margin numeric, mer_db numeric, volts numeric,
  slot        integer, transponder integer, polarity text NOT NULL,
  quantity    numeric, length_ft numeric, minutes numeric,
  text        text    NOT NULL,
  PRIMARY KEY (head, job, line),
  FOREIGN KEY (head, job) REFERENCES downlead.closeouts ON DELETE CASCADE
);
CREATE INDEX lines_section ON downlead.lines (section, name);
CREATE VIEW downlead.latest AS
  SELECT DISTINCT ON (job) * FROM downlead.closeouts ORDER BY job, as_of DESC, records DESC;
`}
}

// officeLock is the key of the advisory lock under which the schema is made:
// the letters "dldl".
const officeLock = 0x646c646c

// officePatience is how long a server may take to answer unless the address
// says otherwise (connect_timeout).
const officePatience = 10 * time.Second

// OpenOffice connects to a server ("postgres://user@host/name", or a libpq
// keyword string) and makes or updates the schema.
func OpenOffice(ctx context.Context, url string) (*Office, error) {
	config, err := pgx.ParseConfig(url)
	if err != nil {
		return nil, fmt.Errorf("office database: the address cannot be read: write it as \"postgres://user@host/name\": %w", err)
	}
	if config.ConnectTimeout == 0 {
		config.ConnectTimeout = officePatience
	}
	conn, err := pgx.ConnectConfig(ctx, config)
	if err != nil {
		return nil, fmt.Errorf("office database: no answer from %s port %d: check that the server runs and the address is right: %w", config.Host, config.Port, err)
	}
	o := &Office{Conn: conn}
	if err := o.migrate(ctx); err != nil {
		return nil, errors.Join(fmt.Errorf("office database: %w", err), o.Close(ctx))
	}
	return o, nil
}

// Close ends the connection.
func (o *Office) Close(ctx context.Context) error { return o.Conn.Close(ctx) }

func (o *Office) migrate(ctx context.Context) error {
	return pgx.BeginFunc(ctx, o.Conn, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, "SELECT pg_advisory_xact_lock($1)", officeLock); err != nil {
			return err
		}
		if _, err := tx.Exec(ctx, "CREATE SCHEMA IF NOT EXISTS downlead; CREATE TABLE IF NOT EXISTS downlead.version (version integer NOT NULL)"); err != nil {
			return hint(err)
		}
		var version int
		if err := tx.QueryRow(ctx, "SELECT coalesce(max(version), 0) FROM downlead.version").Scan(&version); err != nil {
			return hint(err)
		}
		steps := officeMigrations()
		if version > len(steps) {
			return fmt.Errorf("its schema is version %d, this program knows %d: %w", version, len(steps), ErrNewerOffice)
		}
		for i, sql := range steps[version:] {
			if _, err := tx.Exec(ctx, sql); err != nil {
				return fmt.Errorf("make version %d of the schema: %w", version+i+1, hint(err))
			}
			if _, err := tx.Exec(ctx, "INSERT INTO downlead.version VALUES ($1)", version+i+1); err != nil {
				return err
			}
		}
		return nil
	})
}

// hint says what to do about refusals that have one remedy.
func hint(err error) error {
	var pg *pgconn.PgError
	if !errors.As(err, &pg) {
		return err
	}
	switch pg.Code { // PostgreSQL manual, appendix A
	case "42501":
		return fmt.Errorf("the user may not do that: have the server's owner grant it CREATE on the database, and the schema downlead: %w", err)
	case "53100":
		return fmt.Errorf("the server's disk is full: %w", err)
	case "25006":
		return fmt.Errorf("the server is read-only: %w", err)
	}
	return err
}

// Put stores a closeout with its lines, in one transaction. A closeout with
// the same job and head is there already: then nothing changes, and added is
// false.
func (o *Office) Put(ctx context.Context, c closeout.Closeout) (added bool, err error) {
	doc, err := json.Marshal(c)
	if err != nil {
		return false, fmt.Errorf("office database: job %s: %w", c.Job, err)
	}
	err = pgx.BeginFunc(ctx, o.Conn, func(tx pgx.Tx) error {
		tag, err := tx.Exec(ctx, `INSERT INTO downlead.closeouts
			(head, job, records, as_of, product, outcome, complete, redacted, address, opened, closed, document)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12) ON CONFLICT (head, job) DO NOTHING`,
			c.Journal.Head, clean(c.Job), c.Journal.Count, c.AsOf, c.Product, string(c.Outcome), c.Complete, c.Redacted, clean(c.Site.Address), c.Opened, c.Closed, Jsonb(doc))
		if err != nil {
			return err
		}
		if added = tag.RowsAffected() == 1; !added {
			return nil
		}
		rows := c.Rows()
		_, err = tx.CopyFrom(ctx, pgx.Identifier{"downlead", "lines"}, LineColumns(), pgx.CopyFromSlice(len(rows), func(i int) ([]any, error) {
			return append([]any{c.Journal.Head}, values(rows[i])...), nil
		}))
		return err
	})
	if err != nil {
		return false, fmt.Errorf("office database: job %s: %w", c.Job, hint(err))
	}
	return added, nil
}

// PutAll stores closeouts one after another and says how many were new. It
// stops at the first error; those before it are stored whole.
func (o *Office) PutAll(ctx context.Context, all []closeout.Closeout, p file.Progress) (added int, err error) {
	for i, c := range all {
		is, err := o.Put(ctx, c)
		if err != nil {
			return added, err
		}
		if is {
			added++
		}
		p.Tell(i+1, len(all))
	}
	return added, nil
}

// LineColumns are the names of the columns of downlead.lines: the head, then
// those of a Row.
func LineColumns() []string {
	names := []string{"head"}
	for _, c := range closeout.RowColumns[:len(closeout.RowColumns)-2] { // without technician and journal
		names = append(names, c.Name)
	}
	return names
}

// values returns a row's cells for the database, in the order of rowColumns.
func values(r closeout.Row) []any {
	return []any{
		clean(r.Job), int32(r.Line), r.Section, nullInt(r.Entry), nullTime(r.At), clean(r.Name), clean(r.Verdict),
		numeric(r.Level), numeric(r.LevelMargin), numeric(r.Strength), numeric(r.StrengthMargin), numeric(r.MER), numeric(r.Volts),
		nullInt32(r.Slot), nullInt32(r.Transponder), clean(r.Polarity), numeric(r.Quantity), numeric(r.LengthFt), numeric(r.Minutes), clean(r.Text),
	}
}

// Jsonb replaces the escape of NUL, which the server's jsonb refuses, by a space.
func Jsonb(doc []byte) string {
	out := make([]byte, 0, len(doc))
	for i := 0; i < len(doc); i++ {
		if doc[i] != '\\' {
			out = append(out, doc[i])
			continue
		}
		if bytes.HasPrefix(doc[i:], []byte(`\u0000`)) {
			out = append(out, ' ')
			i += 5
			continue
		}
		out = append(out, doc[i], doc[i+1]) // an escape has at least two bytes
		i++
	}
	return string(out)
}

func nullInt(n int64) any {
	if n == 0 {
		return nil
	}
	return n
}

func nullInt32(n int) any {
	if n == 0 {
		return nil
	}
	return int32(n)
}

func nullTime(t time.Time) any {
	if t.IsZero() {
		return nil
	}
	return t
}

// numeric keeps a decimal exact.
func numeric(d entry.Decimal) any {
	if !d.Said() {
		return nil
	}
	return pgtype.Numeric{Int: big.NewInt(d.Micro()), Exp: -6, Valid: true}
}
