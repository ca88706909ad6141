package journal

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"unicode"
)

// version2 gives a journal an identity of its own, so that the journals of a
// team can lie together: a random UUID (RFC 9562, version 4), made once. A
// journal of version 1 gets one when it is first opened to write.
const version2 = `
CREATE TABLE identity (
	one  INTEGER PRIMARY KEY CHECK (one = 1),
	uuid TEXT NOT NULL CHECK (length(uuid) = 36)
) STRICT;
INSERT INTO identity (one, uuid)
SELECT 1, substr(h, 1, 8) || '-' || substr(h, 9, 4) || '-4' || substr(h, 14, 3) || '-'
	|| substr('89ab', 1 + (unicode(substr(h, 17, 1)) % 4), 1) || substr(h, 18, 3) || '-' || substr(h, 21, 12)
FROM (SELECT lower(hex(randomblob(16))) AS h);
CREATE TRIGGER identity_insert BEFORE INSERT ON identity
BEGIN
	SELECT raise(ABORT, 'a journal has one identity');
END;
CREATE TRIGGER identity_update BEFORE UPDATE ON identity
BEGIN
	SELECT raise(ABORT, 'a journal keeps its identity');
END;
CREATE TRIGGER identity_delete BEFORE DELETE ON identity
BEGIN
	SELECT raise(ABORT, 'a journal keeps its identity');
END;
`

// Identity returns the journal's own UUID; "" for a journal of version 1 that
// was opened to read: it gets one when it is first opened to write. A backup
// has the identity of the journal it was made from.
func (j *Journal) Identity(ctx context.Context) (string, error) {
	var id string
	err := j.readers.QueryRowContext(ctx, "SELECT uuid FROM identity").Scan(&id)
	switch {
	case err == nil:
		return id, nil
	case errors.Is(err, sql.ErrNoRows):
		return "", &DamageError{What: "its identity is gone: restore a backup"}
	case j.version < 2:
		return "", nil
	}
	return "", fmt.Errorf("identity of the journal: %w", explain(err))
}

// longestName is how many characters a technician's name may have: it stands
// on every row of every record. A judgement.
const longestName = 80

// checkTechnician refuses a name that would not stand in one line.
func checkTechnician(name string) error {
	if strings.TrimSpace(name) != name || len([]rune(name)) > longestName || strings.ContainsFunc(name, unicode.IsControl) {
		return fmt.Errorf("%q is not a technician's name: up to %d characters in one line are, with no space around them", name, longestName)
	}
	return nil
}

// LastTechnician returns the name in the last record that has one; "" where
// none has. The text is searched, as it has no index: a name stands in most
// records or in none.
func (j *Journal) LastTechnician(ctx context.Context) (string, error) {
	var text []byte
	row := j.readers.QueryRowContext(ctx, `SELECT body FROM record WHERE instr(body, '"technician":"') > 0 AND json_extract(body, '$.technician') IS NOT NULL ORDER BY seq DESC LIMIT 1`)
	err := row.Scan(&text)
	if errors.Is(err, sql.ErrNoRows) {
		return "", nil
	}
	if err != nil {
		return "", explain(err)
	}
	_, d, err := decode(text, &j.zones)
	return d.Technician, err
}
