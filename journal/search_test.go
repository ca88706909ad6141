package journal

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"downlead/grammar"
)

func TestSearch(t *testing.T) {
	j, _ := openTemp(t)
	for i := range 5 {
		job := fmt.Sprint(4410 + i)
		mustAppend(t, j, start(job), Draft{Job: job, Entry: grammar.Site{Text: fmt.Sprintf("%d Quarry Lane", 10+i)}}, reading(job, -41))
	}
	mustAppend(t, j, note("4411", "Dog in the yard; CALL first"), Draft{Job: "4412", Phrase: "sep fail", Entry: grammar.Reading{
		Point: grammar.Point{Element: grammar.Splitter}, Verdict: grammar.Fail,
	}}, Draft{Job: "4412", Entry: grammar.Job{Verb: "close"}})
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

func numbers(list []Summary) string {
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
		if SiteKey(c.a) != SiteKey(c.b) {
			t.Errorf("%q and %q are two sites: %q, %q", c.a, c.b, SiteKey(c.a), SiteKey(c.b))
		}
	}
	if SiteKey("12 Quarry Lane") == SiteKey("21 Quarry Lane") || SiteKey(" .,") != "" {
		t.Error("different addresses have one key, or none has one")
	}
}

// The job list follows corrections of the address, and verify agrees with it.
func TestACorrectedAddress(t *testing.T) {
	site := func(text string) Draft { return Draft{Job: "1", Entry: grammar.Site{Text: text}} }
	fix := func(c grammar.Correction) Draft { return Draft{Job: "1", Entry: c} }
	unsure := func(d Draft) Draft { d.Unconfirmed = true; return d }
	for _, c := range []struct {
		name   string
		drafts []Draft
		want   string
	}{
		{"scratched", []Draft{site("A"), site("B"), fix(scratch(1, 0))}, "A"},
		{"scratched by number", []Draft{site("A"), note("1", "x"), fix(scratch(0, 2))}, ""},
		{"not reached", []Draft{site("A"), note("1", "x"), note("1", "y"), fix(scratch(2, 0))}, "A"},
		{"reached over entries", []Draft{site("A"), note("1", "x"), fix(scratch(2, 0))}, ""},
		{"reached over what does not count", []Draft{site("A"), unsure(note("1", "x")), {Job: "1", Entry: grammar.Question{Question: "next"}}, fix(scratch(1, 0))}, ""},
		{"reached by the second", []Draft{site("A"), note("1", "x"), fix(scratch(1, 0)), fix(scratch(1, 0))}, ""},
		{"restored", []Draft{site("A"), fix(scratch(1, 0)), fix(scratch(0, 3))}, "A"},
		{"replaced", []Draft{site("A"), note("1", "x"), fix(grammar.Correction{Verb: "change", Entry: 2, Replace: []grammar.Entry{grammar.Site{Text: "C"}}})}, "C"},
		{"put in place of a note", []Draft{note("1", "x"), fix(grammar.Correction{Verb: "change", Entry: 2, Replace: []grammar.Entry{grammar.Site{Text: "C"}}})}, "C"},
		{"unconfirmed", []Draft{site("A"), unsure(site("B"))}, "A"},
		{"confirmed", []Draft{site("A"), unsure(site("B")), fix(grammar.Correction{Verb: "confirm"})}, "B"},
		{"a correction confirmed", []Draft{site("A"), unsure(fix(scratch(1, 0))), fix(grammar.Correction{Verb: "confirm", Entry: 3})}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			j, _ := openTemp(t)
			mustAppend(t, j, append([]Draft{start("1")}, c.drafts...)...)
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
