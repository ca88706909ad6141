package record

import (
	"testing"
	"time"

	"downlead/grammar/entry"
)

// The expected times are clock arithmetic done by hand; the changes of the
// clock are those of the IANA zone (America/Chicago, 1 November 2026).
func TestHappened(t *testing.T) {
	for _, c := range []struct{ said, told, want string }{
		{"2026-11-05T10:40:00-06:00", "10:15", "2026-11-05T10:15:00-06:00"},
		{"2026-11-05T20:00:00-06:00", "07:30", "2026-11-05T07:30:00-06:00"},
		{"2026-11-05T00:10:00-06:00", "23:50", "2026-11-04T23:50:00-06:00"},
		{"2026-11-05T11:00:00-06:00", "11:20", "2026-11-05T11:20:00-06:00"},
		{"2026-11-01T08:00:00-06:00", "00:30", "2026-11-01T00:30:00-05:00"},
	} {
		at, err := time.Parse(time.RFC3339, c.said)
		if err != nil {
			t.Fatal(err)
		}
		d := Draft{At: at.UTC(), Zone: "America/Chicago", Entry: entry.Time{Mark: "arrived", At: c.told}}
		if got := d.Happened().Format(time.RFC3339); got != c.want {
			t.Errorf("said %s, told %s: %s, want %s", c.said, c.told, got, c.want)
		}
	}
	at := time.Now()
	if d := (&Draft{At: at, Entry: entry.Time{Mark: "arrived"}}); !d.Happened().Equal(at) {
		t.Errorf("untold: %v, want the record's own time", d.Happened())
	}
}
