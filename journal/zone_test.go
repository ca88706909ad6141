package journal

import (
	"errors"
	"testing"
	"time"
)

// Source of the nights: the rules of the US Energy Policy Act of 2005, section
// 110 (second Sunday of March to first Sunday of November, at 02:00), and of
// directive 2000/84/EC (last Sundays of March and October, at 01:00 UTC).
func TestLocalTime(t *testing.T) {
	for _, c := range []struct {
		zone, wall     string
		want           string // UTC; "" where there is none or two
		twice          bool
		earlier, later string
	}{
		{zone: "America/Chicago", wall: "2026-03-08 01:59", want: "2026-03-08T07:59:00Z"},
		{zone: "America/Chicago", wall: "2026-03-08 02:00", earlier: "2026-03-08T07:00:00Z", later: "2026-03-08T08:00:00Z"},
		{zone: "America/Chicago", wall: "2026-03-08 02:59", earlier: "2026-03-08T07:59:00Z", later: "2026-03-08T08:59:00Z"},
		{zone: "America/Chicago", wall: "2026-03-08 03:00", want: "2026-03-08T08:00:00Z"},
		{zone: "America/Chicago", wall: "2026-11-01 00:59", want: "2026-11-01T05:59:00Z"},
		{zone: "America/Chicago", wall: "2026-11-01 01:00", twice: true, earlier: "2026-11-01T06:00:00Z", later: "2026-11-01T07:00:00Z"},
		{zone: "America/Chicago", wall: "2026-11-01 01:59", twice: true, earlier: "2026-11-01T06:59:00Z", later: "2026-11-01T07:59:00Z"},
		{zone: "America/Chicago", wall: "2026-11-01 02:00", want: "2026-11-01T08:00:00Z"},
		{zone: "America/Phoenix", wall: "2026-03-08 02:30", want: "2026-03-08T09:30:00Z"}, // Arizona keeps standard time
		{zone: "Europe/Berlin", wall: "2026-03-29 02:30", earlier: "2026-03-29T00:30:00Z", later: "2026-03-29T01:30:00Z"},
		{zone: "Europe/Berlin", wall: "2026-10-25 02:30", twice: true, earlier: "2026-10-25T00:30:00Z", later: "2026-10-25T01:30:00Z"},
		{zone: "UTC", wall: "2026-10-25 02:30", want: "2026-10-25T02:30:00Z"},
	} {
		t.Run(c.zone+" "+c.wall, func(t *testing.T) {
			loc, err := time.LoadLocation(c.zone)
			if err != nil {
				t.Fatal(err)
			}
			wall, err := time.Parse("2006-01-02 15:04", c.wall)
			if err != nil {
				t.Fatal(err)
			}
			got, err := LocalTime(wall, loc)
			if c.want != "" {
				if err != nil || got.UTC().Format(time.RFC3339) != c.want || got.Format("2006-01-02 15:04") != c.wall {
					t.Errorf("got %v, %v, want %s", got, err, c.want)
				}
				return
			}
			var e *LocalTimeError
			if !errors.As(err, &e) {
				t.Fatalf("got %v, %v, want a question", got, err)
			}
			if e.Twice != c.twice || e.Earlier.UTC().Format(time.RFC3339) != c.earlier || e.Later.UTC().Format(time.RFC3339) != c.later {
				t.Errorf("got twice=%v %v %v (%v)", e.Twice, e.Earlier.UTC(), e.Later.UTC(), e)
			}
		})
	}
}

// The two clock changes in one journal: the offset tells the hours apart.
func TestBothHoursOfADoubledNightAreKeptApart(t *testing.T) {
	j, path := openTemp(t)
	mustAppend(t, j, start("1"))
	for _, utc := range []string{"2026-11-01T06:30:00Z", "2026-11-01T07:30:00Z"} {
		d := note("1", utc)
		d.At, _ = time.Parse(time.RFC3339, utc)
		d.Zone = "America/Chicago"
		mustAppend(t, j, d)
	}
	j.Close()
	records, err := mustOpen(t, path, Options{}).Job(t.Context(), "1")
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []string{"2026-11-01T01:30:00-05:00", "2026-11-01T01:30:00-06:00"} {
		if got := records[i+1].At.Format(time.RFC3339); got != want {
			t.Errorf("got %s, want %s", got, want)
		}
	}
}

func TestZoneOfADraft(t *testing.T) {
	j, _ := openTemp(t)
	mustAppend(t, j, start("1"))
	d := note("1", "x")
	d.At = time.Date(2026, 7, 1, 12, 0, 0, 0, time.FixedZone("", -5*3600))
	got := mustAppend(t, j, d)
	read, err := j.Record(t.Context(), got[0].Seq)
	if err != nil || read.Zone != "" || read.At.Format(time.RFC3339) != "2026-07-01T12:00:00-05:00" {
		t.Errorf("a bare offset: %q %v, %v", read.Zone, read.At, err)
	}
	// An offset that is not (any more) the zone's own holds.
	var z zones
	if at := z.in(d.At, "America/Chicago", -7*3600); at.Format(time.RFC3339) != "2026-07-01T10:00:00-07:00" {
		t.Errorf("the stored offset does not hold: %v", at)
	}
	// A location that only looks like a zone keeps its offset and no name.
	d.At = time.Date(2026, 7, 1, 12, 0, 0, 0, time.FixedZone("Europe/Berlin", -3600))
	if got := mustAppend(t, j, d); got[0].Zone != "" {
		t.Errorf("the zone %q was taken for the offset -01:00", got[0].Zone)
	}
	if _, err := time.LoadLocation(LocalZone()); err != nil {
		t.Errorf("LocalZone: %v", err)
	}
	for _, zone := range []string{"Mars/Base", "../../etc/passwd", "America"} {
		d.Zone = zone
		if _, err := j.Append(t.Context(), d); err == nil {
			t.Errorf("the zone %q was taken", zone)
		}
	}
}
