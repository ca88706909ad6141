package review

import (
	"context"
	"net/http"
	"slices"
	"strconv"
)

// phrasesOnPage keeps a page short enough to be drawn and read at once.
const phrasesOnPage = 100

type entriesData struct {
	jobHead
	paging
	First, All []phraseData
	Count      string
}

// trouble is a correction that was not kept, to be shown where it was typed.
type trouble struct {
	status  int
	entry   int64 // the first of the phrase
	typed   string
	problem string
}

func (s *server) entriesPage(w http.ResponseWriter, r *http.Request) error {
	c, err := s.call(r.Context(), r.PathValue("job"))
	if err != nil {
		return err
	}
	return s.showEntries(w, r, c, trouble{status: http.StatusOK})
}

// showEntries shows the phrases: what should be looked at first, then all in
// order, a page at a time. Without a page the newest are shown.
func (s *server) showEntries(w http.ResponseWriter, r *http.Request, c *jobCall, t trouble) error {
	data := entriesData{jobHead: s.jobHead(r, c, "entries"), Count: count(len(c.records), "entry", "entries")}
	if t.entry == 0 {
		data.Typed, data.Problem = t.typed, t.problem
	}
	l := s.looker(c)
	first := map[int64]bool{}
	for _, p := range s.toLook(c) {
		first[p.first] = true
		data.First = append(data.First, t.into(l.data(c, p)))
	}
	all := phrases(c.view)
	pick := func(pages int) int { return pageOf(r, t, all, pages) }
	link := func(p int) string { return data.Base + "/entries?page=" + strconv.Itoa(p) }
	var shown []phrase
	data.paging, shown = page(all, phrasesOnPage, pick, link)
	for _, p := range shown {
		d := l.data(c, p)
		if first[p.first] { // it stands above, with its form
			d.Anchor, d.Why, d.Correct, d.Confirm, d.Clip = "order-"+d.Anchor, "", false, false, ""
			for i := range d.Meanings {
				d.Meanings[i].ID = ""
			}
		} else {
			d = t.into(d)
		}
		data.All = append(data.All, d)
	}
	return s.render(w, t.status, "entries", data)
}

func (t trouble) into(d phraseData) phraseData {
	if t.problem != "" && d.Field == strconv.FormatInt(t.entry, 10) {
		d.Open, d.Typed, d.Problem = true, t.typed, t.problem
	}
	return d
}

// pageOf is the page asked for, or the one on which an entry stands, or the
// last: the newest entries are the ones to look at.
func pageOf(r *http.Request, t trouble, all []phrase, pages int) int {
	query := r.URL.Query()
	if n, err := strconv.Atoi(query.Get("page")); err == nil {
		return n
	}
	at := t.entry
	if n, err := strconv.ParseInt(query.Get("at"), 10, 64); err == nil {
		at = n
	}
	if at > 0 {
		if i := slices.IndexFunc(all, func(p phrase) bool { return p.first <= at && at <= p.last }); i >= 0 {
			return i/phrasesOnPage + 1
		}
	}
	return pages
}

// phraseOf finds the phrase that a form is about.
func (s *server) phraseOf(ctx context.Context, r *http.Request) (*jobCall, phrase, error) {
	c, err := s.call(ctx, r.PathValue("job"))
	if err != nil {
		return nil, phrase{}, err
	}
	seq, err := strconv.ParseInt(r.PathValue("entry"), 10, 64)
	if err == nil {
		for _, p := range phrases(c.view) {
			if p.first <= seq && seq <= p.last {
				return c, p, nil
			}
		}
	}
	return nil, phrase{}, failure{status: http.StatusNotFound, title: "No such entry", text: "The job has no entry of that number."}
}
