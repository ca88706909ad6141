package export_test

import (
	"fmt"
	"os"
	"strings"
	"time"

	"downlead/export/closeout"
	"downlead/export/pay"
	"downlead/export/quality"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

func ExampleNewCloseout() {
	at := time.Date(2026, 11, 17, 9, 0, 0, 0, time.UTC)
	var records []record.Record
	behind := entry.Point{Element: entry.Receiver, Number: 1, Side: entry.DishSide}
	for i, e := range []entry.Entry{
		entry.Job{Verb: "start", Number: "4412"},
		entry.Reading{Point: behind, Verdict: entry.Fail, Level: entry.NewDecimal(-54, 0)},
		entry.Action{Action: "replaced", Element: entry.Barrel},
		entry.Reading{Point: behind, Verdict: entry.Pass, Level: entry.NewDecimal(-44, 0)},
		entry.Job{Verb: "close"},
	} {
		records = append(records, record.Record{Seq: int64(i + 1), Draft: record.Draft{Job: "4412", At: at.Add(time.Duration(i) * time.Minute), Entry: e}})
	}
	c, err := closeout.NewCloseout(closeout.Input{Records: records, Version: "1.0.0", AsOf: at.Add(time.Hour)})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(c.Outcome, c.Causes[0].State, c.Causes[0].Gain)
	// Output: fixed proven 10
}

func ExampleNewPay() {
	rates, err := pay.ReadRates(strings.NewReader(pay.RatesExample))
	if err != nil {
		fmt.Println(err)
		return
	}
	arrived := time.Date(2026, 11, 17, 15, 0, 0, 0, time.UTC)
	closed := arrived.Add(2 * time.Hour)
	p, err := pay.NewPay(pay.PayInput{
		Works: []pay.Work{{Job: "4412", Closed: &closed, Marks: []closeout.TimeMark{
			{Entry: 1, Mark: "arrived", At: arrived}, {Entry: 2, Mark: "departed", At: closed},
		}}},
		Rates: rates, Week: "2026-W47", AsOf: closed,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(p.Summary.Straight, p.Summary.Bonus, p.Summary.Total)
	// Output: 48.00 46.00 94.00
}

func ExampleWilson() {
	low, high := quality.Wilson(7, 41)
	fmt.Fprintf(os.Stdout, "%.4f to %.4f\n", low, high)
	// Output: 0.0853 to 0.3126
}
