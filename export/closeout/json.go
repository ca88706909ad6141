package closeout

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"io"
)

// CloseoutSchemaJSON is the JSON Schema (2020-12) of the JSON form of a
// Closeout: every member described.
//
//go:embed closeout.schema.json
var CloseoutSchemaJSON string

// JSON writes the closeout as one indented JSON document.
func (c Closeout) JSON(w io.Writer) error { return WriteJSON(w, c) }

// ReadCloseout reads what JSON wrote. It refuses another form or version.
func ReadCloseout(r io.Reader) (Closeout, error) {
	var c Closeout
	if err := json.NewDecoder(r).Decode(&c); err != nil {
		return Closeout{}, fmt.Errorf("read closeout: %w", err)
	}
	if c.Schema != CloseoutSchema && c.Schema != firstSchema {
		return Closeout{}, fmt.Errorf("read closeout: the form is %q, this version reads %q", c.Schema, CloseoutSchema)
	}
	if err := c.check(); err != nil {
		return Closeout{}, fmt.Errorf("read closeout: %w", err)
	}
	c.fill()
	return c, nil
}

// check refuses what no closeout of this program holds and the writers do not
// expect: a pair without a reading, a part that stands before its parent.
func (c Closeout) check() error {
	for i, p := range c.Points {
		if p.Before == nil && p.After == nil {
			return fmt.Errorf("points[%d] has neither a reading before nor one after", i)
		}
	}
	seen := map[string]bool{"": true}
	for i, e := range c.Path {
		if e.ID == "" || seen[e.ID] || !seen[e.Parent] {
			return fmt.Errorf("path[%d], %q, has no name of its own or stands before its parent %q", i, e.ID, e.Parent)
		}
		seen[e.ID] = true
	}
	return nil
}

// WriteJSON is the one way JSON leaves this package.
func WriteJSON(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}
