package office

import (
	"context"
	"crypto/sha256"
	_ "embed"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"net"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

// Errors that a caller branches on. They come wrapped: use errors.Is.
var (
	ErrNewer    = errors.New("the database was made by a newer version: update this program")
	ErrOlder    = errors.New("the database holds nothing of this version yet: export into it first")
	ErrForked   = errors.New("the database holds entries that this journal does not have")
	ErrRedacted = errors.New("the journal is stored there in another way")
)

// Office is a PostgreSQL database where the records of a team meet. Its tables
// are in the schema downlead_data, the views and functions for whoever asks in
// the schema downlead.
type Office struct{ conn *pgx.Conn }

//go:embed schema1.sql
var schema1 string

//go:embed schema2.sql
var schema2 string

//go:embed schema3.sql
var schema3 string

//go:embed schema4.sql
var schema4 string

//go:embed views.sql
var views string

// migrations are the versions of the tables, in order; only ever added to.
func migrations() []string { return []string{schema1, schema2, schema3, schema4} }

// viewsDigest names the views and functions of this program.
func viewsDigest() string {
	sum := sha256.Sum256([]byte(views))
	return hex.EncodeToString(sum[:8])
}

// schemaLock is the key of the advisory lock under which the schema is made:
// the letters "dldl".
const schemaLock = 0x646c646c

// patience is how long a server may take to answer unless the address says
// otherwise (connect_timeout).
const patience = 10 * time.Second

// Open connects to a server ("postgres://user@host/name", or a libpq keyword
// string) and makes or updates the tables, views and functions.
func Open(ctx context.Context, url string) (*Office, error) {
	o, err := connect(ctx, url)
	if err != nil {
		return nil, err
	}
	if err := o.migrate(ctx); err != nil {
		return nil, errors.Join(fmt.Errorf("office database: %w", err), o.Close(ctx))
	}
	return o, nil
}

// OpenToRead connects to a server that was exported to, and changes nothing there.
func OpenToRead(ctx context.Context, url string) (*Office, error) {
	o, err := connect(ctx, url)
	if err != nil {
		return nil, err
	}
	_, err = o.conn.Exec(ctx, "SET SESSION CHARACTERISTICS AS TRANSACTION READ ONLY")
	if err == nil {
		err = o.checkVersion(ctx)
	}
	if err != nil {
		return nil, errors.Join(fmt.Errorf("office database: %w", hint(err)), o.Close(ctx))
	}
	return o, nil
}

func connect(ctx context.Context, url string) (*Office, error) {
	config, err := pgx.ParseConfig(url)
	if err != nil {
		return nil, fmt.Errorf("office database: the address cannot be read: write it as \"postgres://user@host/name\": %w", err)
	}
	if config.ConnectTimeout == 0 {
		config.ConnectTimeout = patience
	}
	config.RuntimeParams["application_name"] = "downlead"
	conn, err := pgx.ConnectConfig(ctx, config)
	if err != nil {
		return nil, fmt.Errorf("office database: no answer from %s port %d: check that the server runs and the address is right: %w", config.Host, config.Port, err)
	}
	return &Office{conn: conn}, nil
}

// Close ends the connection.
func (o *Office) Close(ctx context.Context) error { return o.conn.Close(ctx) }

// checkVersion refuses a database that is not of this program's version.
func (o *Office) checkVersion(ctx context.Context) error {
	var there bool
	if err := o.conn.QueryRow(ctx, "SELECT to_regclass('downlead.version') IS NOT NULL").Scan(&there); err != nil {
		return err
	}
	version := 0
	if there {
		if err := o.conn.QueryRow(ctx, "SELECT coalesce(max(version), 0) FROM downlead.version").Scan(&version); err != nil {
			return err
		}
	}
	switch steps := migrations(); {
	case version > len(steps):
		return fmt.Errorf("its tables are of version %d, this program knows %d: %w", version, len(steps), ErrNewer)
	case version < len(steps):
		return fmt.Errorf("its tables are of version %d, this program has %d: %w", version, len(steps), ErrOlder)
	}
	return nil
}

// migrate makes what is missing, all of it or nothing. A database that has
// everything is only looked at.
func (o *Office) migrate(ctx context.Context) error {
	if err := o.checkVersion(ctx); err == nil {
		var installed *string
		newest := o.conn.QueryRow(ctx, "SELECT views FROM downlead.version ORDER BY version DESC LIMIT 1")
		err := newest.Scan(&installed)
		if err == nil && installed != nil && *installed == viewsDigest() {
			return nil
		}
	} else if errors.Is(err, ErrNewer) {
		return err
	}
	return pgx.BeginFunc(ctx, o.conn, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, "SELECT pg_advisory_xact_lock($1)", schemaLock); err != nil {
			return err
		}
		if _, err := tx.Exec(ctx, "SET LOCAL client_min_messages = warning; CREATE SCHEMA IF NOT EXISTS downlead; CREATE TABLE IF NOT EXISTS downlead.version (version integer NOT NULL)"); err != nil {
			return hint(err)
		}
		var version int
		if err := tx.QueryRow(ctx, "SELECT coalesce(max(version), 0) FROM downlead.version").Scan(&version); err != nil {
			return hint(err)
		}
		steps := migrations()
		if version > len(steps) { // another program was quicker
			return fmt.Errorf("its tables are of version %d, this program knows %d: %w", version, len(steps), ErrNewer)
		}
		for i, sql := range steps[version:] {
			if _, err := tx.Exec(ctx, sql); err != nil {
				return fmt.Errorf("make version %d of the tables: %w", version+i+1, hint(err))
			}
			if _, err := tx.Exec(ctx, "INSERT INTO downlead.version VALUES ($1)", version+i+1); err != nil {
				return err
			}
		}
		if _, err := tx.Exec(ctx, views); err != nil {
			return fmt.Errorf("install the views and functions: %w", hint(err))
		}
		_, err := tx.Exec(ctx, "UPDATE downlead.version SET views = $1 WHERE version = $2", viewsDigest(), len(steps))
		return err
	})
}

// HasAnalyst reports whether the role for analysts is there: a user who may not
// make roles cannot make it.
func (o *Office) HasAnalyst(ctx context.Context) (bool, error) {
	var there bool
	err := o.conn.QueryRow(ctx, "SELECT EXISTS (SELECT FROM pg_roles WHERE rolname = 'downlead_analyst')").Scan(&there)
	return there, err
}

// hint says what to do about refusals that have one remedy.
func hint(err error) error {
	const again = "what is stored is whole; run the command again, and it goes on"
	var pg *pgconn.PgError
	if !errors.As(err, &pg) {
		var lost *net.OpError
		if errors.As(err, &lost) || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, io.EOF) {
			return fmt.Errorf("the connection to the server was lost: %s: %w", again, err)
		}
		return err
	}
	switch pg.Code { // PostgreSQL manual, appendix A
	case "42501":
		return fmt.Errorf("the user may not do that: have the server's owner grant it CREATE on the database, and the schemas downlead and downlead_data: %w", err)
	case "2BP01":
		return fmt.Errorf("a view or function of your own rests on one that must be made anew: drop it, and make it again afterwards: %w", err)
	case "53100":
		return fmt.Errorf("the server's disk is full: %w", err)
	case "25006":
		return fmt.Errorf("the server is read-only: %w", err)
	case "57P01", "57P02", "57P03":
		return fmt.Errorf("the server was shut down: %s: %w", again, err)
	}
	return err
}
