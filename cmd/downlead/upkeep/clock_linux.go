package upkeep

import "golang.org/x/sys/unix"

// unkeptClock reports that no time server keeps the clock right (adjtimex(2)).
func unkeptClock() bool {
	var t unix.Timex
	state, err := unix.Adjtimex(&t)
	return err == nil && (state == unix.TIME_ERROR || t.Status&unix.STA_UNSYNC != 0)
}
