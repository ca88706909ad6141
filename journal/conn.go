package journal

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"fmt"
	"io"
	"net/url"
	"strings"
	"time"

	"github.com/mattn/go-sqlite3"
)

// connector opens connections to one file. It takes the place of a driver
// registered by name, which would be global state.
type connector struct {
	dsn  string
	want []pragma // asserted on every new connection
}

// pragma is a setting that a connection must show.
type pragma struct{ name, value string }

func (c connector) Driver() driver.Driver { return &sqlite3.SQLiteDriver{ConnectHook: c.hook} }

func (c connector) Connect(context.Context) (driver.Conn, error) { return c.Driver().Open(c.dsn) }

// hook sets what a DSN cannot and asserts everything: a driver whose defaults
// change must not quietly weaken the journal.
func (c connector) hook(conn *sqlite3.SQLiteConn) error {
	for _, s := range []string{"trusted_schema = OFF", "cell_size_check = ON", "fullfsync = ON", "checkpoint_fullfsync = ON"} {
		if _, err := conn.Exec("PRAGMA "+s, nil); err != nil {
			return err
		}
	}
	for _, p := range c.want {
		got, err := readPragma(conn, p.name)
		if err != nil {
			return err
		}
		if got != p.value {
			return fmt.Errorf("the database connection has %s = %s, and not %s: this build of SQLite cannot keep a journal", p.name, got, p.value)
		}
	}
	return nil
}

func readPragma(conn *sqlite3.SQLiteConn, name string) (string, error) {
	rows, err := conn.Query("PRAGMA "+name, nil)
	if err != nil {
		return "", err
	}
	defer rows.Close()
	v := make([]driver.Value, 1)
	if err := rows.Next(v); err != nil && err != io.EOF {
		return "", err
	}
	return fmt.Sprint(v[0]), nil
}

// common are the settings of every connection; synchronous 2 is FULL
// (sqlite.org/pragma.html): a commit is on the disk before it returns.
func common(busy time.Duration) []pragma {
	return []pragma{
		{"synchronous", "2"},
		{"foreign_keys", "1"},
		{"recursive_triggers", "1"},
		{"busy_timeout", fmt.Sprint(busy.Milliseconds())},
		{"trusted_schema", "0"},
		{"cell_size_check", "1"},
	}
}

// dsn writes the data source name of a file. Every setting is in it, because
// one made later would reach one connection of the pool alone.
func dsn(path string, busy time.Duration, extra url.Values) string {
	v := url.Values{
		"_synchronous":        {"FULL"},
		"_foreign_keys":       {"on"},
		"_recursive_triggers": {"on"},
		"_busy_timeout":       {fmt.Sprint(busy.Milliseconds())},
		"_stmt_cache_size":    {"32"},
	}
	for k, x := range extra {
		v[k] = x
	}
	escaped := strings.NewReplacer("%", "%25", "?", "%3f", "#", "%23").Replace(path)
	return "file:" + escaped + "?" + v.Encode()
}

// openWriter opens the one handle that writes: a single connection, its
// transactions immediate, so that reading the head and adding to it are one step.
func openWriter(path string, busy time.Duration) *sql.DB {
	db := sql.OpenDB(connector{
		dsn:  dsn(path, busy, url.Values{"mode": {"rw"}, "_journal_mode": {"WAL"}, "_txlock": {"immediate"}}),
		want: append(common(busy), pragma{"journal_mode", "wal"}),
	})
	db.SetMaxOpenConns(1)
	return db
}

// openOther opens a handle with nothing asserted, for statements that neither
// the writer nor the readers may run.
func openOther(path string, extra url.Values) *sql.DB {
	return sql.OpenDB(connector{dsn: dsn(path, defaultWait, extra)})
}

// openReaders opens a pool that cannot write. An immutable file is one in a
// folder that cannot be written: no lock and no shared memory can be had there.
func openReaders(path string, busy time.Duration, immutable bool) *sql.DB {
	extra := url.Values{"mode": {"ro"}, "_query_only": {"on"}}
	want := append(common(busy), pragma{"query_only", "1"})
	if immutable {
		extra.Set("immutable", "1")
	}
	db := sql.OpenDB(connector{dsn: dsn(path, busy, extra), want: want})
	db.SetMaxOpenConns(4)
	return db
}
