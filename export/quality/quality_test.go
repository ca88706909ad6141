package quality

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"downlead/diagnose/path"
	"downlead/export/closeout"
	"downlead/export/exporttest"
	"downlead/export/pdf"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

func TestWilson(t *testing.T) {
	tests := []struct {
		k, n      int
		low, high float64
		source    string
	}{
		{13, 16, 0.5699, 0.9341, "published worked example of the score interval"},
		{81, 263, 0.2553, 0.3662, "Newcombe 1998, table I, method 3, from memory"},
		{15, 148, 0.0624, 0.1605, "Newcombe 1998, table I, method 3, from memory"},
		{0, 20, 0, 0.1611, "Newcombe 1998, table I, method 3, from memory"},
		{1, 29, 0.0061, 0.1718, "Newcombe 1998, table I, method 3, from memory"},
		{7, 41, 0.0853, 0.3126, "independent computation"},
		{0, 0, 0, 1, "nothing is known"},
		{20, 20, 1 - 0.1611, 1, "mirror of 0 of 20"},
	}
	for _, tt := range tests {
		low, high := Wilson(tt.k, tt.n)
		if math.Abs(low-tt.low) > 5e-5 || math.Abs(high-tt.high) > 5e-5 {
			t.Errorf("%d of %d: %.4f to %.4f, want %.4f to %.4f (%s)", tt.k, tt.n, low, high, tt.low, tt.high, tt.source)
		}
	}
}

func TestPLimits(t *testing.T) {
	tests := []struct {
		mean      float64
		n         int
		low, high float64
		source    string
	}{
		{0.2313, 50, 0.0524, 0.4102, "NIST/SEMATECH e-Handbook 6.3.3.2: mean of the wafers' example; limits by independent computation"},
		{0.40, 100, 0.2530, 0.5470, "independent computation"},
		{0.01, 20, 0, 0.0767, "the lower limit is no less than 0"},
	}
	for _, tt := range tests {
		low, high := PLimits(tt.mean, tt.n)
		if math.Abs(low-tt.low) > 5e-5 || math.Abs(high-tt.high) > 5e-5 {
			t.Errorf("%g, %d: %.4f %.4f, want %.4f %.4f (%s)", tt.mean, tt.n, low, high, tt.low, tt.high, tt.source)
		}
	}
}

// TestPlanFor: MIL-STD-105E, tables I and II-A, level II, AQL 2.5, normal,
// single, at both ends of every range of lots.
func TestPlanFor(t *testing.T) {
	tests := []struct{ from, to, n, accept int }{
		{5, 50, 5, 0},
		{51, 150, 20, 1},
		{151, 280, 32, 2},
		{281, 500, 50, 3},
		{501, 1200, 80, 5},
		{1201, 3200, 125, 7},
		{3201, 10000, 200, 10},
		{10001, 35000, 315, 14},
		{35001, 1000000, 500, 21},
	}
	for _, tt := range tests {
		for _, lot := range []int{tt.from, tt.to} {
			if p := PlanFor(lot); p.N != tt.n || p.Accept != tt.accept {
				t.Errorf("lot of %d: %+v, want n %d accept %d", lot, p, tt.n, tt.accept)
			}
		}
	}
	for lot := range 5 {
		if p := PlanFor(lot); p.N != lot {
			t.Errorf("lot of %d: inspect %d, want all", lot, p.N)
		}
	}
}

// TestPercentile: NIST/SEMATECH e-Handbook 7.2.6.2 has 12 gauge values, of
// which the 90th percentile lies at rank 11.7 and is 95.1981; from memory.
func TestPercentile(t *testing.T) {
	v := []float64{95.0610, 95.0925, 95.1065, 95.1195, 95.1442, 95.1567, 95.1591, 95.1682, 95.1772, 95.1937, 95.1959, 95.1990}
	if got := percentile(v, 0.9); math.Abs(got-95.1981) > 5e-5 {
		t.Errorf("got %.4f, want 95.1981", got)
	}
	if got := percentile(v, 0.01); got != v[0] {
		t.Errorf("below the first rank: %v", got)
	}
	if got := percentile(v, 0.99); got != v[11] {
		t.Errorf("beyond the last rank: %v", got)
	}
}

func TestDraw(t *testing.T) {
	var jobs []string
	for i := range 300 {
		jobs = append(jobs, fmt.Sprint(i))
	}
	head := record.Hash{1, 2, 3}
	a := Draw("2026-11", head, 7, jobs)
	if a.N != 50 || len(a.Jobs) != 50 {
		t.Fatalf("%d drawn", len(a.Jobs))
	}
	back := slices.Clone(jobs)
	slices.Reverse(back)
	if d := cmp.Diff(a, Draw("2026-11", head, 7, back)); d != "" {
		t.Errorf("the order of the lot matters: %s", d)
	}
	if cmp.Equal(a.Jobs, Draw("2026-12", head, 7, jobs).Jobs) || cmp.Equal(a.Jobs, Draw("2026-11", record.Hash{9}, 7, jobs).Jobs) {
		t.Error("another lot or head draws the same jobs")
	}
	// Every job has the same chance: over 400 heads each is drawn about 400/6
	// times, sd 7.5; six sd is one failure in 10^9.
	count := map[string]int{}
	for i := range 400 {
		for _, j := range Draw("x", record.Hash{byte(i), byte(i >> 8)}, 7, jobs).Jobs {
			count[j]++
		}
	}
	for j, n := range count {
		if math.Abs(float64(n)-400.0/6) > 45 {
			t.Errorf("job %s was drawn %d times of 400", j, n)
		}
	}
	// "lot" and 32 zero bytes through the coreutils program sha256sum.
	if got := Draw("lot", record.Hash{}, 0, nil).Seed; got != "a230a96b6dd5e57f65def25de8a02b574f27bcc47118783c4a44fe98c42396ad" {
		t.Errorf("seed %s", got)
	}
}

// visit is a closed job for quality.
// visitsOf makes a visit of each closeout.
func visitsOf(all []closeout.Closeout) []Visited {
	var out []Visited
	for _, c := range all {
		out = append(out, VisitOf(c))
	}
	return out
}

func visitTo(job, site string, opened time.Time, o closeout.Outcome) closeout.Closeout {
	closed := opened.Add(time.Hour)
	return closeout.Closeout{
		Job: job, Site: closeout.Site{Address: site}, Opened: &opened, Closed: &closed, Outcome: o, Complete: o == closeout.Fixed,
		Durations: closeout.Durations{Travel: -1, OnSite: 3600, Breaks: -1, ReportToClear: -1, ArriveToClear: 1800, ActiveRepair: 900},
	}
}

func TestFirstTimeFix(t *testing.T) {
	day := func(m time.Month, d int) time.Time { return time.Date(2026, m, d, 9, 0, 0, 0, time.UTC) }
	jobs := []closeout.Closeout{
		visitTo("good", "1 A St", day(11, 2), closeout.Fixed),
		visitTo("came back", "2 A St", day(11, 3), closeout.Fixed),
		visitTo("again", "2  a st.", day(11, 20), closeout.Fixed), // the same address, written otherwise
		visitTo("came back late", "3 A St", day(11, 4), closeout.Fixed),
		visitTo("late", "3 A St", day(12, 10), closeout.Fixed),
		visitTo("came back for nothing", "4 A St", day(11, 5), closeout.Fixed),
		visitTo("nothing", "4 A St", day(11, 10), closeout.NoFault),
		visitTo("not fixed", "5 A St", day(11, 6), closeout.NotFixed),
		visitTo("nobody", "6 A St", day(11, 7), closeout.NoAccess),
		visitTo("no address", "", day(11, 8), closeout.Fixed),
		visitTo("pending", "7 A St", day(11, 28), closeout.Fixed),
		visitTo("october", "8 A St", day(10, 28), closeout.Fixed),
		visitTo("open", "9 A St", day(11, 9), closeout.StillOpen),
	}
	jobs[len(jobs)-1].Closed = nil
	q, err := NewQuality(QualityInput{Visits: visitsOf(jobs), FixDays: FixDays, Month: "2026-11", AsOf: time.Date(2026, 12, 24, 0, 0, 0, 0, time.UTC)})
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]string{}
	for _, j := range q.Jobs {
		got[j.Job] = j.FirstTime
	}
	want := map[string]string{
		"good": "yes", "came back": "no", "again": "yes", "came back late": "yes", "came back for nothing": "yes", "nothing": "no",
		"not fixed": "no", "nobody": "left_out", "no address": "left_out", "pending": "pending",
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	f := q.Figures[0]
	if f.Numerator != 4 || f.Denominator != 7 || f.Pending != 1 || f.excludedWords() != "1 no access; 1 no address: a later visit cannot be seen; 1 not closed" {
		t.Errorf("%+v", f)
	}
	if strings.HasPrefix(f.Shown, "57") || !strings.HasPrefix(f.Shown, "4 of 7 (95 % interval") {
		t.Errorf("a bare percentage under 30: %q", f.Shown)
	}
	if r := q.Figures[1]; r.Numerator != 2 || r.Denominator != 8 {
		t.Errorf("repeats %+v", r)
	}
	// A shorter window decides otherwise.
	q, _ = NewQuality(QualityInput{Visits: visitsOf(jobs), Month: "2026-11", FixDays: 7, AsOf: time.Date(2026, 12, 24, 0, 0, 0, 0, time.UTC)})
	if f := q.Figures[0]; f.Numerator != 6 || f.Denominator != 8 || f.Pending != 0 {
		t.Errorf("7 days: %+v", f)
	}
}

// A fix holds for so many days: what begins at the end of the last is after
// them, what begins a moment before is not.
func TestTheDaysOfAFixEnd(t *testing.T) {
	began := time.Date(2026, 11, 2, 9, 0, 0, 0, time.UTC)
	ended := began.Add(time.Hour)
	for after, want := range map[time.Duration]string{0: "yes", -time.Second: "no"} {
		jobs := []closeout.Closeout{visitTo("first", "1 A St", began, closeout.Fixed), visitTo("later", "1 A St", ended.AddDate(0, 0, 7).Add(after), closeout.Fixed)}
		q, err := NewQuality(QualityInput{Visits: visitsOf(jobs), FixDays: 7, Month: "2026-11", AsOf: time.Date(2026, 12, 24, 0, 0, 0, 0, time.UTC)})
		if err != nil {
			t.Fatal(err)
		}
		if q.Jobs[0].FirstTime != want || q.Jobs[1].Repeat != (want == "no") {
			t.Errorf("%v after the seven days: first-time fix %s, repeat %v; want %s", after, q.Jobs[0].FirstTime, q.Jobs[1].Repeat, want)
		}
	}
}

// Who went for parts and came back arrived when they first came.
func TestAVisitBeginsWithItsFirstArrival(t *testing.T) {
	at := time.Date(2026, 11, 2, 9, 0, 0, 0, time.UTC)
	var records []record.Record
	for i, e := range []entry.Entry{
		entry.Job{Verb: "start", Number: "1"},
		entry.Time{Mark: "arrived"},
		entry.Time{Mark: "en_route"},
		entry.Time{Mark: "arrived"},
		exporttest.LevelAt(exporttest.Behind(1), entry.Pass, "-45"),
		entry.Time{Mark: "departed"},
	} {
		records = append(records, record.Record{Seq: int64(i + 1), Draft: record.Draft{Job: "1", At: at.Add(time.Duration(i) * time.Minute), Entry: e}})
	}
	visits, err := NewVisited(records)
	if err != nil || len(visits) != 1 {
		t.Fatal(visits, err)
	}
	if v := visits[0]; !v.Began.Equal(at.Add(time.Minute)) || !v.Ended.Equal(at.Add(5*time.Minute)) {
		t.Errorf("from %s to %s", v.Began.Format("15:04"), v.Ended.Format("15:04"))
	}
}

// manyJobs is an invented month of n jobs, every ninth of them not fixed.
func manyJobs(n int) []closeout.Closeout {
	out := make([]closeout.Closeout, n)
	start := time.Date(2026, 11, 1, 6, 0, 0, 0, time.UTC)
	for i := range out {
		o := closeout.Fixed
		if i%9 == 8 {
			o = closeout.NotFixed
		}
		c := visitTo(fmt.Sprint(1000+i), fmt.Sprintf("%d Invented Road", i/2*7), start.Add(28*24*time.Hour/time.Duration(n)*time.Duration(i)), o)
		c.Path = []path.PathElement{{ID: "receiver 1", Element: entry.Receiver}}
		r := closeout.Reading{ID: "receiver 1", Point: exporttest.Behind(1), Name: "behind receiver", Level: exporttest.Num("-45"), LevelMargin: closeout.Decimal(int64(i%12-1) * closeout.Micro), Verdict: entry.Pass}
		c.Readings = []closeout.Reading{r}
		c.Points = []closeout.BeforeAfter{{ID: "receiver 1", Point: exporttest.Behind(1), Name: r.Name, After: &c.Readings[0]}}
		out[i] = c
	}
	return out
}

func manyQuality(t testing.TB, n int) Quality {
	t.Helper()
	q, err := NewQuality(QualityInput{
		Visits: visitsOf(manyJobs(n)), Month: "2026-11", FixDays: FixDays, Version: "1.0.0-test", Head: record.Hash{7}, Count: int64(n * 30),
		AsOf: time.Date(2027, 1, 5, 12, 0, 0, 0, time.UTC),
	})
	if err != nil {
		t.Fatal(err)
	}
	return q
}

func TestQualityOfAMonth(t *testing.T) {
	q := manyQuality(t, 360)
	if q.Sample.N != 50 || q.Sample.Accept != 3 {
		t.Errorf("sample %+v", q.Sample)
	}
	for _, f := range q.Figures {
		if f.Definition == "" || f.Window == "" || f.Low > f.High || f.Denominator == 0 {
			t.Errorf("%+v", f)
		}
	}
	if !strings.Contains(q.Figures[0].Shown, " % (") {
		t.Errorf("with 360 jobs a percentage is shown: %q", q.Figures[0].Shown)
	}
	exporttest.Golden(t, "quality.txt", exporttest.Render(t, func(b *bytes.Buffer) error { return q.Text(b) }))
	exporttest.Golden(t, "quality.csv", exporttest.Render(t, func(b *bytes.Buffer) error { return q.CSV(b) }))
	jobs := exporttest.Render(t, func(b *bytes.Buffer) error { return q.JobsCSV(b) })
	if n := bytes.Count(jobs, []byte("\r\n")); n != 361 {
		t.Errorf("%d lines", n)
	}
	a := exporttest.Render(t, func(b *bytes.Buffer) error { return q.PDF(b, pdf.A4()) })
	if !bytes.Equal(a, exporttest.Render(t, func(b *bytes.Buffer) error { return manyQuality(t, 360).PDF(b, pdf.A4()) })) {
		t.Error("two documents of one month differ")
	}
	dir := t.TempDir()
	if keep := os.Getenv("KEEP"); keep != "" {
		dir = keep
	}
	path := filepath.Join(dir, "quality.pdf")
	if err := os.WriteFile(path, a, 0o600); err != nil {
		t.Fatal(err)
	}
	if out := exporttest.Tool(t, "qpdf", "--check", path); !strings.Contains(out, "No syntax or stream encoding errors") {
		t.Error(out)
	}
	text := strings.Join(strings.Fields(exporttest.Tool(t, "pdftotext", "-layout", path, "-")), " ")
	for _, want := range []string{"Quality of 2026-11", "95 % interval", "MIL-STD-105E", q.Sample.Seed[:20], "report to clear"} {
		if !strings.Contains(text, want) {
			t.Errorf("the document lacks %q", want)
		}
	}
	for _, write := range []func(*bytes.Buffer) error{
		func(b *bytes.Buffer) error { return q.ChartSVG(b) }, func(b *bytes.Buffer) error { return q.IntervalsSVG(b) }, func(b *bytes.Buffer) error { return q.JSON(b) },
	} {
		if len(exporttest.Render(t, write)) < 500 {
			t.Error("a rendering is nearly empty")
		}
	}
}

func TestQualityRefuses(t *testing.T) {
	at := time.Date(2027, 1, 5, 12, 0, 0, 0, time.UTC)
	if _, err := NewQuality(QualityInput{Visits: visitsOf(manyJobs(3)), Month: "2026-10", AsOf: at}); !errors.Is(err, ErrNoVisits) {
		t.Errorf("an empty month: %v", err)
	}
	if _, err := NewQuality(QualityInput{Visits: visitsOf(manyJobs(3)), Month: "November", AsOf: at}); err == nil || !strings.Contains(err.Error(), "is not a month") {
		t.Errorf("no month: %v", err)
	}
	if _, err := NewQuality(QualityInput{Visits: visitsOf(manyJobs(3)), Month: "2026-11", FixDays: -1, AsOf: at}); err == nil {
		t.Error("negative days were taken")
	}
	if _, err := NewQuality(QualityInput{Visits: visitsOf(manyJobs(3)), Month: "2026-11"}); err == nil || !strings.Contains(err.Error(), "as-of") {
		t.Errorf("no as-of time: %v", err)
	}
	open := manyJobs(1)
	open[0].Closed = nil
	if _, err := NewQuality(QualityInput{Visits: visitsOf(open), Month: "2026-11", AsOf: at}); !errors.Is(err, ErrNoVisits) {
		t.Errorf("an open job: %v", err)
	}
}

// TestNISTChart: a subgroup beyond its limits is told.
func TestChartTellsWhatIsOut(t *testing.T) {
	c := newPChart("x", []Group{{Label: "a", N: 100, Bad: 5}, {Label: "b", N: 100, Bad: 30}, {Label: "c", N: 100, Bad: 6}, {Label: "d", N: 100, Bad: 7}})
	var out []string
	for _, g := range c.Groups {
		if g.Out {
			out = append(out, g.Label)
		}
	}
	if d := cmp.Diff([]string{"b"}, out); d != "" || math.Abs(c.Mean-0.12) > 1e-12 {
		t.Errorf("mean %v %s", c.Mean, d)
	}
}

func BenchmarkQuality(b *testing.B) {
	in := QualityInput{
		Visits: visitsOf(manyJobs(10000)), Month: "2026-11", FixDays: FixDays, Head: record.Hash{7}, Count: 300000,
		AsOf: time.Date(2027, 1, 5, 12, 0, 0, 0, time.UTC),
	}
	b.ReportAllocs()
	b.ResetTimer()
	for b.Loop() {
		q, err := NewQuality(in)
		if err != nil || len(q.Jobs) != 10000 || q.Sample.N != 200 {
			b.Fatal(len(q.Jobs), q.Sample.N, err)
		}
	}
	b.ReportMetric(float64(b.N*10000)/b.Elapsed().Seconds(), "jobs/s")
}

// Someone went back on a later day, found that all passes, and mended nothing:
// that visit is no fix of the first one's fault, though the job as a whole is
// mended, and lasted as long as it did.
func TestASecondVisitIsJudgedByItsOwnWork(t *testing.T) {
	first := time.Date(2026, 11, 2, 9, 0, 0, 0, time.UTC)
	later := first.AddDate(0, 0, 8)
	var records []record.Record
	for i, r := range []struct {
		after time.Duration
		day   time.Time
		e     entry.Entry
	}{
		{0, first, entry.Job{Verb: "start", Number: "1"}},
		{5, first, entry.Time{Mark: "arrived"}},
		{10, first, exporttest.LevelAt(exporttest.Behind(1), entry.Fail, "-63")},
		{50, first, entry.Action{Action: "replaced", Element: entry.Jumper}},
		{55, first, exporttest.LevelAt(exporttest.Behind(1), entry.Pass, "-45")},
		{65, first, entry.Time{Mark: "departed"}},
		{66, first, entry.Job{Verb: "close"}},
		{0, later, entry.Job{Verb: "reopen"}},
		{5, later, entry.Time{Mark: "arrived"}},
		{10, later, exporttest.LevelAt(exporttest.Behind(1), entry.Pass, "-45")},
		{25, later, entry.Time{Mark: "departed"}},
		{26, later, entry.Job{Verb: "close"}},
	} {
		records = append(records, record.Record{Seq: int64(i + 1), Draft: record.Draft{Job: "1", At: r.day.Add(r.after * time.Minute), Entry: r.e}})
	}
	visits, err := NewVisited(records)
	if err != nil || len(visits) != 2 {
		t.Fatal(len(visits), err)
	}
	for i, want := range []struct {
		outcome closeout.Outcome
		onSite  int64
	}{{closeout.Fixed, 3600}, {closeout.NoFault, 1200}} {
		if c := visits[i].Closeout; c.Outcome != want.outcome || c.Durations.OnSite != want.onSite {
			t.Errorf("visit %d: %s, %d s on site; want %s, %d s", i+1, c.Outcome, c.Durations.OnSite, want.outcome, want.onSite)
		}
	}
}
