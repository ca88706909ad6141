package office

import (
	"fmt"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgtype"

	"downlead/export/closeout"
	"downlead/export/quality"
	"downlead/grammar/entry"
)

// What was logged when a visit began belongs to it.
func TestTheVisitOfATime(t *testing.T) {
	at := time.Date(2026, 11, 17, 8, 0, 0, 0, time.UTC)
	j := Job{Visits: []quality.Visited{{N: 1, Began: at}, {N: 2, Began: at.AddDate(0, 0, 7)}}}
	for after, want := range map[time.Duration]int32{-time.Hour: 1, 0: 1, 7*24*time.Hour - time.Second: 1, 7 * 24 * time.Hour: 2, 30 * 24 * time.Hour: 2} {
		if got := j.visitAt(at.Add(after)); got != want {
			t.Errorf("%v after the first began: visit %d, want %d", after, got, want)
		}
	}
	if got := (Job{}).visitAt(at); got != 0 {
		t.Errorf("without a visit: %d", got)
	}
}

// What was seen and noticed goes into the database once, with what it was seen of.
func TestObservedRows(t *testing.T) {
	at := time.Date(2026, 11, 17, 9, 0, 0, 0, time.UTC)
	v := quality.Visited{N: 1, Closeout: closeout.Closeout{Seen: []closeout.Seen{
		{Entry: 7, At: at, Kind: entry.KindSighting, What: "wet", Element: entry.Fitting, Text: "wet fitting at the wall plate"},
		{Entry: 8, At: at, Kind: entry.KindSymptom, What: "freezing", When: "rain", Element: entry.Receiver, Number: 2, Text: "freezing when it rains"},
	}}}
	s := newSheets()
	seen := map[int64]bool{}
	s.addVisit(1, v, "{}", nil, seen)
	v.N = 2 // the record of a later visit holds it too
	s.addVisit(1, v, "{}", nil, seen)
	if n := len(s.observed.rows); n != 2 {
		t.Fatalf("%d rows", n)
	}
	for i, want := range []string{"[1 1 7 2026-11-17 09:00:00 +0000 UTC sighting wet fitting <nil>   wet fitting at the wall plate]", "[1 1 8 2026-11-17 09:00:00 +0000 UTC symptom freezing receiver 2  rain freezing when it rains]"} {
		if got := fmt.Sprint(s.observed.rows[i]); got != want {
			t.Errorf("got %s, want %s", got, want)
		}
	}
}

// A number goes into the database as it was said: nought, whole tens, six places.
func TestNumeric(t *testing.T) {
	for _, s := range []string{"0", "10", "-50", "100", "0.5", "-41.25", "35.123456", "-0.000001"} {
		d, err := entry.ParseDecimal(s)
		if err != nil {
			t.Fatal(err)
		}
		n, ok := numeric(d).(pgtype.Numeric)
		if !ok || !n.Valid || n.Exp > 0 {
			t.Errorf("%s: %+v", s, n)
			continue
		}
		if v, err := n.Value(); err != nil || fmt.Sprint(v) != s {
			t.Errorf("%s becomes %v, %v", s, v, err)
		}
	}
	if numeric(entry.Decimal{}) != nil {
		t.Error("what was not said is a number")
	}
}
