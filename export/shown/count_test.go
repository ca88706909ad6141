package shown

import "testing"

func TestCount(t *testing.T) {
	for n, want := range map[int]string{0: "0 entries", 1: "1 entry", 2: "2 entries"} {
		if got := Count(n, "entry"); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
	if got := Count(int64(12), "job"); got != "12 jobs" {
		t.Errorf("got %q", got)
	}
}
