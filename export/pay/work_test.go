package pay

import (
	"testing"
	"time"

	"downlead/diagnose/visit"
)

// What is logged at the minute in which a visit begins belongs to it, and is paid
// in the week of its departure.
func TestAnEntryBelongsToTheVisitThatHasBegun(t *testing.T) {
	at := func(day, hour int) time.Time { return time.Date(2026, 11, day, hour, 0, 0, 0, time.UTC) }
	visits := visit.Of("1", []visit.Mark{
		{Entry: 1, Mark: "arrived", At: at(17, 8)},
		{Entry: 2, Mark: "departed", At: at(17, 9)},
		{Entry: 3, Mark: "arrived", At: at(24, 8)},
		{Entry: 4, Mark: "departed", At: at(24, 10)},
	})
	for logged, want := range map[time.Time]time.Time{
		at(16, 8): at(17, 9), at(17, 8): at(17, 9), at(24, 7): at(17, 9), at(24, 8): at(24, 10), at(25, 8): at(24, 10),
	} {
		if got := paidAt(visits, logged); !got.Equal(want) {
			t.Errorf("logged on %s, paid at %s, want %s", logged.Format("2 15:04"), got.Format("2 15:04"), want.Format("2 15:04"))
		}
	}
}
