package pay

import (
	"fmt"
	"testing"
	"time"
)

// BenchmarkPayOfMany pays a week among 100, 1,000 and 10,000 jobs.
func BenchmarkPayOfMany(b *testing.B) {
	for _, n := range []int{100, 1000, 10000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			in := PayInput{Works: manyWorks(b, n), Rates: MakeRates(b, hourly12), Week: "2026-W47"}
			for b.Loop() {
				if _, err := NewPay(in); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// manyWorks are n jobs, five a day, the last in the week of 16 November 2026.
func manyWorks(t testing.TB, n int) []Work {
	w := newWorker(t)
	day := time.Date(2026, 11, 20, 8, 0, 0, 0, w.zone).AddDate(0, 0, -n/5)
	for i := range n {
		at := day.AddDate(0, 0, i/5).Add(time.Duration(i%5) * 90 * time.Minute)
		w.job(fmt.Sprint(i), "en_route "+at.Format("2006-01-02 15:04"), "arrived "+at.Add(20*time.Minute).Format("2006-01-02 15:04"), "departed "+at.Add(80*time.Minute).Format("2006-01-02 15:04"))
	}
	return w.out
}
