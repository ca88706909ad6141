package journal_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"downlead/grammar"
	"downlead/journal"
)

// A reading is stored, corrected, and read back as it counts now.
func Example() {
	dir, err := os.MkdirTemp("", "journal")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(dir)
	ctx := context.Background()
	j, err := journal.Open(ctx, filepath.Join(dir, "journal.db"), journal.Options{Create: true})
	if err != nil {
		panic(err)
	}
	defer j.Close()

	point := grammar.Point{Element: grammar.WallPlate, Side: grammar.ReceiverSide}
	_, err = j.Append(ctx,
		journal.Draft{Phrase: "start job 4412", Entry: grammar.Job{Verb: "start", Number: "4412"}},
		journal.Draft{Job: "4412", Phrase: "wall plate minus forty one", Entry: grammar.Reading{Point: point, Level: grammar.NewDecimal(-41, 0)}},
		journal.Draft{Job: "4412", Phrase: "correct that, minus forty three", Entry: grammar.Correction{Verb: "change", Level: grammar.NewDecimal(-43, 0)}},
	)
	if err != nil {
		panic(err)
	}
	records, err := j.Job(ctx, "4412")
	if err != nil {
		panic(err)
	}
	fmt.Println(len(records), "records")
	for _, r := range journal.Current(records) {
		if reading, ok := r.Entry.(grammar.Reading); ok {
			fmt.Println("entry", r.Seq, "now reads", reading.Level, "dBm")
		}
	}
	report, err := j.Verify(ctx, journal.VerifyOptions{})
	fmt.Println("intact:", report.OK, err)
	// Output:
	// 3 records
	// entry 2 now reads -43 dBm
	// intact: true <nil>
}
