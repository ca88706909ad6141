package export_test

import (
	"fmt"
	"os"
	"strings"
	"time"

	"downlead/export"
	"downlead/grammar"
	"downlead/journal"
)

func ExampleNewCloseout() {
	at := time.Date(2026, 11, 17, 9, 0, 0, 0, time.UTC)
	var records []journal.Record
	behind := grammar.Point{Element: grammar.Receiver, Number: 1, Side: grammar.DishSide}
	for i, e := range []grammar.Entry{
		grammar.Job{Verb: "start", Number: "4412"},
		grammar.Reading{Point: behind, Verdict: grammar.Fail, Level: grammar.NewDecimal(-54, 0)},
		grammar.Action{Action: "replaced", Element: grammar.Barrel},
		grammar.Reading{Point: behind, Verdict: grammar.Pass, Level: grammar.NewDecimal(-44, 0)},
		grammar.Job{Verb: "close"},
	} {
		records = append(records, journal.Record{Seq: int64(i + 1), Draft: journal.Draft{Job: "4412", At: at.Add(time.Duration(i) * time.Minute), Entry: e}})
	}
	c, err := export.NewCloseout(export.Input{Records: records, Version: "1.0.0", AsOf: at.Add(time.Hour)})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(c.Outcome, c.Causes[0].State, c.Causes[0].Gain)
	// Output: fixed proven 10
}

func ExampleNewPay() {
	rates, err := export.ReadRates(strings.NewReader(export.RatesExample))
	if err != nil {
		fmt.Println(err)
		return
	}
	arrived := time.Date(2026, 11, 17, 15, 0, 0, 0, time.UTC)
	closed := arrived.Add(2 * time.Hour)
	p, err := export.NewPay(export.PayInput{
		Works: []export.Work{{Job: "4412", Closed: &closed, Marks: []export.TimeMark{
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
	low, high := export.Wilson(7, 41)
	fmt.Fprintf(os.Stdout, "%.4f to %.4f\n", low, high)
	// Output: 0.0853 to 0.3126
}
