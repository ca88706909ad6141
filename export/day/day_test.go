package day

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	_ "time/tzdata" // the zone of the tests, on a machine without any

	"downlead/diagnose"
	"downlead/diagnose/level"
	"downlead/export/closeout"
	"downlead/export/exporttest"
	"downlead/grammar"
	"downlead/journal/record"
)

// journalOf makes the jobs of lines "11-18 08:00 JOB phrase"; the job "-" is
// time without one.
func journalOf(t *testing.T, lines string) []*diagnose.Job {
	t.Helper()
	p, err := grammar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	by, order := map[string][]record.Record{}, []string{}
	seq := int64(0)
	for line := range strings.SplitSeq(strings.TrimSpace(lines), "\n") {
		f := strings.SplitN(strings.TrimSpace(line), " ", 4)
		at, err := time.ParseInLocation("2006-01-02 15:04", "2026-"+f[0]+" "+f[1], exporttest.Mountain(t))
		if err != nil {
			t.Fatal(err)
		}
		entries, err := p.Parse(f[3])
		if err != nil {
			t.Fatalf("%s: %v", f[3], err)
		}
		job := strings.Trim(f[2], "-")
		if by[job] == nil {
			order = append(order, job)
		}
		for _, e := range entries {
			seq++
			by[job] = append(by[job], record.Record{Seq: seq, Draft: record.Draft{
				Job: job, At: at, Zone: "America/Denver", TimeSource: record.FromClock, Origin: record.Typed, Phrase: f[3], Entry: e,
			}})
		}
	}
	var out []*diagnose.Job
	for _, job := range order {
		out = append(out, diagnose.NewJob(by[job], level.Options{}))
	}
	return out
}

func dayOf(t *testing.T, lines, date string) Day {
	t.Helper()
	d, err := newDay(t, lines, date)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func newDay(t *testing.T, lines, date string) (Day, error) {
	t.Helper()
	at, err := time.ParseInLocation("2006-01-02 15:04", "2026-"+date+" 18:00", exporttest.Mountain(t))
	if err != nil {
		t.Fatal(err)
	}
	return New(Input{
		Jobs: journalOf(t, lines), Date: at, Version: "test", AsOf: at,
		Journal: closeout.ChainHead{Head: strings.Repeat("ab", 32), Count: 99},
	})
}

// twoJobs is a day of a fixed job, one that is left open for three people, and
// an hour at the shop; and what lies on the days beside it.
const twoJobs = `
11-17 16:00 0900 start job 0900
11-17 16:05 0900 drove ninety miles
11-18 07:00 - shop time
11-18 08:00 1001 start job 1001
11-18 08:00 1001 on the road
11-18 08:30 1001 arrived
11-18 08:31 1001 site 12 quarry lane
11-18 08:40 1001 behind receiver one fail minus sixty three
11-18 08:50 1001 ground block dish side pass minus thirty six
11-18 08:55 1001 receiver side fail minus fifty four
11-18 09:10 1001 replaced ground block
11-18 09:11 1001 used two fittings
11-18 09:20 1001 behind receiver one pass minus forty six
11-18 09:30 1001 drove twelve miles
11-18 09:40 1001 leaving
11-18 09:41 1001 close job customer had to leave
11-18 10:00 1002 start job 1002
11-18 10:00 1002 on the road
11-18 10:20 1002 arrived
11-18 10:30 1002 outlet fail open ground
11-18 10:40 1002 used two fittings
11-18 10:45 1002 used thirty feet of cable
11-18 10:50 1002 drove three miles
11-18 12:00 1002 lunch
11-18 12:30 1002 back from lunch
11-18 13:00 1002 needs a second technician
11-19 08:00 1002 drove fifty miles`

func TestDay(t *testing.T) {
	d := dayOf(t, twoJobs, "11-18")
	exporttest.Golden(t, "day.txt", exporttest.Render(t, func(b *bytes.Buffer) error { return d.Text(b) }))
	// By hand, from the lines: 1001 30 + 70 min; 1002 20 min travel, 100 min and
	// what follows lunch, which nothing ends; a gap of 20 min between.
	want := Totals{Site: (70 + 100) * 60, Travel: 50 * 60, Break: 30 * 60, Other: 60 * 60, Gap: 20 * 60}
	if d.Totals != want {
		t.Errorf("totals %+v, want %+v", d.Totals, want)
	}
	if got := d.Miles.String(); got != "15" {
		t.Errorf("%s miles, want 15: those of other days are not of this one", got)
	}
	var sum Totals
	for _, s := range d.Times {
		sum.add(s)
	}
	if sum != d.Totals {
		t.Errorf("the times come to %+v, the totals to %+v", sum, d.Totals)
	}
	said := "1001 fixed, 1002 needs a second technician. On site 2 h 50 min, on the road 50 min, break 30 min, shop, meetings, training 1 h 00 min, not marked 20 min. 15 miles. To restock: four fittings, thirty feet of cable, one ground block. Left open: "
	if got := d.Say(); !strings.HasPrefix(got, said) {
		t.Errorf("said %q,\nwant %q", got, said)
	}
}

// TestDayIsForWhom: each thing that is left has one who it is for.
func TestDayIsForWhom(t *testing.T) {
	for _, x := range []struct {
		name, lines, what string
		to                For
	}{
		{"an open job's steps", "11-18 08:00 1 start job 1", "baseline", Technician},
		{"a closed job's steps", "11-18 08:00 1 start job 1\n11-18 08:10 1 close job dog in the yard", "baseline", NextVisit},
		{"an outlet", "11-18 08:00 1 start job 1\n11-18 08:10 1 outlet fail open ground", "finding", Electrician},
		{"the grounding", "11-18 08:00 1 start job 1\n11-18 08:10 1 grounding fail corroded clamp", "finding", Electrician},
		{"a mount", "11-18 08:00 1 start job 1\n11-18 08:10 1 mount fail loose foot", "finding", Technician},
		{"another day", "11-18 08:00 1 start job 1\n11-18 08:10 1 rescheduled for Thursday", "rescheduled", Customer},
		{"nobody at home", "11-18 08:00 1 start job 1\n11-18 08:10 1 customer not home", "no_access", Customer},
		{"two hands more", "11-18 08:00 1 start job 1\n11-18 08:10 1 needs a second technician", "needs_help", SecondTech},
		{"a time without an end", "11-18 08:00 1 start job 1\n11-18 08:10 1 arrived", "time", Technician},
	} {
		found := false
		for _, l := range dayOf(t, x.lines, "11-18").Left {
			if l.What == x.what {
				found = true
				if l.For != x.to {
					t.Errorf("%s: %s is for %s, want %s", x.name, l.Detail, l.For, x.to)
				}
			}
		}
		if !found {
			t.Errorf("%s: nothing of %q is left", x.name, x.what)
		}
	}
}

// TestRestock: what was said is not counted again for the repair that used it.
func TestRestock(t *testing.T) {
	for said, want := range map[string]string{
		"11-18 08:10 1 replaced ground block":                                    "1 × ground block (put in, not said as used)",
		"11-18 08:10 1 replaced ground block\n11-18 08:11 1 used a ground block": "1 × ground block",
		"11-18 08:10 1 added two barrels\n11-18 08:11 1 used one barrel":         "1 × barrel, 1 × barrel (put in, not said as used)",
		"11-18 08:10 1 removed splitter":                                         "",
		"11-17 08:10 1 used a ground block\n11-18 08:10 1 raining":               "",
	} {
		d := dayOf(t, "11-17 08:00 1 start job 1\n"+said, "11-18")
		if got := strings.Join(words(d.Restock), ", "); got != want {
			t.Errorf("%s: to restock %q, want %q", said, got, want)
		}
	}
}

// TestDayWhenClocksChange: daylight saving time ends at 2 a.m. on the first
// Sunday of November and begins on the second of March (15 U.S.C. 260a): of
// 2026 that is 1 November and 8 March. From 00:30 to 03:30 by the clock are four
// hours, and two.
func TestDayWhenClocksChange(t *testing.T) {
	for date, hours := range map[string]int64{"11-01": 4, "03-08": 2, "11-02": 3} {
		d := dayOf(t, strings.ReplaceAll("D 00:10 1 start job 1\nD 00:30 1 arrived\nD 03:30 1 leaving", "D", date), date)
		if d.Totals.Site != hours*3600 {
			t.Errorf("%s: %d s on site, want %d h", date, d.Totals.Site, hours)
		}
	}
}

// TestDayEndsAtMidnight: a night's work is cut at midnight, and no second of it
// is in both days or in neither.
func TestDayEndsAtMidnight(t *testing.T) {
	lines := "11-18 22:00 1 start job 1\n11-18 22:30 1 arrived\n11-19 01:15 1 leaving"
	a, b := dayOf(t, lines, "11-18"), dayOf(t, lines, "11-19")
	if a.Totals.Site != 90*60 || b.Totals.Site != 75*60 {
		t.Errorf("%d s and %d s on site, want 90 and 75 min", a.Totals.Site, b.Totals.Site)
	}
}

func TestEmptyDay(t *testing.T) {
	if _, err := newDay(t, twoJobs, "11-20"); !errors.Is(err, ErrEmpty) {
		t.Errorf("error %v, want that the day is empty", err)
	}
}

// TestDaySchema: every day fits the published schema.
func TestDaySchema(t *testing.T) {
	var docs [][]byte
	for _, lines := range []string{twoJobs, "11-18 07:00 - shop time\n11-18 17:00 - end of day", "11-18 08:00 1 start job 1"} {
		docs = append(docs, exporttest.Render(t, func(b *bytes.Buffer) error { return dayOf(t, lines, "11-18").JSON(b) }))
	}
	exporttest.Fits(t, SchemaJSON, docs, `"date": "2026-11-18"`, `"date": "today"`)
}

// TestDayPDF: another program reads the same jobs and parts from the document,
// and finds nothing wrong with it.
func TestDayPDF(t *testing.T) {
	d := dayOf(t, twoJobs, "11-18")
	file := filepath.Join(t.TempDir(), "day.pdf")
	b := exporttest.Render(t, func(b *bytes.Buffer) error { return d.PDF(b) })
	if err := os.WriteFile(file, b, 0o600); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(b, exporttest.Render(t, func(b *bytes.Buffer) error { return d.PDF(b) })) {
		t.Error("the same day gave other bytes")
	}
	exporttest.Tool(t, "qpdf", "--check", file)
	text := exporttest.Tool(t, "pdftotext", "-layout", file, "-")
	for _, want := range []string{"Wednesday 2026-11-18", "1001", "needs a second technician", "4 × fitting", "for a licensed electrician", "08:30"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in the document:\n%s", want, text)
		}
	}
}
