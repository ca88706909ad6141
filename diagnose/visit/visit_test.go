package visit

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"
	_ "time/tzdata" // the zone of the tests, on a machine without any

	"github.com/google/go-cmp/cmp"
)

func mountain(t testing.TB) *time.Location {
	t.Helper()
	zone, err := time.LoadLocation("America/Denver")
	if err != nil {
		t.Fatal(err)
	}
	return zone
}

// at reads "17 08:30" as that day and time of November 2026, "10-31 23:00" as
// that of another month.
func at(t testing.TB, s string) time.Time {
	t.Helper()
	if !strings.Contains(s, "-") {
		s = "11-" + s
	}
	when, err := time.ParseInLocation("2006-01-02 15:04", "2026-"+s, mountain(t))
	if err != nil {
		t.Fatal(err)
	}
	return when
}

// visits makes the visits of jobs from lines "job: mark day clock, mark …".
func visits(t testing.TB, lines ...string) []Visit {
	t.Helper()
	var out []Visit
	entry := int64(0)
	for _, line := range lines {
		job, rest, _ := strings.Cut(line, ":")
		var marks []Mark
		for _, m := range strings.Split(rest, ",") {
			name, when, _ := strings.Cut(strings.TrimSpace(m), " ")
			entry++
			marks = append(marks, Mark{Entry: entry, Mark: name, At: at(t, when)})
		}
		out = append(out, Of(job, marks)...)
	}
	return out
}

func clock(x Interval) string {
	return fmt.Sprintf("%s %s/%d %s-%s", x.Kind, x.Job, x.Visit, x.Start.Format("02 15:04"), x.End.Format("02 15:04"))
}

func clocks(all []Interval) []string {
	var out []string
	for _, x := range all {
		out = append(out, clock(x))
	}
	return out
}

// TestDays: invented days, worked out by hand on the clock.
func TestDays(t *testing.T) {
	tests := []struct {
		name  string
		lines []string
		want  []string
		open  int
	}{
		{"a second visit to a job", []string{
			"1: arrived 17 08:00, departed 17 09:00, arrived 17 13:00, departed 17 14:00", "2: arrived 17 10:00, departed 17 12:00",
		}, []string{"site 1/1 17 08:00-17 09:00", "gap 2/1 17 09:00-17 10:00", "site 2/1 17 10:00-17 12:00", "gap 1/2 17 12:00-17 13:00", "site 1/2 17 13:00-17 14:00"}, 0},
		{"a job reopened three weeks later", []string{
			"1: arrived 02 08:00, departed 02 09:00, reopened 24 09:00, arrived 24 10:00, departed 24 11:00", "2: arrived 09 08:00, departed 09 17:00",
		}, []string{"site 1/1 02 08:00-02 09:00", "site 2/1 09 08:00-09 17:00", "site 1/2 24 10:00-24 11:00"}, 0},
		{"a departure that was not marked does not reach over days", []string{
			"1: arrived 02 08:00, arrived 24 10:00, departed 24 11:00",
		}, []string{"site 1/2 24 10:00-24 11:00"}, 1},
		{"nor over a reopening of the same day", []string{
			"1: arrived 02 08:00, reopened 02 12:00, arrived 02 13:00, departed 02 14:00",
		}, []string{"site 1/2 02 13:00-02 14:00"}, 1},
		{"a night's work", []string{"1: en_route 17 23:30, arrived 18 00:30, departed 18 02:00"}, []string{"travel 1/1 17 23:30-18 00:30", "site 1/1 18 00:30-18 02:00"}, 0},
		{"a meal, and work on another job in it", []string{
			"1: arrived 17 08:00, break_start 17 12:00, break_end 17 13:00, departed 17 16:00", "2: arrived 17 12:20, departed 17 12:40",
		}, []string{"site 1/1 17 08:00-17 12:00", "break 1/1 17 12:00-17 12:20", "site 2/1 17 12:20-17 12:40", "break 1/1 17 12:40-17 13:00", "site 1/1 17 13:00-17 16:00"}, 0},
		{"a run for parts", []string{
			"1: en_route 17 08:00, arrived 17 08:30, en_route 17 10:00, arrived 17 11:00, departed 17 12:00",
		}, []string{"travel 1/1 17 08:00-17 08:30", "site 1/1 17 08:30-17 10:00", "travel 1/1 17 10:00-17 11:00", "site 1/1 17 11:00-17 12:00"}, 0},
		{"on site goes before travel to another job", []string{
			"1: arrived 17 08:00, departed 17 10:00", "2: en_route 17 09:00, arrived 17 10:30, departed 17 11:00",
		}, []string{"site 1/1 17 08:00-17 10:00", "travel 2/1 17 10:00-17 10:30", "site 2/1 17 10:30-17 11:00"}, 0},
		{"the shop, a meeting and the way back", []string{
			": shop_time 17 07:00, meeting 17 07:30, back_at_shop 17 16:40, day_end 17 17:00", "1: en_route 17 08:00, arrived 17 08:30, departed 17 16:00",
		}, []string{
			"shop /1 17 07:00-17 07:30", "meeting /1 17 07:30-17 08:00", "travel 1/1 17 08:00-17 08:30", "site 1/1 17 08:30-17 16:00",
			"travel /0 17 16:00-17 16:40", "shop /1 17 16:40-17 17:00",
		}, 0},
		{"on the road back to the shop", []string{
			": back_at_shop 17 16:40, day_end 17 17:00", "1: arrived 17 08:30, departed 17 16:00, en_route 17 16:10",
		}, []string{"site 1/1 17 08:30-17 16:00", "gap 1/2 17 16:00-17 16:10", "travel 1/2 17 16:10-17 16:40", "shop /1 17 16:40-17 17:00"}, 0},
		{"shop time that nothing ends", []string{": shop_time 17 15:00"}, nil, 1},
		{"on the road to the next job, said in the one before", []string{
			"1: arrived 17 07:00, en_route 17 08:00", "2: arrived 17 11:00, departed 17 12:00",
		}, []string{"site 1/1 17 07:00-17 08:00", "travel 1/1 17 08:00-17 11:00", "site 2/1 17 11:00-17 12:00"}, 0},
		{"a night's rest after work over midnight", []string{
			"1: arrived 17 22:00, departed 18 00:30", "2: arrived 18 08:00, departed 18 09:00", "3: arrived 18 22:00, departed 19 00:30, arrived 19 02:00, departed 19 03:00",
		}, []string{
			"site 1/1 17 22:00-18 00:30", "site 2/1 18 08:00-18 09:00", "gap 3/1 18 09:00-18 22:00", "site 3/1 18 22:00-19 00:30",
			"gap 3/2 19 00:30-19 02:00", "site 3/2 19 02:00-19 03:00",
		}, 0},
		{"a way that was never ended, and the next morning", []string{ // 13 hours: over twelve, it is another visit
			"1: en_route 17 20:00, arrived 18 09:00, departed 18 10:00",
		}, []string{"site 1/2 18 09:00-18 10:00"}, 1},
		{"a night's drive of eleven hours", []string{"1: en_route 17 21:00, arrived 18 08:00, departed 18 09:00"}, []string{"travel 1/1 17 21:00-18 08:00", "site 1/1 18 08:00-18 09:00"}, 0},
		{"who drives in a break does not rest", []string{
			"1: arrived 17 08:00, break_start 17 12:00, break_end 17 13:00, departed 17 13:30", "2: en_route 17 12:20, arrived 17 12:40, departed 17 12:50",
		}, []string{
			"site 1/1 17 08:00-17 12:00", "break 1/1 17 12:00-17 12:20", "travel 2/1 17 12:20-17 12:40", "site 2/1 17 12:40-17 12:50",
			"break 1/1 17 12:50-17 13:00", "site 1/1 17 13:00-17 13:30",
		}, 0},
		{"the customer is not home", []string{"1: en_route 17 08:00, no_access 17 08:30, departed 17 08:45"}, []string{"travel 1/1 17 08:00-17 08:30", "site 1/1 17 08:30-17 08:45"}, 0},
		{"lunch at the shop", []string{": shop_time 17 11:00, break_start 17 12:00, break_end 17 12:30, day_end 17 13:00"}, []string{"shop /1 17 11:00-17 12:00", "break /1 17 12:00-17 12:30", "shop /1 17 12:30-17 13:00"}, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := Union(visits(t, tt.lines...), mountain(t))
			if d := cmp.Diff(tt.want, clocks(got.Intervals)); d != "" {
				t.Error(d)
			}
			if len(got.Open) != tt.open {
				t.Errorf("open %v, want %d", clocks(got.Open), tt.open)
			}
		})
	}
}

// TestClockChanges: 23:00 to 07:30 lasts 7.5 hours in the night in which the
// clocks go forward and 9.5 in which they go back: US Department of Labor,
// hours worked when the clocks change (there less a meal of 30 minutes).
func TestClockChanges(t *testing.T) {
	for line, want := range map[string]time.Duration{
		"1: arrived 03-07 23:00, departed 03-08 07:30": 7*time.Hour + 30*time.Minute,
		"1: arrived 10-31 23:00, departed 11-01 07:30": 9*time.Hour + 30*time.Minute,
	} {
		got := Union(visits(t, line), mountain(t)).Intervals
		if len(got) != 1 || got[0].Long() != want {
			t.Errorf("%s: %v, want %v", line, got, want)
		}
	}
}

// TestUnionOfAnything: whatever is marked, the union has no overlap, is in
// order, holds each minute that some interval holds, and does not depend on
// the order of the jobs. The reference counts minutes one by one.
func TestUnionOfAnything(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	names := []string{"en_route", "arrived", "departed", "break_start", "break_end", "no_access", ShopTime, MeetingTime, DayEnd, BackAtShop}
	base := at(t, "17 00:00")
	for round := range 300 {
		var all []Visit
		for j := range 1 + rng.IntN(4) {
			var marks []Mark
			for e := range rng.IntN(12) {
				name := names[rng.IntN(6)]
				if j == 0 {
					name = names[rng.IntN(len(names))]
				}
				marks = append(marks, Mark{Entry: int64(100*j + e + 1), Mark: name, At: base.Add(time.Duration(rng.IntN(3000)) * time.Minute)})
			}
			all = append(all, Of([]string{"", "1", "2", "3"}[j], marks)...)
		}
		got := Union(all, mountain(t))
		minute := map[time.Time]bool{}
		for i, x := range got.Intervals {
			if !x.Start.Before(x.End) || i > 0 && x.Start.Before(got.Intervals[i-1].End) {
				t.Fatalf("round %d: not in order: %v", round, clocks(got.Intervals))
			}
			if x.Kind != Gap {
				for m := x.Start; m.Before(x.End); m = m.Add(time.Minute) {
					minute[m] = true
				}
			}
		}
		for _, v := range all {
			for _, x := range v.Intervals {
				for m := x.Start; v.Job != "" && m.Before(x.End); m = m.Add(time.Minute) {
					if !minute[m] {
						t.Fatalf("round %d: %s of %s is lost", round, m, clock(x))
					}
				}
			}
		}
		rng.Shuffle(len(all), func(i, k int) { all[i], all[k] = all[k], all[i] })
		if d := cmp.Diff(clocks(got.Intervals), clocks(Union(all, mountain(t)).Intervals)); d != "" {
			t.Fatalf("round %d: the order of the jobs matters: %s", round, d)
		}
	}
}
