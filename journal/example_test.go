package journal_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
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

	point := entry.Point{Element: entry.WallPlate, Side: entry.ReceiverSide}
	_, err = j.Append(ctx,
		record.Draft{Phrase: "start job 4412", Entry: entry.Job{Verb: "start", Number: "4412"}},
		record.Draft{Job: "4412", Phrase: "wall plate minus forty one", Entry: entry.Reading{Point: point, Level: entry.NewDecimal(-41, 0)}},
		record.Draft{Job: "4412", Phrase: "correct that, minus forty three", Entry: entry.Correction{Verb: "change", Level: entry.NewDecimal(-43, 0)}},
	)
	if err != nil {
		panic(err)
	}
	records, err := j.Job(ctx, "4412")
	if err != nil {
		panic(err)
	}
	fmt.Println(len(records), "records")
	for _, r := range record.Current(records) {
		if reading, ok := r.Entry.(entry.Reading); ok {
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
