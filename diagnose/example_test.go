package diagnose_test

import (
	"fmt"

	"downlead/diagnose/claim"
	"downlead/diagnose/level"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

func Example() {
	point := func(e entry.Element, side entry.Side) entry.Point { return entry.Point{Element: e, Side: side} }
	var records []record.Record
	for i, e := range []entry.Entry{
		entry.Reading{Point: point(entry.Receiver, entry.DishSide), Verdict: entry.Fail, Level: entry.NewDecimal(-57, 0)},
		entry.Reading{Point: point(entry.GroundBlock, entry.ReceiverSide), Verdict: entry.Fail, Level: entry.NewDecimal(-51, 0)},
		entry.Reading{Point: point(entry.GroundBlock, entry.DishSide), Verdict: entry.Pass, Level: entry.NewDecimal(-38, 0)},
	} {
		records = append(records, record.Record{Seq: int64(i + 1), Draft: record.Draft{Job: "1", Entry: e}})
	}
	d := claim.Diagnose(records, level.Options{})
	fmt.Println(d.Phase)
	fmt.Println(d.Brackets[0].Text)
	fmt.Println(d.Suspects[0].Elements[0])
	// Output:
	// repairing
	// It passes at the ground block, dish side, and fails at the ground block, receiver side. The fault is in the ground block or its fittings.
	// ground_block 1
}
