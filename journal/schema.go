package journal

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// applicationID marks a SQLite file as a journal of this program: "DLJ1", at
// byte 68 of the file (SQLite file format, section 1.3.17).
const applicationID = 0x444C4A31

// migrations are the steps from one version of the schema to the next; the
// version is the number of steps done, kept in user_version. Released steps
// are never edited: add one at the end, and an old file to testdata. A new kind
// of entry is a new version too, with a step that does nothing, so that a
// program which cannot read it says that the journal is newer.
var migrations = []string{version1, version2}

// version1: record is the journal itself and is only ever added to. job and
// word are drawn from it so that lists and searches are quick; verify draws
// them again and compares.
const version1 = `
CREATE TABLE record (
	seq  INTEGER PRIMARY KEY CHECK (seq > 0),
	job  TEXT NOT NULL,
	kind TEXT NOT NULL,
	clip TEXT CHECK (length(clip) = 64),
	body TEXT NOT NULL,
	hash BLOB NOT NULL CHECK (length(hash) = 32)
) STRICT;
CREATE INDEX record_job ON record (job, seq);
CREATE INDEX record_kind ON record (kind, seq) WHERE kind IN ('closeout', 'purge', 'photo', 'job', 'site', 'consent');
CREATE INDEX record_clip ON record (clip, seq) WHERE clip IS NOT NULL;
CREATE TRIGGER record_insert BEFORE INSERT ON record
WHEN NEW.seq IS NOT (SELECT coalesce(max(seq), 0) + 1 FROM record)
BEGIN
	SELECT raise(ABORT, 'the journal is append-only: a record comes after the last one');
END;
CREATE TRIGGER record_update BEFORE UPDATE ON record
BEGIN
	SELECT raise(ABORT, 'the journal is append-only: a record is never changed');
END;
CREATE TRIGGER record_delete BEFORE DELETE ON record
BEGIN
	SELECT raise(ABORT, 'the journal is append-only: a record is never deleted');
END;
CREATE TABLE job (
	number   TEXT PRIMARY KEY,
	start    INTEGER NOT NULL,
	turn     INTEGER NOT NULL,
	open     INTEGER NOT NULL CHECK (open IN (0, 1)),
	opened   INTEGER NOT NULL,
	closed   INTEGER,
	site     TEXT NOT NULL,
	site_key TEXT NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX job_start ON job (start);
CREATE INDEX job_turn ON job (turn) WHERE open = 1;
CREATE INDEX job_site ON job (site_key, start) WHERE site_key <> '';
CREATE TABLE word (
	word TEXT NOT NULL,
	job  TEXT NOT NULL,
	PRIMARY KEY (word, job)
) STRICT, WITHOUT ROWID;
PRAGMA application_id = 0x444C4A31;
`

// errMigrated stops a migration that another process has done meanwhile.
var errMigrated = errors.New("already migrated")

// migrate brings the schema to the newest version, one transaction a step.
func migrate(ctx context.Context, db *sql.DB) error {
	for {
		v, err := userVersion(ctx, db)
		if err != nil {
			return err
		}
		if v >= len(migrations) {
			return nil
		}
		if err := migrateStep(ctx, db, v); err != nil && !errors.Is(err, errMigrated) {
			return fmt.Errorf("bring the journal from version %d to %d: %w", v, v+1, err)
		}
	}
}

func migrateStep(ctx context.Context, db *sql.DB, from int) error {
	tx, err := db.BeginTx(ctx, nil) // immediate, by the DSN
	if err != nil {
		return explain(err)
	}
	defer tx.Rollback() //nolint:errcheck // after Commit it does nothing
	v, err := userVersion(ctx, tx)
	if err != nil {
		return err
	}
	if v != from {
		return errMigrated
	}
	if _, err := tx.ExecContext(ctx, migrations[from]); err != nil {
		return explain(err)
	}
	if _, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d", from+1)); err != nil {
		return explain(err)
	}
	return explain(tx.Commit())
}

type querier interface {
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

func userVersion(ctx context.Context, q querier) (int, error) {
	var v int
	err := q.QueryRowContext(ctx, "PRAGMA user_version").Scan(&v)
	return v, explain(err)
}

// object is a table, an index, a trigger or a view; text is what made it, ""
// for what SQLite makes by itself.
type object struct{ kind, name, text string }

// schemaOf lists what the file's schema holds, in order.
func schemaOf(ctx context.Context, q querier) ([]object, error) {
	rows, err := q.QueryContext(ctx, "SELECT type, name, coalesce(sql, '') FROM sqlite_schema ORDER BY type, name")
	if err != nil {
		return nil, explain(err)
	}
	defer rows.Close()
	var list []object
	for rows.Next() {
		var o object
		if err := rows.Scan(&o.kind, &o.name, &o.text); err != nil {
			return nil, explain(err)
		}
		list = append(list, o)
	}
	return list, explain(rows.Err())
}

// checkSchema compares the file's schema with the one the migrations make: a
// dropped trigger or a widened column would let records be changed.
func checkSchema(ctx context.Context, q querier) error {
	got, err := schemaOf(ctx, q)
	if err != nil {
		return err
	}
	version, err := userVersion(ctx, q)
	if err != nil {
		return err
	}
	want, err := freshSchema(ctx, version)
	if err != nil {
		return err
	}
	for _, o := range want {
		if !slices.Contains(got, o) {
			return &DamageError{What: "its tables or triggers were changed: " + o.kind + " " + o.name + " is missing or different"}
		}
	}
	for _, o := range got {
		if !slices.Contains(want, o) {
			return &DamageError{What: "its tables or triggers were changed: " + o.kind + " " + o.name + " is not the journal's"}
		}
	}
	return nil
}

// freshSchema is what the migrations up to a version make from nothing.
func freshSchema(ctx context.Context, version int) ([]object, error) {
	db := sql.OpenDB(connector{dsn: "file::memory:"})
	defer db.Close()
	db.SetMaxOpenConns(1) // each connection would have a memory of its own
	for _, m := range migrations[:min(version, len(migrations))] {
		if _, err := db.ExecContext(ctx, m); err != nil {
			return nil, fmt.Errorf("make the schema: %w", err)
		}
	}
	return schemaOf(ctx, db)
}

// restoreSchema puts the schema back to what the migrations make, as far as
// no entry is touched by that: the table of records must be as it was made,
// and a table of somebody else's is left to them.
func restoreSchema(ctx context.Context, conn *sql.Conn) error {
	got, err := schemaOf(ctx, conn)
	if err != nil {
		return err
	}
	want, err := freshSchema(ctx, len(migrations))
	if err != nil {
		return err
	}
	for _, o := range got {
		drawn := o.name == "job" || o.name == "word"
		switch {
		case slices.Contains(want, o), o.text == "":
			continue
		case o.kind == "table" && !drawn:
			return &DamageError{What: "the table " + o.name + " is not as the journal makes it, and may hold something: it is left as it is"}
		}
		if _, err := conn.ExecContext(ctx, "DROP "+o.kind+" IF EXISTS "+quoteName(o.name)); err != nil {
			return explain(err)
		}
	}
	if got, err = schemaOf(ctx, conn); err != nil {
		return err
	}
	for _, kind := range []string{"table", "index", "trigger"} {
		for _, o := range want {
			if o.kind != kind || o.text == "" || slices.Contains(got, o) {
				continue
			}
			if _, err := conn.ExecContext(ctx, o.text); err != nil {
				return explain(err)
			}
		}
	}
	return nil
}

// quoteName writes a name as SQL takes it (sqlite.org/lang_keywords.html).
func quoteName(name string) string { return `"` + strings.ReplaceAll(name, `"`, `""`) + `"` }
