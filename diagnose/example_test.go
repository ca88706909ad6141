package diagnose_test

import (
	"fmt"

	"downlead/diagnose"
	"downlead/grammar"
	"downlead/journal"
)

func Example() {
	point := func(e grammar.Element, side grammar.Side) grammar.Point { return grammar.Point{Element: e, Side: side} }
	var records []journal.Record
	for i, e := range []grammar.Entry{
		grammar.Reading{Point: point(grammar.Receiver, grammar.DishSide), Verdict: grammar.Fail, Level: grammar.NewDecimal(-57, 0)},
		grammar.Reading{Point: point(grammar.GroundBlock, grammar.ReceiverSide), Verdict: grammar.Fail, Level: grammar.NewDecimal(-51, 0)},
		grammar.Reading{Point: point(grammar.GroundBlock, grammar.DishSide), Verdict: grammar.Pass, Level: grammar.NewDecimal(-38, 0)},
	} {
		records = append(records, journal.Record{Seq: int64(i + 1), Draft: journal.Draft{Job: "1", Entry: e}})
	}
	d := diagnose.Diagnose(records, diagnose.Options{})
	fmt.Println(d.Phase)
	fmt.Println(d.Brackets[0].Text)
	fmt.Println(d.Suspects[0].Elements[0])
	// Output:
	// repairing
	// It passes at the ground block, dish side, and fails at the ground block, receiver side. The fault is in the ground block or its fittings.
	// ground_block 1
}
