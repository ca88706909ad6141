package pay

import (
	"fmt"
	"strings"
	"time"
)

// workweek is the length of a workweek: a fixed and regularly recurring
// period of 168 hours, seven consecutive 24-hour periods (29 CFR 778.105).
const workweek = 168 * time.Hour

// parseWeek reads an ISO 8601 week, "2026-W47".
func parseWeek(label string) (year, week int, err error) {
	bad := fmt.Errorf("%q is not a week: write it as \"2026-W47\"", label)
	if _, err := fmt.Sscanf(label, "%4d-W%2d", &year, &week); err != nil || label != fmt.Sprintf("%04d-W%02d", year, week) {
		return 0, 0, bad
	}
	// The 28th of December is always in a year's last ISO week.
	if _, last := time.Date(year, 12, 28, 0, 0, 0, 0, time.UTC).ISOWeek(); week < 1 || week > last {
		return 0, 0, bad
	}
	return year, week, nil
}

// parseWeekStart reads "sunday 00:00" as the time after Monday 00:00.
func parseWeekStart(s string) (time.Duration, error) {
	bad := fmt.Errorf("week_start is %q: write it as \"sunday 00:00\"", s)
	day, clock, ok := strings.Cut(strings.ToLower(s), " ")
	at, err := time.Parse("15:04", clock)
	if !ok || err != nil {
		return 0, bad
	}
	for i := range 7 {
		if strings.EqualFold(time.Weekday((i+1)%7).String(), day) {
			return time.Duration(i)*24*time.Hour + time.Duration(at.Hour())*time.Hour + time.Duration(at.Minute())*time.Minute, nil
		}
	}
	return 0, bad
}

// WeekBounds returns the workweek of a label: the one that begins last at or
// before noon of that ISO week's Monday. Weeks are always 168 hours: they
// are reckoned in the zone's standard time, and while summer time holds they
// begin an hour later by the clock on the wall.
func (r Rates) WeekBounds(label string) (from, to time.Time, err error) {
	year, week, err := parseWeek(label)
	if err != nil {
		return from, to, err
	}
	standard := time.FixedZone("standard", standardOffset(year, r.Zone))
	jan4 := time.Date(year, 1, 4, 0, 0, 0, 0, standard) // always in week 1
	monday := jan4.AddDate(0, 0, -int(jan4.Weekday()+6)%7+7*(week-1))
	from = monday.Add(r.Start)
	for from.After(monday.Add(12 * time.Hour)) {
		from = from.Add(-workweek)
	}
	return from.In(r.Zone), from.Add(workweek).In(r.Zone), nil
}

// standardOffset is a zone's offset outside summer time, seconds: the smaller
// of those in January and July.
func standardOffset(year int, zone *time.Location) int {
	_, jan := time.Date(year, 1, 1, 12, 0, 0, 0, zone).Zone()
	_, jul := time.Date(year, 7, 1, 12, 0, 0, 0, zone).Zone()
	return min(jan, jul)
}
