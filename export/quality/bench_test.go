package quality

import (
	"fmt"
	"testing"
	"time"

	"downlead/journal/record"
)

// BenchmarkQualityOfMany judges months of 100, 1,000 and 10,000 visits.
func BenchmarkQualityOfMany(b *testing.B) {
	for _, n := range []int{100, 1000, 10000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			in := QualityInput{
				Visits: visitsOf(manyJobs(n)), Month: "2026-11", FixDays: FixDays, Head: record.Hash{7}, Count: 1,
				AsOf: time.Date(2027, 1, 5, 12, 0, 0, 0, time.UTC),
			}
			b.ResetTimer()
			for b.Loop() {
				if _, err := NewQuality(in); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
