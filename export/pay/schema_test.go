package pay

import (
	"bytes"
	"testing"
	"time"

	"downlead/export/closeout"
	"downlead/export/exporttest"
)

// oddWeek has what a week can have: time without a job, flags, no end of a job.
func oddWeek(t *testing.T) Pay {
	w := newWorker(t)
	w.job("", "shop_time 2026-11-17 07:00", "back_at_shop 2026-11-17 16:40", "day_end 2026-11-17 17:00")
	c := w.job("1", "en_route 2026-11-17 08:00", "arrived 2026-11-17 08:30", "break_start 2026-11-17 12:00", "break_end 2026-11-17 12:25", "departed 2026-11-17 16:00")
	c.Codes = []closeout.Code{{Entry: 9, At: w.when("2026-11-24 08:00"), Code: "7", Units: exporttest.Num("1.5")}}
	c.Marks[1].Was, c.Closed, c.Outcome = []time.Time{w.when("2026-11-17 08:40")}, nil, closeout.StillOpen
	p, err := w.pay(withPolicy("round_minutes = 15"), "2026-W47")
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// TestPaySchema: every week fits the published schema.
func TestPaySchema(t *testing.T) {
	exporttest.Fits(t, PaySchemaJSON, [][]byte{
		exporttest.Render(t, func(b *bytes.Buffer) error { return fullWeek(t).JSON(b) }), exporttest.Render(t, func(b *bytes.Buffer) error { return oddWeek(t).JSON(b) }),
	}, `"week": "2026-W47"`, `"week": "47"`)
}
