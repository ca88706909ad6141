package shown

import (
	"fmt"
	"strings"
)

// Count is a number of things in figures, as a person would write it: "1 job",
// "12 jobs", "2 entries".
func Count[N int | int64](n N, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	if stem, ok := strings.CutSuffix(thing, "y"); ok {
		return fmt.Sprintf("%d %sies", n, stem)
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
