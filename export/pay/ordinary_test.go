package pay

import (
	"slices"
	"strings"
	"testing"
	"time"

	"downlead/export/closeout"
	"downlead/export/exporttest"
	"downlead/grammar/entry"
)

// withPolicy is the hourly rates of $12 with a policy.
func withPolicy(lines ...string) string {
	return strings.Replace(hourly12, "[[rates]]", "[policy]\n"+strings.Join(lines, "\n")+"\n[[rates]]", 1)
}

// when reads a time of the tests' zone.
func (w *worker) when(s string) time.Time {
	w.t.Helper()
	at, err := time.ParseInLocation("2006-01-02 15:04", s, w.zone)
	if err != nil {
		w.t.Fatal(err)
	}
	return at
}

func flagTexts(p Pay, code string) string {
	var out []string
	for _, f := range p.Flags {
		if f.Code == code {
			out = append(out, f.Text)
		}
	}
	return strings.Join(out, "\n")
}

// TestOrdinaryWeeks: weeks as they happen. The time is worked out on the clock
// beside each, the money at $12 an hour: 29 CFR 778.110.
func TestOrdinaryWeeks(t *testing.T) {
	tests := []struct {
		name, source, rates string
		build               func(w *worker)
		want                Buckets // minutes
		flag, text          string  // a flag that must be there, and words of it
		not                 string  // words that no flag may have
	}{
		{
			name: "a second visit to a job", source: "785.38: 1 + 2 + 1 h on site, two gaps of 1 h between sites", rates: hourly12,
			build: func(w *worker) {
				w.job("1", "arrived 2026-11-17 08:00", "departed 2026-11-17 09:00", "arrived 2026-11-17 13:00", "departed 2026-11-17 14:00")
				w.job("2", "arrived 2026-11-17 10:00", "departed 2026-11-17 12:00")
			},
			want: Buckets{Productive: 240, Travel: 120}, flag: "gap", text: "after job 1, 09:00 to 10:00",
		},
		{
			name: "the same, gaps left out", source: "the policy", rates: withPolicy(`gaps = "off"`),
			build: func(w *worker) {
				w.job("1", "arrived 2026-11-17 08:00", "departed 2026-11-17 09:00", "arrived 2026-11-17 13:00", "departed 2026-11-17 14:00")
				w.job("2", "arrived 2026-11-17 10:00", "departed 2026-11-17 12:00")
			},
			want: Buckets{Productive: 240, Off: 120}, flag: "gap", text: "left out as a break",
		},
		{
			name: "leaving and coming back to the same job", source: "785.38: 1 + 1 h on site, 2 h between", rates: hourly12,
			build: func(w *worker) {
				w.job("1", "arrived 2026-11-17 08:00", "departed 2026-11-17 09:00", "arrived 2026-11-17 11:00", "departed 2026-11-17 12:00")
			},
			want: Buckets{Productive: 120, Travel: 120}, flag: "gap", text: "120 min between two visits",
		},
		{
			name: "a run for parts counts, the first trip and the last do not", source: "785.35, 785.38: 8:00-8:30 and 12:00-12:45 from and to home; 8:30-10 and 11-12 on site; 10-11 for parts", rates: withPolicy(`first_travel = "off"`),
			build: func(w *worker) {
				w.job("1", "en_route 2026-11-17 08:00", "arrived 2026-11-17 08:30", "en_route 2026-11-17 10:00", "arrived 2026-11-17 11:00", "en_route 2026-11-17 12:00", "departed 2026-11-17 12:45")
			},
			want: Buckets{Productive: 150, Travel: 60, Off: 75},
		},
		{
			name: "travel to a job that was not left is not the way home", source: "785.38: 30 min to the second site count", rates: withPolicy(`first_travel = "off"`),
			build: func(w *worker) {
				w.job("1", "arrived 2026-11-17 08:00", "departed 2026-11-17 09:00")
				w.job("2", "en_route 2026-11-17 09:00", "arrived 2026-11-17 09:30")
			},
			want: Buckets{Productive: 60, Travel: 30}, flag: "missing_departure", text: "nothing after 2026-11-17 09:30 is counted",
		},
		{
			name: "work on another job within a meal", source: "785.19, 785.18: 8-12 and 13-16 on job 1, 12:20-12:40 on job 2; 20 min before and after are rest", rates: hourly12,
			build: func(w *worker) {
				w.job("1", "arrived 2026-11-17 08:00", "break_start 2026-11-17 12:00", "break_end 2026-11-17 13:00", "departed 2026-11-17 16:00")
				w.job("2", "arrived 2026-11-17 12:20", "departed 2026-11-17 12:40")
			},
			want: Buckets{Productive: 440, Rest: 40}, flag: "meal_cut", text: "break of 12:00 to 13:00 is cut by job 2 from 12:20 to 12:40",
		},
		{
			name: "a meal that is long enough beside the work in it", source: "785.19: 12:00-12:40 free of work, 12:40-12:50 on job 2, 12:50-13:00 rest", rates: hourly12,
			build: func(w *worker) {
				w.job("1", "arrived 2026-11-17 08:00", "break_start 2026-11-17 12:00", "break_end 2026-11-17 13:00", "departed 2026-11-17 16:00")
				w.job("2", "arrived 2026-11-17 12:40", "departed 2026-11-17 12:50")
			},
			want: Buckets{Productive: 430, Rest: 10, MealOff: 40}, flag: "meal_cut", text: "counted as work",
		},
		{
			name: "on the road, and no departure", source: "785.38: 7-8 on site, then under way until job 2 at 11", rates: hourly12,
			build: func(w *worker) {
				w.job("1", "arrived 2026-11-17 07:00", "en_route 2026-11-17 08:00")
				w.job("2", "arrived 2026-11-17 11:00", "departed 2026-11-17 12:00")
			},
			want: Buckets{Productive: 120, Travel: 180}, flag: "missing_arrival", text: "180 min from 08:00 until the next mark at 11:00 are counted as travel", not: "nothing after",
		},
		{
			name: "arrived, and no departure", source: "the gap from 8:30 to 11 is waiting by the policy", rates: hourly12,
			build: func(w *worker) {
				w.job("1", "en_route 2026-11-17 08:00", "arrived 2026-11-17 08:30")
				w.job("2", "arrived 2026-11-17 11:00", "departed 2026-11-17 12:00")
			},
			want: Buckets{Productive: 60, Travel: 180}, flag: "missing_departure", text: "150 min from 2026-11-17 08:30 to 11:00 are counted as travel and waiting", not: "nothing after",
		},
		{
			name: "the same, gaps left out", source: "the policy", rates: withPolicy(`gaps = "off"`),
			build: func(w *worker) {
				w.job("1", "en_route 2026-11-17 08:00", "arrived 2026-11-17 08:30")
				w.job("2", "arrived 2026-11-17 11:00", "departed 2026-11-17 12:00")
			},
			want: Buckets{Productive: 60, Travel: 30, Off: 150}, flag: "missing_departure", text: "are not counted until it is", not: "are counted as travel",
		},
		{
			name: "rounding makes no meal of 28 minutes", source: "785.19, 785.48: 12:06-12:34 becomes 12:00-12:30 and stays short", rates: withPolicy("round_minutes = 15"),
			build: func(w *worker) {
				w.job("1", "arrived 2026-11-17 08:00", "break_start 2026-11-17 12:06", "break_end 2026-11-17 12:34", "departed 2026-11-17 16:00")
			},
			want: Buckets{Productive: 450, MealPaid: 30}, flag: "short_meal", text: "28 min at 12:06",
		},
		{
			name: "nor of a rest of 20", source: "785.18, 785.48: 12:07-12:27 becomes 12:00-12:30 and stays rest", rates: withPolicy("round_minutes = 15"),
			build: func(w *worker) {
				w.job("1", "arrived 2026-11-17 08:00", "break_start 2026-11-17 12:07", "break_end 2026-11-17 12:27", "departed 2026-11-17 16:00")
			},
			want: Buckets{Productive: 450, Rest: 30},
		},
		{
			name: "time without a job", source: "785.27 to 785.32 (training), 785.38: 7-7:30 shop, 7:30-8 meeting, 8-8:30 drive, 8:30-16 on site, 16-16:40 drive back, 16:40-17 shop", rates: hourly12,
			build: func(w *worker) {
				w.job("", "shop_time 2026-11-17 07:00", "meeting 2026-11-17 07:30", "back_at_shop 2026-11-17 16:40", "day_end 2026-11-17 17:00")
				w.job("1", "en_route 2026-11-17 08:00", "arrived 2026-11-17 08:30", "departed 2026-11-17 16:00")
			},
			want: Buckets{Productive: 450, Travel: 70, Other: 80},
		},
		{
			name: "the drive to the shop is no first trip", source: "785.38: from a place where one must report, travel is work", rates: withPolicy(`first_travel = "off"`),
			build: func(w *worker) {
				w.job("", "training 2026-11-17 07:00", "back_at_shop 2026-11-17 10:30", "day_end 2026-11-17 11:00")
				w.job("1", "en_route 2026-11-17 08:00", "arrived 2026-11-17 08:30", "departed 2026-11-17 10:00")
			},
			want: Buckets{Productive: 90, Travel: 60, Other: 90},
		},
		{
			name: "a phrase that was not understood", source: "it may be a code: a person looks", rates: hourly12,
			build: func(w *worker) {
				w.job("1", "arrived 2026-11-17 08:00", "departed 2026-11-17 09:00").Unclear = []closeout.Unparsed{{Entry: 9, Text: "work code sevn", Reason: "was not understood"}}
			},
			want: Buckets{Productive: 60}, flag: "not_understood", text: "“work code sevn” (entry 9)",
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			w := newWorker(t)
			tt.build(w)
			p, err := w.pay(tt.rates, "2026-W47")
			if err != nil {
				t.Fatal(err)
			}
			m := tt.want
			want := Buckets{m.Productive * 60, m.Travel * 60, m.Rest * 60, m.MealPaid * 60, m.MealOff * 60, m.Off * 60, m.Other * 60}
			if p.Summary.Buckets != want {
				t.Errorf("got %+v, want %+v (%s)", p.Summary.Buckets, want, tt.source)
			}
			if straight := Money(want.Worked() * 1200 / 3600); p.Summary.Straight != straight {
				t.Errorf("straight pay %s, want %s", p.Summary.Straight, straight)
			}
			if text := flagTexts(p, tt.flag); !strings.Contains(text, tt.text) {
				t.Errorf("flag %q has %q, want %q in it: %v", tt.flag, text, tt.text, p.Flags)
			}
			for _, f := range p.Flags {
				if tt.not != "" && strings.Contains(f.Text, tt.not) {
					t.Errorf("it says %q", f.Text)
				}
			}
			var days, other int64
			for _, d := range p.Days {
				days += d.Worked
			}
			for _, o := range p.Other {
				other += o.Worked
			}
			for _, j := range p.Jobs {
				other += j.Worked
			}
			if days != p.Summary.Worked || other != p.Summary.Worked || p.Days[1].Worked != days {
				t.Errorf("%d s in days, %d in rows, %d in the week", days, other, p.Summary.Worked)
			}
		})
	}
}

// TestReopenedJob: 29 CFR 778.104, each week stands alone: five days of nine
// hours are 45 hours in the week of 9 November, 45 * 12 + 5 * 6 = $570.00,
// whatever is logged for a job of 2 November on the 24th.
func TestReopenedJob(t *testing.T) {
	w := newWorker(t)
	w.job("100", "arrived 2026-11-02 08:00", "departed 2026-11-02 09:00", "reopened 2026-11-24 09:50", "arrived 2026-11-24 10:00", "departed 2026-11-24 11:00")
	for i := range 5 {
		day := time.Date(2026, 11, 9+i, 8, 0, 0, 0, w.zone).Format("2006-01-02")
		w.job(day, "arrived "+day+" 08:00", "departed "+day+" 17:00")
	}
	for week, want := range map[string]Money{"2026-W45": 1200, "2026-W46": 57000, "2026-W48": 1200} {
		p, err := w.pay(hourly12, week)
		if err != nil || p.Summary.Total != want {
			t.Errorf("%s: total %s, want %s, %v", week, p.Summary.Total, want, err)
		}
	}
}

// TestLateEntries: what a job earns belongs to the week in which it was done:
// a code, miles and parts that are typed on the Monday after are paid in the
// week of the departure, with a note. 29 CFR 778.104, 778.106.
func TestLateEntries(t *testing.T) {
	piece := "employee = \"T-17\"\nzone = \"America/Denver\"\n[[rates]]\nfrom = \"2020-01-01\"\nbasis = \"piece\"\nmile = \"0.725\"\n[rates.codes]\n\"7\" = \"40.00\"\n"
	w := newWorker(t)
	c := w.job("1", "arrived 2026-11-14 09:00", "departed 2026-11-14 10:00") // a Saturday
	monday := w.when("2026-11-16 08:00")
	c.Codes = []closeout.Code{{Entry: 7, At: monday, Code: "7", Units: exporttest.Num("2")}}
	c.Miles = []Drive{{8, monday, exporttest.Num("10")}}
	c.Materials = []UsedPart{{monday, entry.Material{Item: "fitting", Quantity: 2}}}
	w.job("2", "arrived 2026-11-17 09:00", "departed 2026-11-17 09:30").Codes = []closeout.Code{{Entry: 9, At: w.when("2026-11-17 09:10"), Code: "7", Units: exporttest.Num("1")}}
	for week, want := range map[string]struct{ straight, miles Money }{"2026-W46": {8000, 725}, "2026-W47": {4000, 0}} {
		p, err := w.pay(piece, week)
		if err != nil || p.Summary.Straight != want.straight || p.Summary.Reimbursed != want.miles {
			t.Errorf("%s: %s and %s, want %s and %s, %v", week, p.Summary.Straight, p.Summary.Reimbursed, want.straight, want.miles, err)
		}
		if !strings.Contains(flagTexts(p, "late_entry"), "work code 7 (entry 7) was logged") {
			t.Errorf("%s: flags %v", week, p.Flags)
		}
	}
}

// TestJobLeftBeforeItArrived: only the week it lies in fails.
func TestJobLeftBeforeItArrived(t *testing.T) {
	w := newWorker(t)
	w.job("march", "en_route 2026-03-10 08:30", "arrived 2026-03-10 09:00", "departed 2026-03-10 08:45")
	w.days("2026-11-16", 8)
	if p, err := w.pay(hourly12, "2026-W47"); err != nil || p.Summary.Worked != 8*3600 {
		t.Errorf("November: %d s, %v", p.Summary.Worked, err)
	}
	if _, err := w.pay(hourly12, "2026-W11"); err == nil || !strings.Contains(err.Error(), "job march: departed at 2026-03-10 08:45:00 (entry 3) lies before arrived") {
		t.Errorf("March: %v", err)
	}
	// A departure that is told later is no mistake: it ends the visit it is of.
	w = newWorker(t)
	w.job("1", "arrived 2026-11-17 08:00", "en_route 2026-11-17 13:00", "arrived 2026-11-17 13:30", "departed 2026-11-17 11:00", "departed 2026-11-17 14:00")
	if p, err := w.pay(hourly12, "2026-W47"); err != nil || p.Summary.Buckets.Productive != 210*60 {
		t.Errorf("told later: %+v, %v", p.Summary.Buckets, err)
	}
}

// TestSalaries: 29 CFR 778.113 and 778.114. The figures of 35 hours are those
// of 778.113(a), from memory: $182.70 for 35 hours is $5.22 an hour, each of
// the first 40 hours earns that, each further one $7.83.
func TestSalaries(t *testing.T) {
	table := func(more string) string {
		return "employee = \"T-17\"\nzone = \"America/Denver\"\nminimum_wage = \"1\"\n[[rates]]\nfrom = \"2020-01-01\"\nbasis = \"salary\"\n" + more
	}
	tests := []struct {
		name, rates string
		hours       float64
		rate        string
		total       Money
	}{
		{"for 40 hours, 45 worked: 480 + 5 * 1.5 * 12", table("salary = \"480\"\nsalary_for = \"40\"\n"), 45, "12.00", 57000},
		{"for 40 hours, 38 worked", table("salary = \"480\"\nsalary_for = \"40\"\n"), 38, "12.00", 48000},
		{"for all hours, 45 worked: 480 + 5 * 10.67 / 2", table("salary = \"480\"\nsalary_for = \"all\"\n"), 45, "10.67", 50668},
		{"for all hours is what is meant where nothing is said", table("salary = \"480\"\n"), 45, "10.67", 50668},
		{"for 35 hours, 40 worked: 40 * 5.22", table("salary = \"182.70\"\nsalary_for = \"35\"\n"), 40, "5.22", 20880},
		{"for 35 hours, 45 worked: 40 * 5.22 + 5 * 7.83", table("salary = \"182.70\"\nsalary_for = \"35\"\n"), 45, "5.22", 24795},
		{"for 50 hours, 45 worked: 600 + 5 * 12 / 2", table("salary = \"600\"\nsalary_for = \"50\"\n"), 45, "12.00", 63000},
	}
	for _, tt := range tests {
		w := newWorker(t)
		w.days("2026-11-16", tt.hours)
		p, err := w.pay(tt.rates, "2026-W47")
		if err != nil || p.Summary.RegularRate != tt.rate || p.Summary.Total != tt.total {
			t.Errorf("%s: rate %s total %s, want %s %s, %v", tt.name, p.Summary.RegularRate, p.Summary.Total, tt.rate, tt.total, err)
		}
	}
}

// TestPieceAndHourlyInOneWeek: 29 CFR 778.115, independent computation: 20
// hours at $10 until Tuesday, then 30 hours in which 25 pieces at $14 are done:
// 200 + 350 = 550 over 50 hours is $11.00; 10 hours at half of it are 55.00.
func TestPieceAndHourlyInOneWeek(t *testing.T) {
	rates := "employee = \"T-17\"\nzone = \"America/Denver\"\n[[rates]]\nfrom = \"2020-01-01\"\nbasis = \"hourly\"\nhourly = \"10\"\n" +
		"[[rates]]\nfrom = \"2026-11-18\"\nbasis = \"piece\"\n[rates.codes]\n\"7\" = \"14\"\n"
	w := newWorker(t)
	w.days("2026-11-16", 50)
	for i := 2; i < 5; i++ {
		units := []string{"10", "10", "5"}[i-2]
		w.out[i].Codes = []closeout.Code{{Entry: int64(100 + i), At: w.out[i].Marks[0].At, Code: "7", Units: exporttest.Num(units)}}
	}
	p, err := w.pay(rates, "2026-W47")
	if err != nil || p.Summary.RegularRate != "11.00" || p.Summary.Premium != 5500 || p.Summary.Total != 60500 {
		t.Errorf("%+v, %v", p.Summary, err)
	}
}

// TestLowPay: 29 U.S.C. 206(a)(1)(C), $7.25 an hour; 29 CFR 778.5.
func TestLowPay(t *testing.T) {
	piece := "employee = \"T-17\"\nzone = \"America/Denver\"\n[[rates]]\nfrom = \"2020-01-01\"\nbasis = \"piece\"\n[rates.codes]\n\"7\" = \"20.00\"\n"
	w := newWorker(t)
	w.days("2026-11-16", 16) // two jobs, ten hours and six
	w.out[0].Codes = []closeout.Code{{Entry: 50, At: w.out[0].Marks[0].At, Code: "7", Units: exporttest.Num("2")}}
	p, err := w.pay(piece, "2026-W47")
	if err != nil || p.Summary.RegularRate != "2.50" {
		t.Fatalf("%+v, %v", p.Summary, err)
	}
	if text := flagTexts(p, "no_code"); strings.Count(text, "\n") != 0 || !strings.Contains(text, "2026-11-17") {
		t.Errorf("no_code: %q", text)
	}
	if text := flagTexts(p, "below_minimum"); !strings.Contains(text, "2.5000 an hour, below the minimum wage of 7.25") {
		t.Errorf("below_minimum: %q", text)
	}
	for rate, flagged := range map[string]bool{"7.24": true, "7.25": false} {
		w := newWorker(t)
		w.days("2026-11-16", 46)
		p, err := w.pay(strings.Replace(hourly12, "12.00", rate, 1), "2026-W47")
		if err != nil || has(p.Flags, "below_minimum") != flagged {
			t.Errorf("%s an hour: flags %v, %v", rate, p.Flags, err)
		}
	}
	shop := newWorker(t)
	shop.job("", "shop_time 2026-11-17 08:00", "day_end 2026-11-17 10:00")
	if p, err := shop.pay(piece, "2026-W47"); err != nil || !has(p.Flags, "unpaid_time") || !has(p.Flags, "below_minimum") {
		t.Errorf("shop time by the piece: %v, %v", p.Flags, err)
	}
	if p, err := shop.pay(strings.Replace(piece, "[rates.codes]", "hourly = \"15\"\n[rates.codes]", 1), "2026-W47"); err != nil || p.Summary.Straight != 3000 || len(p.Flags) > 0 {
		t.Errorf("shop time at $15: %s, %v, %v", p.Summary.Straight, p.Flags, err)
	}
}

// TestWorkInMeals: 29 CFR 785.19: the employee must be relieved from duty.
// Whatever shows work counts, of another job too.
func TestWorkInMeals(t *testing.T) {
	for _, what := range []entry.Kind{entry.KindReading, entry.KindNote, entry.KindCode, entry.KindMaterial, entry.KindMiles} {
		for _, job := range []int{0, 1} {
			w := newWorker(t)
			w.job("1", "arrived 2026-11-17 08:00", "break_start 2026-11-17 12:00", "break_end 2026-11-17 12:45", "departed 2026-11-17 16:00")
			w.job("2", "arrived 2026-11-18 08:00", "departed 2026-11-18 09:00")
			w.out[job].Logged = []Logged{{9, w.when("2026-11-17 12:10"), what}}
			p, err := w.pay(hourly12, "2026-W47")
			if err != nil || p.Summary.Buckets.MealPaid != 45*60 || !has(p.Flags, "work_in_meal") {
				t.Errorf("%s of job %d: %+v %v %v", what, job+1, p.Summary.Buckets, p.Flags, err)
			}
		}
	}
}

// TestWorkdays: 29 CFR 516.2(a)(7), hours worked each workday, and 778.105,
// seven consecutive 24-hour periods: 22:00 to 03:00 is two hours of one and
// three of the next.
func TestWorkdays(t *testing.T) {
	w := newWorker(t)
	w.job("1", "arrived 2026-11-17 22:00", "departed 2026-11-18 03:00")
	w.job("2", "arrived 2026-11-20 08:00", "departed 2026-11-20 12:00")
	p, err := w.pay(hourly12, "2026-W47")
	if err != nil {
		t.Fatal(err)
	}
	var got []int64
	for _, d := range p.Days {
		got = append(got, d.Worked/3600)
	}
	if !slices.Equal(got, []int64{0, 2, 3, 0, 4, 0, 0}) || p.Days[1].Date != "2026-11-17" {
		t.Errorf("hours %v, first %s", got, p.Days[0].Date)
	}
}
