package review

import (
	"bytes"
	"context"
	"fmt"
	"html/template"
	"mime"
	"net/http"
	"regexp"
	"strings"

	"downlead/export/figure"
	"downlead/export/shown"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

type formData struct{ Name, Label, Link string }

func formsOf(rec Record, link string) []formData {
	var out []formData
	for _, f := range rec.Forms {
		out = append(out, formData{Name: f.Name, Label: strings.ToUpper(f.Name), Link: link + "/" + f.Name})
	}
	return out
}

type closeoutData struct {
	jobHead
	Forms         []formData
	Preview, None string
}

// closeoutPage shows the closeout as it would print.
func (s *server) closeoutPage(w http.ResponseWriter, r *http.Request) error {
	c, err := s.call(r.Context(), r.PathValue("job"))
	if err != nil {
		return err
	}
	data := closeoutData{jobHead: s.jobHead(r, c, "closeout")}
	data.Missing = shown.Capital("missing: " + data.Missing)
	if !c.open() {
		data.Missing += " (the job is closed)"
	}
	rec := s.cfg.Records.Closeout
	if rec.Preview == nil {
		data.None = "The closeout cannot be made here."
		return s.render(w, http.StatusOK, "closeout", data)
	}
	data.Forms = formsOf(rec, data.Base+"/closeout")
	data.Preview, err = rec.Preview(r.Context(), c.number)
	if err != nil {
		return fmt.Errorf("make the closeout: %w", err)
	}
	return s.render(w, http.StatusOK, "closeout", data)
}

// showCloseout gives one form of the closeout to look at. It is not logged:
// looking changes nothing.
func (s *server) showCloseout(w http.ResponseWriter, r *http.Request) error {
	c, err := s.call(r.Context(), r.PathValue("job"))
	if err != nil {
		return err
	}
	form, err := s.form(s.cfg.Records.Closeout, r.PathValue("format"))
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := form.Write(r.Context(), &b, c.number); err != nil {
		return fmt.Errorf("make the closeout: %w", err)
	}
	send(w, form, fileName("closeout", c.number, form), "inline", b.Bytes())
	return nil
}

// saveCloseout makes the closeout, logs that it was made, with the head that
// it printed, and hands it over.
func (s *server) saveCloseout(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return err
	}
	c, err := s.call(r.Context(), r.PathValue("job"))
	if err != nil {
		return err
	}
	form, err := s.form(s.cfg.Records.Closeout, r.PostFormValue("format"))
	if err != nil {
		return err
	}
	made, head, n, err := s.steady(r.Context(), func(b *bytes.Buffer) error { return form.Write(r.Context(), b, c.number) })
	if err != nil {
		return fmt.Errorf("make the closeout: %w", err)
	}
	if _, err := s.keep(r.Context(), c.number, "", entry.Closeout{Head: head.String(), Count: n, Format: form.Name}); err != nil {
		return err
	}
	send(w, form, fileName("closeout", c.number, form), "attachment", made)
	return nil
}

// steady makes a record while the journal's head stands still, so that the
// head that is logged is the head that was printed. Another program may be
// writing: then it is made again.
func (s *server) steady(ctx context.Context, write func(*bytes.Buffer) error) ([]byte, record.Hash, int64, error) {
	const tries = 5
	for range tries {
		before, n, err := s.cfg.Journal.Head(ctx)
		if err != nil {
			return nil, before, 0, err
		}
		var b bytes.Buffer
		if err := write(&b); err != nil {
			return nil, before, 0, err
		}
		after, _, err := s.cfg.Journal.Head(ctx)
		if err != nil {
			return nil, before, 0, err
		}
		if after == before {
			return b.Bytes(), before, n, nil
		}
	}
	return nil, record.Hash{}, 0, journal.ErrBusy
}

func (s *server) form(rec Record, name string) (Form, error) {
	for _, f := range rec.Forms {
		if f.Name == name {
			return f, nil
		}
	}
	return Form{}, failure{status: http.StatusNotFound, title: "No such form", text: "The record is not made in that form."}
}

var notInNames = regexp.MustCompile(`[^A-Za-z0-9-]+`)

func fileName(record, key string, f Form) string {
	return record + "-" + strings.Trim(notInNames.ReplaceAllString(key, "-"), "-") + "." + f.Name
}

func send(w http.ResponseWriter, f Form, name, how string, b []byte) {
	h := w.Header()
	h.Set("Content-Type", f.MediaType)
	h.Set("Content-Disposition", mime.FormatMediaType(how, map[string]string{"filename": name}))
	h.Set("Content-Length", fmt.Sprint(len(b)))
	_, _ = w.Write(b) // a reader that is gone needs nothing
}

// recordData is pay or quality on the page.
type recordData struct {
	Key, Title, Label, Pattern, Value string
	Forms                             []formData
	Preview, Problem                  string
	Drawings                          []drawingData
	Tables                            []figure.Table
	Notes                             []string
}

// drawingData is an SVG image of export's own making, its words escaped there.
type drawingData struct {
	Title string
	SVG   template.HTML
}

var (
	weekKey  = regexp.MustCompile(`^\d{4}-W\d{2}$`)
	monthKey = regexp.MustCompile(`^\d{4}-\d{2}$`)
)

// recordsPage shows pay for a week and quality for a month.
func (s *server) recordsPage(w http.ResponseWriter, r *http.Request) error {
	now := s.now()
	year, week := now.ISOWeek()
	data := struct {
		head
		Records []recordData
	}{head: s.head("Pay and quality", "records")}
	for _, part := range []struct {
		rec  Record
		data recordData
		key  *regexp.Regexp
	}{
		{s.cfg.Records.Pay, recordData{Key: "pay", Title: "Pay", Label: "Week, as 2026-W47", Pattern: `\d{4}-W\d{2}`, Value: fmt.Sprintf("%04d-W%02d", year, week)}, weekKey},
		{s.cfg.Records.Quality, recordData{Key: "quality", Title: "Quality", Label: "Month, as 2026-11", Pattern: `\d{4}-\d{2}`, Value: now.Format("2006-01")}, monthKey},
	} {
		if part.rec.Preview == nil {
			continue
		}
		d := part.data
		if v := r.FormValue(d.Key); v != "" {
			d.Value = v
		}
		d.Forms = formsOf(part.rec, "")
		if err := d.fill(r.Context(), part.rec, part.key); err != nil {
			d.Problem, d.Forms = shown.Capital(err.Error())+".", nil
		}
		data.Records = append(data.Records, d)
	}
	return s.render(w, http.StatusOK, "records", data)
}

// fill makes the record that was asked for.
func (d *recordData) fill(ctx context.Context, rec Record, shape *regexp.Regexp) (err error) {
	if !shape.MatchString(d.Value) {
		return fmt.Errorf("%q is not written as the label says", d.Value)
	}
	if rec.Leaf == nil {
		d.Preview, err = rec.Preview(ctx, d.Value)
		return err
	}
	leaf, err := rec.Leaf(ctx, d.Value)
	if err != nil {
		return err
	}
	d.Tables, d.Notes = leaf.Tables, leaf.Notes
	for _, x := range leaf.Drawings {
		d.Drawings = append(d.Drawings, drawingData{x.Title, template.HTML(x.SVG)})
	}
	return nil
}

// saveRecord hands over pay or quality in one form.
func (s *server) saveRecord(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return err
	}
	name, key := r.PathValue("record"), r.PostFormValue("key")
	rec, shape := s.cfg.Records.Pay, weekKey
	if name == "quality" {
		rec, shape = s.cfg.Records.Quality, monthKey
	}
	if !shape.MatchString(key) || name != "pay" && name != "quality" {
		return failure{status: http.StatusNotFound, title: "No such record", text: "There is pay for a week and quality for a month."}
	}
	form, err := s.form(rec, r.PostFormValue("format"))
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := form.Write(r.Context(), &b, key); err != nil {
		return fmt.Errorf("make the record: %w", err)
	}
	send(w, form, fileName(name, key, form), "attachment", b.Bytes())
	return nil
}
