package review

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"downlead/diagnose/visit"
	"downlead/export/closeout"
	"downlead/export/figure"
	"downlead/export/pay"
	"downlead/export/quality"
)

// leafRecords are pay and quality of an invented week and month, reckoned by
// the packages that reckon the real ones.
func leafRecords(t testing.TB, r Records) Records {
	t.Helper()
	rates, err := pay.ReadRates(strings.NewReader("employee = \"Ana Núñez <T-17>\"\nzone = \"America/Denver\"\n[[rates]]\nfrom = \"2020-01-01\"\nbasis = \"hourly\"\nhourly = \"12\"\n"))
	if err != nil {
		t.Fatal(err)
	}
	r.Pay.Leaf = func(_ context.Context, week string) (figure.Leaf, error) {
		var works []pay.Work
		from, _, err := rates.WeekBounds(week)
		for i := range 5 {
			at := from.Add(time.Duration(24*i+8) * time.Hour)
			works = append(works, pay.Work{Job: fmt.Sprint(4400 + i), Outcome: closeout.Fixed, Marks: []visit.Mark{
				{Entry: int64(3*i + 1), Mark: "en_route", At: at}, {Entry: int64(3*i + 2), Mark: "arrived", At: at.Add(30 * time.Minute)}, {Entry: int64(3*i + 3), Mark: "departed", At: at.Add(7 * time.Hour)},
			}})
		}
		if err != nil {
			return figure.Leaf{}, err
		}
		p, err := pay.NewPay(pay.PayInput{Works: works, Rates: rates, Week: week, Version: "test"})
		if err != nil {
			return figure.Leaf{}, err
		}
		return p.Leaf()
	}
	r.Quality.Leaf = func(_ context.Context, month string) (figure.Leaf, error) {
		from := time.Date(2026, 11, 1, 0, 0, 0, 0, clock().Location())
		q := quality.Quality{
			Month: month, From: from, Note: "Invented.",
			Figures: []quality.Figure{{Title: "first-time fix", Shown: "13 of 16 (0.57 to 0.93)", Definition: "fixes that held", Numerator: 13, Denominator: 16, Low: 0.5699, High: 0.9341, Window: "the month"}},
			Spreads: []quality.Spread{{Name: "on_site", Definition: "arrived to departed", Unit: "min", N: 3, Min: 10, Q1: 20, Median: 30, Q3: 40, Max: 50}},
			Chart:   quality.PChart{Definition: "not fixed", Mean: 0.2, Groups: []quality.Group{{Label: "W45", N: 10, Bad: 2, High: 0.58}, {Label: "W46", N: 6, Bad: 5, High: 0.69, Out: true}}},
			Sample:  quality.Sample{Lot: month, N: 5, Size: 16, Plan: "invented", Head: strings.Repeat("ab", 32), Jobs: []string{"4401", "4402"}},
			Jobs:    []quality.QualityJob{{Job: "4401", Visit: 1, Began: from.Add(9 * time.Hour), Outcome: closeout.NotFixed, Failed: "closed as not fixed"}},
		}
		return q.Leaf()
	}
	return r
}

// TestPayAndQualityAreTables: pay and quality stand as tables with heads and
// as figures with words, not as a block of text; what a person wrote in them
// stays words.
func TestPayAndQualityAreTables(t *testing.T) {
	j, p := newJournal(t), newParser(t)
	s := open(t, Config{Journal: j, Parser: p, Records: leafRecords(t, plainRecords())}).in()
	_, page := s.get("/records?pay=2026-W47&quality=2026-11")
	for _, want := range []string{
		`<caption class="hide">Workdays</caption>`, `<th scope="col">worked</th>`, `<th scope="row">2026-11-16</th><td>7:00</td>`, `<th scope="row">check total</th><td>420.00</td>`,
		`<th scope="row">employee</th><td>Ana Núñez &lt;T-17&gt;</td>`, `<th scope="row">policies in force</th>`,
		`<th scope="row">first-time fix</th><td>13 of 16`, `<caption class="hide">Visits that failed</caption>`, `closed as not fixed`, `Visits to inspect: 4401, 4402`,
		`Hours worked in 2026-W47</title>`, `Figures of 2026-11</title>`,
	} {
		if !strings.Contains(page, want) {
			t.Errorf("the page has no %s", want)
		}
	}
	if n := strings.Count(page, "<svg xmlns"); n != 3 {
		t.Errorf("%d figures, want the hours, the intervals and the chart", n)
	}
	if strings.Contains(page, "<pre>") {
		t.Error("a block of text is left")
	}
	if _, page := s.get("/records?pay=last"); !strings.Contains(page, "is not written as the label says") {
		t.Error("a week that is none is not refused")
	}
}
