package office

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"downlead/diagnose/fault"
	"downlead/export/closeout"
	"downlead/export/pay"
	"downlead/export/quality"

	"github.com/jackc/pgx/v5"
)

// Of narrows what is read: to one technician, "" for all, and to a time, the
// zero time for no limit.
type Of struct {
	Technician string
	From, To   time.Time
}

// clause is the condition on a job j with whose last and first time a span is
// compared.
const clause = `j.is_latest AND ($1 = '' OR coalesce(nullif(j.technician, ''), n.technician) = $1) AND ($2::timestamptz IS NULL OR j.ended >= $2) AND ($3::timestamptz IS NULL OR j.began < $3)`

func (of Of) args() []any { return []any{of.Technician, nullTime(of.From), nullTime(of.To)} }

func nullTime(t time.Time) any {
	if t.IsZero() {
		return nil
	}
	return t
}

// Heads returns how far each journal is stored, in order of their identities,
// with whose it is.
func (o *Office) Heads(ctx context.Context) ([]closeout.ChainHead, []string, error) {
	rows, err := o.conn.Query(ctx, "SELECT journal_id::text, head_hash, stored_to, technician FROM downlead_data.journal ORDER BY journal_id")
	if err != nil {
		return nil, nil, failed(err)
	}
	defer rows.Close()
	var heads []closeout.ChainHead
	var names []string
	for rows.Next() {
		var h closeout.ChainHead
		var name string
		if err := rows.Scan(&h.ID, &h.Head, &h.Count, &name); err != nil {
			return nil, nil, failed(err)
		}
		heads, names = append(heads, h), append(names, name)
	}
	return heads, names, failed(rows.Err())
}

// Visits returns the visits of the jobs that lie in a time, as quality judges them.
func (o *Office) Visits(ctx context.Context, of Of) ([]quality.Visited, error) {
	rows, err := o.conn.Query(ctx, `SELECT v.visit_no, v.began, v.ended, v.time_zone, v.is_open, coalesce(nullif(j.technician, ''), n.technician), v.closeout_json::text
		FROM downlead_data.job j JOIN downlead_data.journal n USING (journal_id) JOIN downlead_data.visit v USING (job_id) WHERE `+clause+` ORDER BY j.journal_id, j.job, v.visit_no`, of.args()...)
	if err != nil {
		return nil, failed(err)
	}
	zones := zones{}
	out, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (quality.Visited, error) {
		var v quality.Visited
		var zone, owner string
		var doc []byte
		if err := row.Scan(&v.N, &v.Began, &v.Ended, &zone, &v.Open, &owner, &doc); err != nil {
			return v, err
		}
		v.Began, v.Ended = zones.in(v.Began, zone), zones.in(v.Ended, zone)
		err := json.Unmarshal(doc, &v.Closeout)
		v.Closeout.Technician = owner
		return v, err
	})
	return out, failed(err)
}

// Work returns what pay reads of the jobs that lie in a time, with the
// technician of each.
func (o *Office) Work(ctx context.Context, of Of) ([]pay.Work, []string, error) {
	rows, err := o.conn.Query(ctx, "SELECT coalesce(nullif(j.technician, ''), n.technician), j.work_json::text FROM downlead_data.job j JOIN downlead_data.journal n USING (journal_id) WHERE "+clause+" ORDER BY j.journal_id, j.job", of.args()...)
	if err != nil {
		return nil, nil, failed(err)
	}
	defer rows.Close()
	var out []pay.Work
	var names []string
	zones := zones{}
	for rows.Next() {
		var w pay.Work
		var name string
		var doc []byte
		if err := rows.Scan(&name, &doc); err != nil {
			return nil, nil, failed(err)
		}
		if err := json.Unmarshal(doc, &w); err != nil {
			return nil, nil, failed(err)
		}
		for i, m := range w.Marks {
			w.Marks[i].At = zones.in(m.At, m.Zone)
		}
		out, names = append(out, w), append(names, name)
	}
	return out, names, failed(rows.Err())
}

// Lessons returns what all jobs teach about how often parts fail.
func (o *Office) Lessons(ctx context.Context, of Of) ([]fault.Lesson, error) {
	rows, err := o.conn.Query(ctx, "SELECT j.lesson_json::text FROM downlead_data.job j JOIN downlead_data.journal n USING (journal_id) WHERE j.job <> '' AND "+clause+" ORDER BY j.journal_id, j.job", of.args()...)
	if err != nil {
		return nil, failed(err)
	}
	out, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (fault.Lesson, error) {
		var l fault.Lesson
		var doc []byte
		if err := row.Scan(&doc); err != nil {
			return l, err
		}
		return l, json.Unmarshal(doc, &l)
	})
	return out, failed(err)
}

func failed(err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("office database: %w", hint(err))
}

// zones gives times back the zone that JSON and the database leave out: days
// are counted on the wall clock.
type zones map[string]*time.Location

func (z zones) in(t time.Time, name string) time.Time {
	if name == "" {
		return t
	}
	loc, ok := z[name]
	if !ok {
		var err error
		if loc, err = time.LoadLocation(name); err != nil {
			loc = nil
		}
		z[name] = loc
	}
	if loc == nil {
		return t
	}
	return t.In(loc)
}
