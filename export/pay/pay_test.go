package pay

import (
	"bytes"
	"errors"
	"fmt"
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"downlead/export/closeout"
	"downlead/export/exporttest"
	"downlead/grammar/entry"
)

func MakeRates(t testing.TB, toml string) Rates {
	t.Helper()
	r, err := ReadRates(strings.NewReader(toml))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

const hourly12 = `
employee = "T-17"
zone = "America/Denver"
week_start = "monday 00:00"
[[rates]]
from = "2020-01-01"
basis = "hourly"
hourly = "12.00"
mile = "0.725"
`

// worker builds the work of a week, from marks.
type worker struct {
	t    testing.TB
	zone *time.Location
	out  []Work
	seq  int64
}

func newWorker(t testing.TB) *worker { return &worker{t: t, zone: exporttest.Mountain(t)} }

// job adds a closed job; marks are "name 2006-01-02 15:04".
func (w *worker) job(number string, marks ...string) *Work {
	w.t.Helper()
	c := Work{Job: number, Outcome: closeout.Fixed}
	for _, m := range marks {
		name, at, _ := strings.Cut(m, " ")
		when, err := time.ParseInLocation("2006-01-02 15:04", at, w.zone)
		if err != nil {
			w.t.Fatal(err)
		}
		w.seq++
		c.Marks = append(c.Marks, closeout.TimeMark{Entry: w.seq, Mark: name, At: when, Zone: w.zone.String()})
		c.Closed = &when
	}
	w.out = append(w.out, c)
	return &w.out[len(w.out)-1]
}

func (w *worker) pay(toml, week string) (Pay, error) {
	return NewPay(PayInput{Works: w.out, Rates: MakeRates(w.t, toml), Week: week, Version: "test", AsOf: time.Date(2026, 11, 30, 0, 0, 0, 0, time.UTC)})
}

// days adds on-site time of so many hours, in stretches of at most ten a day,
// from a Monday on.
func (w *worker) days(monday string, h float64) {
	day, err := time.ParseInLocation(time.DateOnly, monday, w.zone)
	if err != nil {
		w.t.Fatal(err)
	}
	for i := 0; h > 0; i++ {
		long := min(h, 10)
		from := day.AddDate(0, 0, i).Add(6 * time.Hour)
		to := from.Add(time.Duration(long * float64(time.Hour)))
		w.job(fmt.Sprintf("%s-%d", monday, i), "arrived "+from.Format("2006-01-02 15:04"), "departed "+to.Format("2006-01-02 15:04"))
		h -= long
	}
}

// TestWeekPay has the published examples of the regular rate.
func TestWeekPay(t *testing.T) {
	d := func(s string) *big.Rat { r, _ := new(big.Rat).SetString(s); return r }
	tests := []struct {
		name, source    string
		fixed           int64 // hours that the salary is for
		hours           string
		straight, bonus string
		policy          RatePolicy
		rate            string
		premium, total  Money
	}{
		{"hourly", "29 CFR 778.110(a): 46 hours at $12", 0, "46", "552", "0", CentRate, "12.00", 3600, 58800},
		{"hourly and bonus", "29 CFR 778.110(b): the same and a bonus of $46", 0, "46", "552", "46", CentRate, "13.00", 3900, 63700},
		{"piece and paid waiting", "29 CFR 778.111(a): 50 hours, $491 by the piece and 4 hours waiting at $8", 0, "50", "523", "0", CentRate, "10.46", 5230, 57530},
		{"piece with guarantee", "29 CFR 778.111(b), from memory: 46 hours at a guarantee of $11", 0, "46", "506", "0", CentRate, "11.00", 3300, 53900},
		{"salary", "US Department of Labor, Fact Sheet 82: $600 for 48 hours", 0, "48", "600", "0", CentRate, "12.50", 5000, 65000},
		{"salary and bonus", "US Department of Labor, Fact Sheet 82: $600 and $100 for 45 hours", 0, "45", "600", "100", CentRate, "15.56", 3890, 73890},
		{"the same, exact", "independent computation: 700 + 5 * 700/45/2", 0, "45", "600", "100", ExactRate, "15.555556", 3889, 73889},
		{"piece", "US Department of Labor, handy reference guide: $405 for 45 hours", 0, "45", "405", "0", CentRate, "9.00", 2250, 42750},
		{"two rates", "29 CFR 778.115, independent computation: 44.5 hours at $10 and 8 at $8", 0, "52.5", "509", "0", ExactRate, "9.695238", 6060, 56960},
		{"two rates, rounded", "29 CFR 778.115, independent computation: the same", 0, "52.5", "509", "0", CentRate, "9.70", 6063, 56963},
		{"no overtime", "29 CFR 778.101: 40 hours", 0, "40", "480", "0", CentRate, "12.00", 0, 48000},
		{"nothing worked", "no hours, no rate", 0, "0", "0", "0", CentRate, "0.00", 0, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			seconds := new(big.Rat).Mul(d(tt.hours), big.NewRat(3600, 1))
			got, err := earnings{straight: d(tt.straight), bonus: d(tt.bonus), hours: tt.fixed}.week(seconds.Num().Int64(), tt.policy)
			if err != nil {
				t.Fatal(err)
			}
			if got.RegularRate != tt.rate || got.Premium != tt.premium || got.Total != tt.total {
				t.Errorf("rate %s premium %s total %s, want %s %s %s: %s", got.RegularRate, got.Premium, got.Total, tt.rate, tt.premium, tt.total, tt.source)
			}
			if got.Straight+got.Bonus+got.Premium != got.Total {
				t.Errorf("the lines do not add up: %+v", got)
			}
		})
	}
	if _, err := (earnings{straight: d("1"), bonus: d("0")}).week(-1, CentRate); err == nil || !strings.Contains(err.Error(), "negative") {
		t.Errorf("negative time: %v", err)
	}
}

// TestPayFromMarks takes the same examples through marks and rates files.
func TestPayFromMarks(t *testing.T) {
	head := "zone = \"America/Denver\"\n"
	table := func(s string) string { return head + "[[rates]]\nfrom = \"2020-01-01\"\n" + s }
	tests := []struct {
		name, source, rates string
		week                func(w *worker)
		total               Money
	}{
		{"hourly", "29 CFR 778.110(a)", hourly12, func(w *worker) { w.days("2026-11-16", 46) }, 58800},
		{"hourly and bonus", "29 CFR 778.110(b)", hourly12 + "[[bonus]]\nweek = \"2026-W47\"\namount = \"46.00\"\n", func(w *worker) { w.days("2026-11-16", 46) }, 63700},
		{"piece and paid waiting", "29 CFR 778.111(a)", table("basis = \"piece\"\ntravel = \"8.00\"\n[rates.codes]\n\"7\" = \"491.00\"\n"), func(w *worker) {
			w.days("2026-11-16", 46)
			c := w.job("waiting", "en_route 2026-11-22 08:00", "arrived 2026-11-22 12:00", "departed 2026-11-22 12:00")
			c.Codes = []closeout.Code{{Entry: 1, At: c.Marks[0].At, Code: "7", Units: exporttest.Num("1")}}
		}, 57530},
		{"piece with guarantee", "29 CFR 778.111(b), from memory", table("basis = \"piece\"\nguarantee = \"11.00\"\n[rates.codes]\n\"7\" = \"100.00\"\n"), func(w *worker) { w.days("2026-11-16", 46) }, 53900},
		{"salary", "US Department of Labor, Fact Sheet 82", table("basis = \"salary\"\nsalary = \"600.00\"\n"), func(w *worker) { w.days("2026-11-16", 48) }, 65000},
		{"piece", "US Department of Labor, handy reference guide", table("basis = \"piece\"\n[rates.codes]\n\"7\" = \"40.50\"\n"), func(w *worker) {
			w.days("2026-11-16", 45)
			w.out[0].Codes = []closeout.Code{{Entry: 1, At: w.out[0].Marks[0].At, Code: "7", Units: exporttest.Num("10")}}
		}, 42750},
		{"two rates", "29 CFR 778.115, independent computation", strings.Replace(table("basis = \"hourly\"\nhourly = \"10.00\"\ntravel = \"8.00\"\n"), head, head+"[policy]\nregular_rate = \"exact\"\n", 1), func(w *worker) {
			w.days("2026-11-16", 44.5)
			w.job("travel", "en_route 2026-11-22 08:00", "arrived 2026-11-22 16:00", "departed 2026-11-22 16:00")
		}, 56960},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			w := newWorker(t)
			tt.week(w)
			p, err := w.pay(tt.rates, "2026-W47")
			if err != nil {
				t.Fatal(err)
			}
			if p.Summary.Total != tt.total {
				t.Errorf("total %s, want %s (%s): %+v", p.Summary.Total, tt.total, tt.source, p.Summary)
			}
		})
	}
}

// TestWeeksStandAlone: 30 hours, then 50: 10 hours of overtime in the second
// week, 29 CFR 778.104.
func TestWeeksStandAlone(t *testing.T) {
	w := newWorker(t)
	w.days("2026-11-09", 30)
	w.days("2026-11-16", 50)
	for week, want := range map[string]int64{"2026-W46": 0, "2026-W47": 10 * 3600} {
		p, err := w.pay(hourly12, week)
		if err != nil {
			t.Fatal(err)
		}
		if p.Summary.Overtime != want {
			t.Errorf("%s: overtime %d s, want %d", week, p.Summary.Overtime, want)
		}
		if p.To.Sub(p.From) != 168*time.Hour {
			t.Errorf("%s lasts %v", week, p.To.Sub(p.From))
		}
	}
}

// TestClockChanges: US Department of Labor, hours worked when the clocks
// change: 23:00 to 07:30 less a meal of 30 minutes is 7 hours in spring, 9 in
// autumn, 8 otherwise.
func TestClockChanges(t *testing.T) {
	for _, tt := range []struct {
		name, day, week string
		hours           int64
	}{
		{"spring", "2026-03-07", "2026-W10", 7}, {"autumn", "2026-10-31", "2026-W44", 9}, {"else", "2026-11-17", "2026-W47", 8},
	} {
		t.Run(tt.name, func(t *testing.T) {
			day, _ := time.Parse(time.DateOnly, tt.day)
			next := day.AddDate(0, 0, 1).Format(time.DateOnly)
			w := newWorker(t)
			c := w.job("1", "arrived "+tt.day+" 23:00", "break_start "+next+" 00:30", "break_end "+next+" 01:00", "departed "+next+" 07:30")
			_ = c
			p, err := w.pay(hourly12, tt.week)
			if err != nil {
				t.Fatal(err)
			}
			if p.Summary.Worked != tt.hours*3600 {
				t.Errorf("%d s worked, want %d h", p.Summary.Worked, tt.hours)
			}
			if flagged := has(p.Flags, "clock_change"); flagged != (tt.name != "else") {
				t.Errorf("flags %v", p.Flags)
			}
			if !has(p.Flags, "night") {
				t.Errorf("flags %v", p.Flags)
			}
		})
	}
}

func has(flags []PayFlag, code string) bool {
	for _, f := range flags {
		if f.Code == code {
			return true
		}
	}
	return false
}

// TestPauses: rest of 5 to 20 minutes is work, 29 CFR 785.18; a meal is
// ordinarily 30 minutes and free of work, 785.19.
func TestPauses(t *testing.T) {
	tests := []struct {
		name    string
		until   string
		reading string
		want    Buckets
		flag    string
	}{
		{"5 minutes", "12:05", "", Buckets{Rest: 300}, ""},
		{"20 minutes", "12:20", "", Buckets{Rest: 1200}, ""},
		{"25 minutes", "12:25", "", Buckets{MealPaid: 1500}, "short_meal"},
		{"30 minutes", "12:30", "", Buckets{MealOff: 1800}, ""},
		{"a reading in it", "12:45", "12:10", Buckets{MealPaid: 2700}, "work_in_meal"},
		{"a reading before it", "12:45", "11:10", Buckets{MealOff: 2700}, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			w := newWorker(t)
			c := w.job("1", "arrived 2026-11-17 09:00", "break_start 2026-11-17 12:00", "break_end 2026-11-17 "+tt.until, "departed 2026-11-17 15:00")
			if tt.reading != "" {
				at, _ := time.ParseInLocation("2006-01-02 15:04", "2026-11-17 "+tt.reading, w.zone)
				c.Logged = []Logged{{9, at, entry.KindReading}}
			}
			p, err := w.pay(hourly12, "2026-W47")
			if err != nil {
				t.Fatal(err)
			}
			got := p.Summary.Buckets
			if got.Productive+got.Rest+got.MealPaid+got.MealOff != 6*3600 {
				t.Errorf("the day is not 6 hours: %+v", got)
			}
			got.Productive = 0
			if got != tt.want {
				t.Errorf("got %+v, want %+v", got, tt.want)
			}
			if tt.flag != "" && !has(p.Flags, tt.flag) || tt.flag == "" && len(p.Flags) > 0 {
				t.Errorf("flags %v, want %q", p.Flags, tt.flag)
			}
		})
	}
}

// TestTravel: between sites it is work, 29 CFR 785.38; to the day's first
// site it may be left out, 785.35. Miles: 29 CFR 778.217; 72.5 cents is the
// federal mileage rate of 2026.
func TestTravel(t *testing.T) {
	week := func(t *testing.T) *worker {
		w := newWorker(t)
		c := w.job("1", "en_route 2026-11-17 08:00", "arrived 2026-11-17 08:30", "departed 2026-11-17 10:00")
		c.Miles = []Drive{{Entry: 8, At: c.Marks[0].At, Miles: exporttest.Num("12.5")}}
		w.job("2", "en_route 2026-11-17 10:10", "arrived 2026-11-17 10:40", "departed 2026-11-17 12:00")
		w.job("3", "arrived 2026-11-18 09:00", "departed 2026-11-18 10:00")
		return w
	}
	for _, tt := range []struct {
		name, policy string
		travel, off  int64
	}{
		{"all", "", 70 * 60, 0},
		{"first travel off", "[policy]\nfirst_travel = \"off\"\n", 40 * 60, 30 * 60},
		{"gaps off", "[policy]\ngaps = \"off\"\n", 60 * 60, 10 * 60},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p, err := week(t).pay(strings.Replace(hourly12, "[[rates]]", tt.policy+"[[rates]]", 1), "2026-W47")
			if err != nil {
				t.Fatal(err)
			}
			if p.Summary.Buckets.Travel != tt.travel || p.Summary.Buckets.Off != tt.off {
				t.Errorf("travel %d off %d, want %d %d", p.Summary.Buckets.Travel, p.Summary.Buckets.Off, tt.travel, tt.off)
			}
			if p.Summary.Reimbursed != 906 { // 12.5 * 0.725 = 9.0625
				t.Errorf("reimbursed %s", p.Summary.Reimbursed)
			}
			if !has(p.Flags, "gap") {
				t.Errorf("flags %v", p.Flags)
			}
		})
	}
}

func TestPayFlags(t *testing.T) {
	tests := []struct {
		flag   string
		worked int64 // minutes
		marks  [][]string
	}{
		{"missing_departure", 0, [][]string{{"arrived 2026-11-17 09:00"}}},
		{"missing_arrival", 0, [][]string{{"en_route 2026-11-17 09:00"}}},
		{"missing_arrival", 0, [][]string{{"departed 2026-11-17 09:00"}}},
		{"missing_break_end", 60, [][]string{{"arrived 2026-11-17 09:00", "break_start 2026-11-17 10:00", "departed 2026-11-17 12:00"}}},
		{"overlap", 180, [][]string{{"arrived 2026-11-17 09:00", "departed 2026-11-17 11:00"}, {"arrived 2026-11-17 10:00", "departed 2026-11-17 12:00"}}},
		{"night", 120, [][]string{{"arrived 2026-11-17 22:00", "departed 2026-11-17 23:00"}, {"arrived 2026-11-18 01:00", "departed 2026-11-18 02:00"}}},
		{"night", 240, [][]string{{"arrived 2026-11-17 22:00", "departed 2026-11-18 02:00"}}},
	}
	for _, tt := range tests {
		t.Run(tt.flag, func(t *testing.T) {
			w := newWorker(t)
			for i, m := range tt.marks {
				w.job(fmt.Sprint(i+1), m...)
			}
			p, err := w.pay(hourly12, "2026-W47")
			if err != nil {
				t.Fatal(err)
			}
			if !has(p.Flags, tt.flag) {
				t.Errorf("flags %v", p.Flags)
			}
			if p.Summary.Worked != tt.worked*60 {
				t.Errorf("%d min worked, want %d", p.Summary.Worked/60, tt.worked)
			}
		})
	}
	w := newWorker(t)
	w.job("1", "arrived 2026-11-17 09:00", "departed 2026-11-17 11:00").Closed = nil
	w.out[0].Marks[1].Zone = "America/Chicago"
	p, err := w.pay(hourly12, "2026-W47")
	if err != nil || !has(p.Flags, "open_job") || !has(p.Flags, "zone_change") {
		t.Errorf("flags %v, %v", p.Flags, err)
	}
}

// TestAcrossTheWeek: a job over the week's border is cut there.
func TestAcrossTheWeek(t *testing.T) {
	w := newWorker(t)
	w.job("1", "arrived 2026-11-15 22:00", "departed 2026-11-16 03:00")
	for week, want := range map[string]int64{"2026-W46": 2, "2026-W47": 3} {
		p, err := w.pay(hourly12, week)
		if err != nil || p.Summary.Worked != want*3600 {
			t.Errorf("%s: %d s, want %d h, %v", week, p.Summary.Worked, want, err)
		}
	}
}

// TestWeekBounds: 29 CFR 778.105 has a workweek begin on any day and hour, be
// 168 hours long and recur; ISO 8601 numbers the weeks (2026-W01 begins on 29
// December 2025).
func TestWeekBounds(t *testing.T) {
	tests := []struct{ start, week, from string }{
		{"monday 00:00", "2026-W01", "2025-12-29 00:00 MST"},
		{"monday 00:00", "2026-W47", "2026-11-16 00:00 MST"},
		{"sunday 00:00", "2026-W47", "2026-11-15 00:00 MST"},
		{"saturday 18:30", "2026-W47", "2026-11-14 18:30 MST"},
		{"monday 00:00", "2026-W28", "2026-07-06 01:00 MDT"},
		{"monday 00:00", "2026-W53", "2026-12-28 00:00 MST"},
		// Which week a label means is the project's choice: the one that begins
		// last by noon of the ISO week's Monday, here the 16th.
		{"monday 12:00", "2026-W47", "2026-11-16 12:00 MST"},
		{"monday 12:01", "2026-W47", "2026-11-09 12:01 MST"},
		{"tuesday 00:00", "2026-W47", "2026-11-10 00:00 MST"},
	}
	for _, tt := range tests {
		r := MakeRates(t, strings.Replace(hourly12, "monday 00:00", tt.start, 1))
		from, to, err := r.WeekBounds(tt.week)
		if got := from.Format("2006-01-02 15:04 MST"); err != nil || got != tt.from || to.Sub(from) != 168*time.Hour {
			t.Errorf("%s of %s: %s for %v, %v, want %s", tt.start, tt.week, got, to.Sub(from), err, tt.from)
		}
	}
}

func TestRounding(t *testing.T) {
	w := newWorker(t)
	w.job("1", "arrived 2026-11-17 09:07", "departed 2026-11-17 11:08")
	p, err := w.pay(strings.Replace(hourly12, "[[rates]]", "[policy]\nround_minutes = 15\n[[rates]]", 1), "2026-W47")
	if err != nil {
		t.Fatal(err)
	}
	if p.Summary.Worked != 135*60 || p.Summary.Drift != 14*60 {
		t.Errorf("worked %d drift %d", p.Summary.Worked, p.Summary.Drift)
	}
	if out := string(exporttest.Render(t, func(b *bytes.Buffer) error { return p.Text(b) })); !strings.Contains(out, "+840 s") {
		t.Errorf("the drift is not printed:\n%s", out)
	}
}

func TestPayRefuses(t *testing.T) {
	piece := "zone = \"America/Denver\"\n[[rates]]\nfrom = \"2026-11-01\"\nuntil = \"2026-11-18\"\nbasis = \"piece\"\n[rates.codes]\n\"7\" = \"10.00\"\n[[rates]]\nfrom = \"2026-11-20\"\nbasis = \"piece\"\n[rates.codes]\n\"8\" = \"10.00\"\n"
	code := func(w *worker, c string) {
		w.out[0].Codes = []closeout.Code{{Entry: 5, At: w.out[0].Marks[0].At, Code: c, Units: exporttest.Num("1")}}
	}
	tests := []struct {
		name, rates, week, want string
		build                   func(w *worker)
	}{
		{"no job", hourly12, "2026-W40", "no job lies in it", func(w *worker) { w.days("2026-11-16", 8) }},
		{"no such week", hourly12, "2026-W54", "not a week", func(w *worker) {}},
		{"badly written week", hourly12, "2026-47", "not a week", func(w *worker) {}},
		{"negative time", hourly12, "2026-W47", "departed at 2026-11-17 08:00:00 (entry 2) lies before arrived", func(w *worker) {
			w.job("1", "arrived 2026-11-17 09:00", "departed 2026-11-17 08:00")
		}},
		{"a code without a rate", piece, "2026-W47", `work code "9" (entry 5) has no rate`, func(w *worker) { w.days("2026-11-16", 8); code(w, "9") }},
		{"a gap between the rates", piece, "2026-W47", "no rates for 2026-11-19", func(w *worker) { w.job("1", "arrived 2026-11-19 09:00", "departed 2026-11-19 10:00") }},
		{"before the first rates", piece, "2026-W43", "no rates for 2026-10-20", func(w *worker) { w.job("1", "arrived 2026-10-20 09:00", "departed 2026-10-20 10:00") }},
		{"miles without a rate", piece, "2026-W47", "no mile", func(w *worker) {
			w.days("2026-11-16", 8)
			w.out[0].Miles = []Drive{{Entry: 8, At: w.out[0].Marks[0].At, Miles: exporttest.Num("3")}}
		}},
		{"a job twice", hourly12, "2026-W47", "two records of job 1", func(w *worker) {
			w.job("1", "arrived 2026-11-17 09:00", "departed 2026-11-17 10:00")
			w.job("1", "arrived 2026-11-18 09:00", "departed 2026-11-18 10:00")
		}},
		{"two bases in a week", hourly12 + "[[rates]]\nfrom = \"2026-11-18\"\nbasis = \"salary\"\nsalary = \"600\"\n", "2026-W47", "changes within the week", func(w *worker) { w.days("2026-11-16", 40) }},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			w := newWorker(t)
			tt.build(w)
			if _, err := w.pay(tt.rates, tt.week); err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("got %v, want %q", err, tt.want)
			}
		})
	}
	w := newWorker(t)
	if _, err := w.pay(hourly12, "2026-W47"); !errors.Is(err, ErrNoJobs) {
		t.Errorf("got %v", err)
	}
}

// TestSplittingAVisitChangesNothing: cut every visit of a week at a random
// minute into two jobs; the week comes to the same, to the cent.
func TestSplittingAVisitChangesNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for round := range 50 {
		whole, split := newWorker(t), newWorker(t)
		for day := range 5 {
			at := time.Date(2026, 11, 16+day, 6, rng.IntN(60), rng.IntN(60), 0, whole.zone)
			long := time.Duration(2+rng.IntN(10*3600)) * time.Second
			cut := time.Duration(1+rng.Int64N(int64(long/time.Second)-1)) * time.Second
			miles := int64(1 + rng.IntN(500))
			visit := func(w *worker, number string, from, to time.Time, tenths int64) {
				w.out = append(w.out, Work{Job: number, Closed: &to, Miles: []Drive{{1, from, closeout.Decimal(tenths * closeout.Micro / 10)}}, Marks: []closeout.TimeMark{
					{Entry: 1, Mark: "arrived", At: from}, {Entry: 2, Mark: "departed", At: to},
				}})
			}
			visit(whole, fmt.Sprint(day), at, at.Add(long), miles)
			visit(split, fmt.Sprint(day, "a"), at, at.Add(cut), 1)
			visit(split, fmt.Sprint(day, "b"), at.Add(cut), at.Add(long), miles-1)
		}
		a, err := whole.pay(hourly12, "2026-W47")
		if err != nil {
			t.Fatal(err)
		}
		b, err := split.pay(hourly12, "2026-W47")
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(a.Summary, b.Summary); d != "" {
			t.Fatalf("round %d: %s", round, d)
		}
		rng.Shuffle(len(split.out), func(i, k int) { split.out[i], split.out[k] = split.out[k], split.out[i] })
		c, err := split.pay(hourly12, "2026-W47")
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(b, c, cmp.Comparer(func(a, b entry.Decimal) bool { return a == b })); d != "" {
			t.Fatalf("the order of the jobs matters: %s", d)
		}
	}
}

// TestReimbursementIsOutsideTheRate: 29 CFR 778.217.
func TestReimbursementIsOutsideTheRate(t *testing.T) {
	for _, miles := range []string{"0", "1", "999.9"} {
		w := newWorker(t)
		w.days("2026-11-16", 46)
		w.out[0].Miles = []Drive{{Entry: 8, At: w.out[0].Marks[0].At, Miles: exporttest.Num(miles)}}
		p, err := w.pay(hourly12, "2026-W47")
		if err != nil || p.Summary.RegularRate != "12.00" || p.Summary.Total != 58800 || p.Summary.Payable != p.Summary.Total+p.Summary.Reimbursed {
			t.Errorf("%s miles: %+v %v", miles, p.Summary, err)
		}
	}
}

func BenchmarkPay(b *testing.B) {
	w := newWorker(b)
	w.days("2026-11-16", 46)
	in := PayInput{Works: w.out, Rates: MakeRates(b, hourly12), Week: "2026-W47"}
	for b.Loop() {
		if _, err := NewPay(in); err != nil {
			b.Fatal(err)
		}
	}
}
