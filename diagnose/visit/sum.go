package visit

import "time"

// Total is how long the ended intervals of a kind last in all; ok is false
// where there is none.
func Total(visits []Visit, k Kind) (sum time.Duration, ok bool) {
	for _, v := range visits {
		for _, x := range v.Intervals {
			if x.Kind == k {
				sum, ok = sum+x.Long(), true
			}
		}
	}
	return sum, ok
}

// Within is how much of the intervals of a kind falls between two times.
func Within(visits []Visit, k Kind, from, to time.Time) time.Duration {
	var sum time.Duration
	for _, v := range visits {
		for _, x := range v.Intervals {
			if part, ok := x.Within(from, to); ok && x.Kind == k {
				sum += part.Long()
			}
		}
	}
	return sum
}

// OnSite is the time from arrival to departure, breaks and runs for parts
// included, of every visit that has both; ok is false where none has.
func OnSite(visits []Visit) (sum time.Duration, ok bool) {
	for _, v := range visits {
		from, arrived := v.First("arrived")
		last := v.Marks[len(v.Marks)-1]
		if arrived && last.Mark == "departed" && last.At.After(from) {
			sum, ok = sum+last.At.Sub(from), true
		}
	}
	return sum, ok
}

// First returns the time of the first mark of a name in any of the visits.
func First(visits []Visit, name string) (time.Time, bool) {
	for _, v := range visits {
		if at, ok := v.First(name); ok {
			return at, true
		}
	}
	return time.Time{}, false
}
