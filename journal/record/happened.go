package record

import (
	"time"

	"downlead/grammar/entry"
)

// laterAllowed is how much later than it was said a told time may be: a time
// put right may move on, but nobody tells of the day after. A judgement.
const laterAllowed = 6 * time.Hour

// Happened is when what a record says happened: its own time, but of a time
// mark that was told ("got here at ten fifteen") that time, as a clock in the
// record's zone showed it last. Whole minutes, as told.
func (d *Draft) Happened() time.Time {
	t, ok := d.Entry.(entry.Time)
	if !ok || t.At == "" {
		return d.At
	}
	clock, err := time.Parse("15:04", t.At)
	if err != nil {
		return d.At
	}
	at := d.At
	if zone, err := time.LoadLocation(d.Zone); err == nil && d.Zone != "" {
		at = at.In(zone)
	}
	for day := 1; ; day-- {
		told := time.Date(at.Year(), at.Month(), at.Day()+day, clock.Hour(), clock.Minute(), 0, 0, at.Location())
		if !told.After(at.Add(laterAllowed)) {
			return told
		}
	}
}
