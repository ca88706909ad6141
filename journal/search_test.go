package journal

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"downlead/grammar/entry"
	"downlead/journal/record"
)

func TestSearch(t *testing.T) {
	j, _ := openTemp(t)
	for i := range 5 {
		job := fmt.Sprint(4410 + i)
		mustAppend(t, j, start(job), record.Draft{Job: job, Entry: entry.Site{Text: fmt.Sprintf("%d Quarry Lane", 10+i)}}, reading(job, -41))
	}
	mustAppend(t, j, note("4411", "Dog in the yard; CALL first"), record.Draft{Job: "4412", Phrase: "sep fail", Entry: entry.Reading{
		Point: entry.Point{Element: entry.Splitter}, Verdict: entry.Fail,
	}}, record.Draft{Job: "4412", Entry: entry.Job{Verb: "close"}})
	for _, c := range []struct {
		q    Query
		want string
	}{
		{Query{}, "4414 4413 4412 4411 4410"},
		{Query{Limit: 2}, "4414 4413"},
		{Query{Text: "dog"}, "4411"},
		{Query{Text: "call do"}, "4411"},
		{Query{Text: "splitter"}, "4412"},
		{Query{Text: "ground_block quarry", Limit: 1}, "4414"},
		{Query{Text: "12 quarry"}, "4412"},
		{Query{Text: "1"}, ""},
		{Query{Text: "4413"}, "4413"},
		{Query{Text: "cat"}, ""},
		{Query{Text: "'; DROP TABLE record; --"}, ""},
		{Query{Open: true}, "4414 4413 4411 4410"},
		{Query{Text: "  ,. "}, "4414 4413 4412 4411 4410"},
	} {
		list, err := j.Search(t.Context(), c.q)
		if err != nil {
			t.Fatal(err)
		}
		if got := numbers(list); got != c.want {
			t.Errorf("Search(%+v) = %s, want %s", c.q, got, c.want)
		}
	}
	var paged []string
	for q := (Query{Limit: 2}); ; {
		list, err := j.Search(t.Context(), q)
		if err != nil {
			t.Fatal(err)
		}
		if len(list) == 0 {
			break
		}
		paged = append(paged, numbers(list))
		q.Before = list[len(list)-1].Seq
	}
	if got := strings.Join(paged, " | "); got != "4414 4413 | 4412 4411 | 4410" {
		t.Errorf("pages: %s", got)
	}
}

func numbers(list []record.Summary) string {
	var out []string
	for _, s := range list {
		out = append(out, s.Number)
	}
	return strings.Join(out, " ")
}

func TestSiteKey(t *testing.T) {
	for _, c := range []struct{ a, b string }{
		{"12 Quarry Lane", "12, QUARRY LN."},
		{"4 North  Hill Street, Apt. 2", "4 n hill st apartment 2"},
	} {
		if record.SiteKey(c.a) != record.SiteKey(c.b) {
			t.Errorf("%q and %q are two sites: %q, %q", c.a, c.b, record.SiteKey(c.a), record.SiteKey(c.b))
		}
	}
	if record.SiteKey("12 Quarry Lane") == record.SiteKey("21 Quarry Lane") || record.SiteKey(" .,") != "" {
		t.Error("different addresses have one key, or none has one")
	}
}

// The job list follows corrections of the address, and verify agrees with it.
func TestACorrectedAddress(t *testing.T) {
	site := func(text string) record.Draft { return record.Draft{Job: "1", Entry: entry.Site{Text: text}} }
	fix := func(c entry.Correction) record.Draft { return record.Draft{Job: "1", Entry: c} }
	unsure := func(d record.Draft) record.Draft { d.Unconfirmed = true; return d }
	for _, c := range []struct {
		name   string
		drafts []record.Draft
		want   string
	}{
		{"scratched", []record.Draft{site("A"), site("B"), fix(scratch(1, 0))}, "A"},
		{"scratched by number", []record.Draft{site("A"), note("1", "x"), fix(scratch(0, 2))}, ""},
		{"not reached", []record.Draft{site("A"), note("1", "x"), note("1", "y"), fix(scratch(2, 0))}, "A"},
		{"reached over entries", []record.Draft{site("A"), note("1", "x"), fix(scratch(2, 0))}, ""},
		{"reached over what does not count", []record.Draft{site("A"), unsure(note("1", "x")), {Job: "1", Entry: entry.Question{Question: "next"}}, fix(scratch(1, 0))}, ""},
		{"reached by the second", []record.Draft{site("A"), note("1", "x"), fix(scratch(1, 0)), fix(scratch(1, 0))}, ""},
		{"restored", []record.Draft{site("A"), fix(scratch(1, 0)), fix(scratch(0, 3))}, "A"},
		{"replaced", []record.Draft{site("A"), note("1", "x"), fix(entry.Correction{Verb: "change", Entry: 2, Replace: []entry.Entry{entry.Site{Text: "C"}}})}, "C"},
		{"put in place of a note", []record.Draft{note("1", "x"), fix(entry.Correction{Verb: "change", Entry: 2, Replace: []entry.Entry{entry.Site{Text: "C"}}})}, "C"},
		{"unconfirmed", []record.Draft{site("A"), unsure(site("B"))}, "A"},
		{"confirmed", []record.Draft{site("A"), unsure(site("B")), fix(entry.Correction{Verb: "confirm"})}, "B"},
		{"a correction confirmed", []record.Draft{site("A"), unsure(fix(scratch(1, 0))), fix(entry.Correction{Verb: "confirm", Entry: 3})}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			j, _ := openTemp(t)
			mustAppend(t, j, append([]record.Draft{start("1")}, c.drafts...)...)
			s, err := j.Summary(t.Context(), "1")
			if err != nil || s.Site != c.want {
				t.Errorf("Summary = %+v, %v, want the site %q", s, err, c.want)
			}
			if r := mustVerify(t, j, VerifyOptions{}); !r.OK {
				t.Errorf("Verify: %+v", r)
			}
		})
	}
}

func TestWatchSeesAnotherProcess(t *testing.T) {
	j, path := openTemp(t)
	mustAppend(t, j, start("1"))
	other := mustOpen(t, path, Options{}) // another handle stands for another process
	ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
	defer cancel()
	mustAppend(t, other, note("1", "first"))
	var got []int64
	for r, err := range j.Watch(ctx, 1, time.Millisecond) {
		if err != nil {
			t.Fatal(err)
		}
		if got = append(got, r.Seq); len(got) == 3 {
			break
		}
		mustAppend(t, other, note("1", "next"))
	}
	if fmt.Sprint(got) != "[2 3 4]" {
		t.Errorf("seen: %v", got)
	}
}
