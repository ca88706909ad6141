package journal

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"
	_ "time/tzdata" // the zones, for machines that have none
)

// zones remembers the zones met: loading one reads a file.
type zones struct{ met sync.Map }

func (z *zones) load(name string) (*time.Location, error) {
	if loc, ok := z.met.Load(name); ok {
		return loc.(*time.Location), nil
	}
	loc, err := time.LoadLocation(name)
	if err == nil {
		z.met.Store(name, loc)
	}
	return loc, err
}

// name returns the IANA name of a location; "" for a bare offset.
func (z *zones) name(loc *time.Location) string {
	name := loc.String()
	if name == "Local" {
		return LocalZone()
	}
	if _, err := z.load(name); err != nil {
		return ""
	}
	return name
}

// LocalZone returns the IANA name of the machine's own time zone, from TZ, the
// link /etc/localtime or the file /etc/timezone. Where none of them says it is
// the name of the offset that holds now, such as "Etc/GMT+7" (west of Greenwich).
func LocalZone() string {
	if name := time.Local.String(); name != "Local" {
		return name
	}
	target, _ := filepath.EvalSymlinks("/etc/localtime")
	_, linked, _ := strings.Cut(target, "zoneinfo/")
	written, _ := os.ReadFile("/etc/timezone")
	for _, name := range []string{strings.TrimPrefix(os.Getenv("TZ"), ":"), linked, strings.TrimSpace(string(written))} {
		if _, err := time.LoadLocation(name); err == nil && name != "" {
			return name
		}
	}
	_, east := time.Now().Zone()
	if name := fmt.Sprintf("Etc/GMT%+d", -east/3600); east != 0 && east%3600 == 0 {
		return name
	}
	return "UTC"
}

// shows reports whether a zone has an offset, seconds east, at an instant.
func (z *zones) shows(at time.Time, zone string, offset int) bool {
	loc, err := z.load(zone)
	if err != nil || zone == "" {
		return false
	}
	_, now := at.In(loc).Zone()
	return now == offset
}

// in puts a stored instant into its zone. Where the zone's rules have changed
// since, the stored offset holds: it is what the wall clock showed.
func (z *zones) in(at time.Time, zone string, offset int) time.Time {
	if z.shows(at, zone, offset) {
		loc, _ := z.load(zone)
		return at.In(loc)
	}
	return at.In(time.FixedZone(zone, offset))
}

// LocalTimeError says that a wall-clock time does not exist in its zone, or
// happens twice, because clocks are changed that night. Earlier and Later are
// the two instants that may have been meant.
type LocalTimeError struct {
	Wall           string // as said, "2026-03-08 02:30"
	Zone           string
	Twice          bool // the time happens twice; otherwise it does not exist
	Earlier, Later time.Time
}

func (e *LocalTimeError) Error() string {
	what := "does not exist"
	if e.Twice {
		what = "happens twice"
	}
	return fmt.Sprintf("%s %s in %s, because clocks change that night: say %s or %s",
		e.Wall, what, e.Zone, e.Earlier.Format("15:04 MST"), e.Later.Format("15:04 MST"))
}

// LocalTime returns the instant at which a clock on the wall in zone shows
// year, month, day and time of day of wall, whose own location is ignored. A
// time that does not exist or happens twice is a *LocalTimeError.
func LocalTime(wall time.Time, zone *time.Location) (time.Time, error) {
	if zone == nil {
		return time.Time{}, errors.New("local time: no zone given")
	}
	asUTC := time.Date(wall.Year(), wall.Month(), wall.Day(), wall.Hour(), wall.Minute(), wall.Second(), wall.Nanosecond(), time.UTC)
	// Clock changes lie days apart, so the offsets a day before and a day
	// after are the only two that can be in force.
	_, before := asUTC.Add(-24 * time.Hour).In(zone).Zone()
	_, after := asUTC.Add(24 * time.Hour).In(zone).Zone()
	early := asUTC.Add(-time.Duration(max(before, after)) * time.Second).In(zone)
	late := asUTC.Add(-time.Duration(min(before, after)) * time.Second).In(zone)
	shows := func(t time.Time) bool {
		_, offset := t.Zone()
		return t.Add(time.Duration(offset) * time.Second).Equal(asUTC)
	}
	switch {
	case early.Equal(late) || shows(early) && !shows(late):
		return early, nil
	case shows(late) && !shows(early):
		return late, nil
	}
	return time.Time{}, &LocalTimeError{
		Wall: asUTC.Format("2006-01-02 15:04"), Zone: zone.String(),
		Twice: shows(early), Earlier: early, Later: late,
	}
}
