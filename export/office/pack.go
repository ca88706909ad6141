package office

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"strings"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"
)

// packed are the rows of a job as COPY takes them in its binary format
// (PostgreSQL manual, COPY, File Formats), table by table; the number of the
// job's version is set when they go in. Packing is half of our side's work and
// needs no connection: it is done beside the copying of others.
type packed struct {
	bytes [][]byte
	rows  [][]int // where each row's number stands
}

// columnTypes are the types of the columns, by their numbers in the server,
// table by table.
type columnTypes [][]uint32

func (o *Office) columnTypes(ctx context.Context) (columnTypes, error) {
	var out columnTypes
	for _, t := range newSheets().all() {
		d, err := o.conn.Prepare(ctx, "", "SELECT "+strings.Join(t.columns, ", ")+" FROM downlead_data."+t.table)
		if err != nil {
			return nil, fmt.Errorf("table %s: %w", t.table, err)
		}
		types := make([]uint32, len(d.Fields))
		for i, f := range d.Fields {
			types[i] = f.DataTypeOID
		}
		out = append(out, types)
	}
	return out, nil
}

// pack makes the job's rows. The map is of one goroutine.
func (j Job) pack(key salt, types columnTypes, m *pgtype.Map) (Job, error) {
	s := newSheets()
	if err := s.add(0, j, key); err != nil {
		return j, err
	}
	p := &packed{}
	for i, t := range s.all() {
		var b []byte
		var rows []int
		for _, cells := range t.rows {
			b = binary.BigEndian.AppendUint16(b, uint16(len(cells)))
			rows = append(rows, len(b)+4)
			for k, cell := range cells {
				var err error
				if b, err = appendCell(b, m, types[i][k], cell); err != nil {
					return j, fmt.Errorf("table %s, column %s: %w", t.table, t.columns[k], err)
				}
			}
		}
		p.bytes, p.rows = append(p.bytes, b), append(p.rows, rows)
	}
	j.packed = p
	return j, nil
}

// appendCell writes a cell behind its length; NULL has the length -1.
func appendCell(b []byte, m *pgtype.Map, oid uint32, cell any) ([]byte, error) {
	at := len(b)
	b = append(b, 0xff, 0xff, 0xff, 0xff)
	if cell == nil {
		return b, nil
	}
	with, err := m.Encode(oid, pgtype.BinaryFormatCode, cell, b)
	if err != nil || with == nil {
		return b, err
	}
	binary.BigEndian.PutUint32(with[at:], uint32(len(with)-at-4))
	return with, nil
}

// copyIn copies the rows of jobs in, under their numbers, and returns how many.
func copyIn(ctx context.Context, tx pgx.Tx, jobs []Job, id []int64) (int64, error) {
	var all int64
	for i, t := range newSheets().all() {
		var b bytes.Buffer
		b.WriteString("PGCOPY\n\xff\r\n\x00\x00\x00\x00\x00\x00\x00\x00\x00")
		n := 0
		for k, j := range jobs {
			n += len(j.packed.rows[i])
			for _, at := range j.packed.rows[i] {
				binary.BigEndian.PutUint64(j.packed.bytes[i][at:], uint64(id[k]))
			}
			b.Write(j.packed.bytes[i])
		}
		if n == 0 {
			continue
		}
		b.WriteString("\xff\xff")
		sql := "COPY downlead_data." + t.table + " (" + strings.Join(t.columns, ", ") + ") FROM STDIN (FORMAT binary)"
		if _, err := tx.Conn().PgConn().CopyFrom(ctx, &b, sql); err != nil {
			return 0, fmt.Errorf("table %s: %w", t.table, err)
		}
		all += int64(n)
	}
	return all, nil
}
