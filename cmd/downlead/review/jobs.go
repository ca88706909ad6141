package review

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"downlead/diagnose"
	"downlead/diagnose/level"
	"downlead/journal"
	"downlead/journal/record"
)

const jobsOnPage = 24

// jobData is one job of the list.
type jobData struct {
	Number, Site, Link     string
	Open                   bool
	When, Machine, Entries string
	Lacks                  string
	Hits                   []hitData
}

// hitData is a place where the words looked for stand.
type hitData struct {
	Seq  int64
	Text string
	Link string
}

type whenData struct {
	Value, Label string
	Chosen       bool
}

type jobsData struct {
	head
	paging
	Query       string
	Whens       []whenData
	Count, None string
	Jobs        []jobData
}

// jobsPage lists the jobs: the open ones first, then the newest.
func (s *server) jobsPage(w http.ResponseWriter, r *http.Request) error {
	query, when := strings.TrimSpace(r.FormValue("q")), r.FormValue("when")
	if !slices.Contains([]string{"today", "week"}, when) {
		when = "all"
	}
	data := jobsData{head: s.head("Jobs", "jobs"), Query: query}
	for _, pair := range [][2]string{{"all", "all"}, {"today", "today"}, {"week", "this week"}} {
		data.Whens = append(data.Whens, whenData{pair[0], pair[1], pair[0] == when})
	}
	list, err := s.cfg.Journal.Search(r.Context(), journal.Query{Text: query})
	if err != nil {
		return err
	}
	list = s.choose(list, when)
	data.Count = count(len(list), "job", "jobs")
	data.None = "No job fits."
	if query == "" && when == "all" {
		data.None = "The journal has no job yet. The first one starts with: start job, and its number."
	}
	asked, _ := strconv.Atoi(r.FormValue("page"))
	link := func(p int) string {
		return "/?" + url.Values{"q": {query}, "when": {when}, "page": {strconv.Itoa(p)}}.Encode()
	}
	data.paging, list = page(list, jobsOnPage, func(int) int { return asked }, link)
	for _, j := range list {
		d, err := s.jobData(r.Context(), j, query)
		if err != nil {
			return err
		}
		data.Jobs = append(data.Jobs, d)
	}
	return s.render(w, http.StatusOK, "jobs", data)
}

// choose keeps the jobs of a time, the open ones first; within each, the
// journal's order, which is the newest first.
func (s *server) choose(list []record.Summary, when string) []record.Summary {
	since := s.beginning(when)
	list = slices.DeleteFunc(list, func(j record.Summary) bool {
		return !since.IsZero() && j.Opened.Before(since) && j.Closed.Before(since)
	})
	slices.SortStableFunc(list, func(a, b record.Summary) int {
		switch {
		case a.Open == b.Open:
			return 0
		case a.Open:
			return -1
		}
		return 1
	})
	return list
}

// beginning is that of today or of the week, which starts on Monday as
// in ISO 8601; the zero time for all.
func (s *server) beginning(when string) time.Time {
	now := s.now()
	day := time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, now.Location())
	switch when {
	case "today":
		return day
	case "week":
		return day.AddDate(0, 0, -(int(now.Weekday())+6)%7)
	}
	return time.Time{}
}

// now is the time where the technician is.
func (s *server) now() time.Time {
	t := s.cfg.Now()
	if s.cfg.Zone != "" {
		if zone, err := time.LoadLocation(s.cfg.Zone); err == nil {
			return t.In(zone)
		}
	}
	return t
}

// lacking is what a job lacked when its head was seen.
type lacking struct {
	head  record.Hash
	words string
}

// lackingKept is for how many jobs that is remembered, about a hundred bytes each.
const lackingKept = 4096

func (s *server) lacking(ctx context.Context, j record.Summary) (string, error) {
	s.mu.Lock()
	known, ok := s.lacks[j.Number]
	s.mu.Unlock()
	if ok && known.head == j.Head {
		return known.words, nil
	}
	records, err := s.cfg.Journal.Job(ctx, j.Number)
	if err != nil {
		return "", err
	}
	words := strings.Join(lackingSteps(diagnose.NewJob(records, level.Options{}).Plan()), ", ")
	s.mu.Lock()
	if len(s.lacks) >= lackingKept {
		clear(s.lacks)
	}
	s.lacks[j.Number] = lacking{j.Head, words}
	s.mu.Unlock()
	return words, nil
}

func (s *server) jobData(ctx context.Context, j record.Summary, query string) (jobData, error) {
	lacks, err := s.lacking(ctx, j)
	if err != nil {
		return jobData{}, err
	}
	hits, err := s.hits(ctx, j.Number, query)
	if err != nil {
		return jobData{}, err
	}
	opened := j.Opened.In(s.now().Location())
	return jobData{
		Number: j.Number, Site: j.Site, Link: base(j.Number), Open: j.Open,
		When: dayWords(opened, s.now()), Machine: opened.Format(time.RFC3339),
		Entries: count(int(j.Count), "entry", "entries"), Lacks: lacks, Hits: hits,
	}, nil
}

// hits are the newest entries of a job in which a word that was looked for
// stands.
func (s *server) hits(ctx context.Context, job, query string) ([]hitData, error) {
	const most = 3
	words := strings.Fields(strings.ToLower(query))
	if len(words) == 0 {
		return nil, nil
	}
	records, err := s.cfg.Journal.Job(ctx, job)
	if err != nil {
		return nil, err
	}
	var out []hitData
	for _, r := range slices.Backward(records) {
		text := strings.ToLower(r.Phrase + " " + meaning(r.Entry))
		if len(out) == most || !slices.ContainsFunc(words, func(w string) bool { return strings.Contains(text, w) }) {
			continue
		}
		out = append(out, hitData{Seq: r.Seq, Text: meaning(r.Entry), Link: fmt.Sprintf("%s/entries?at=%d#entry-%d", base(job), r.Seq, r.Seq)})
	}
	return out, nil
}

// dayWords says a time as a person would: "today 09:14", "Tue 24 Nov 09:14".
func dayWords(t, now time.Time) string {
	y, m, d := now.Date()
	ty, tm, td := t.Date()
	switch {
	case y == ty && m == tm && d == td:
		return "today " + t.Format("15:04")
	case y == ty:
		return t.Format("Mon 2 Jan 15:04")
	}
	return t.Format("2 Jan 2006")
}
