package call

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"downlead/diagnose/trace"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// The geometry of the geostationary orbit, km: equatorial radius of the Earth
// and radius of the orbit, as Roddy, Satellite Communications, 4th ed.,
// chapter 3, has them.
const (
	earthKm = 6378.14
	orbitKm = 42164
)

// Look is where a dish must point for an orbital slot. All angles in degrees.
type Look struct {
	Slot      float64 // longitude of the slot, east positive
	Visible   bool    // above the horizon
	Azimuth   float64 // from true north, clockwise
	Elevation float64 // above the horizon; negative below it
	Skew      float64 // turn of the feed, clockwise positive seen from behind the dish
	RangeKm   float64
}

// LookAngle returns where a dish at a latitude and longitude (degrees, north
// and east positive) must point for a slot (degrees of longitude, east
// positive). The Earth is taken as a sphere.
func LookAngle(lat, lon, slot float64) (Look, error) {
	switch {
	case math.IsNaN(lat) || math.Abs(lat) > 90:
		return Look{}, fmt.Errorf("latitude %g is not within 90 degrees north or south", lat)
	case math.IsNaN(lon) || math.Abs(lon) > 180:
		return Look{}, fmt.Errorf("longitude %g is not within 180 degrees east or west", lon)
	case math.IsNaN(slot) || math.Abs(slot) > 180:
		return Look{}, fmt.Errorf("slot %g is not within 180 degrees east or west", slot)
	}
	const rad = math.Pi / 180
	phi, dl := lat*rad, (slot-lon)*rad
	cosB := math.Cos(phi) * math.Cos(dl)
	sinB := math.Sqrt(max(0, 1-cosB*cosB))
	l := Look{Slot: slot}
	l.Elevation = math.Atan2(cosB-earthKm/orbitKm, sinB) / rad
	l.Azimuth = turn(math.Atan2(math.Sin(dl), -math.Sin(phi)*math.Cos(dl)) / rad)
	// The slot's polarisation is level with the equator; seen from the site the
	// equator is turned by this angle (handbook formula, slot far away).
	side := -math.Sin(dl)
	if phi < 0 {
		side = -side
	}
	l.Skew = math.Atan2(side, math.Abs(math.Tan(phi))) / rad
	l.RangeKm = math.Sqrt(earthKm*earthKm + orbitKm*orbitKm - 2*earthKm*orbitKm*cosB)
	l.Visible = l.Elevation > 0
	return l, nil
}

// turn brings an angle into 0 to 360 degrees.
func turn(a float64) float64 {
	a = math.Mod(a, 360)
	if a < 0 {
		a += 360
	}
	return a
}

// Compass returns the azimuth by a compass where the magnetic declination is
// as given, degrees, east positive.
func (l Look) Compass(declination float64) float64 { return turn(l.Azimuth - declination) }

// Text says the look angle in one line.
func (l Look) Text() string {
	if !l.Visible {
		return fmt.Sprintf("Slot %s is below the horizon there, by %.1f degrees.", slotWords(l.Slot), -l.Elevation)
	}
	return fmt.Sprintf("Slot %s: azimuth %.1f degrees from true north, elevation %.1f, skew %+.1f, %.0f km away.", slotWords(l.Slot), l.Azimuth, l.Elevation, l.Skew, l.RangeKm)
}

func slotWords(slot float64) string {
	if slot < 0 {
		return strconv.FormatFloat(-slot, 'f', -1, 64) + " west"
	}
	return strconv.FormatFloat(slot, 'f', -1, 64) + " east"
}

// ParseSlot reads an orbital slot as "119W", "61.5 west", "13E" or "-119", and
// returns its longitude in degrees, east positive. A bare number is west, as
// it is said on a call.
func ParseSlot(s string) (float64, error) {
	text := strings.ToLower(strings.TrimSpace(s))
	sign := -1.0
	for _, w := range []struct {
		suffix string
		sign   float64
	}{{"west", -1}, {"east", 1}, {"w", -1}, {"e", 1}} {
		if rest, ok := strings.CutSuffix(text, w.suffix); ok {
			text, sign = strings.TrimSpace(rest), w.sign
			break
		}
	}
	d, err := entry.ParseDecimal(strings.TrimSpace(text))
	v := d.Float()
	switch {
	case err != nil:
		return 0, fmt.Errorf("%q is not an orbital slot; say degrees and side, as 119W or 13E", s)
	case v < 0 && strings.IndexFunc(s, func(r rune) bool { return strings.ContainsRune("eEwW", r) }) >= 0:
		return 0, fmt.Errorf("%q has both a sign and a side; say 119W or -119", s)
	case v < 0:
		v, sign = -v, -1
	}
	if v > 180 {
		return 0, fmt.Errorf("slot %q is beyond 180 degrees", s)
	}
	return sign * v, nil
}

// AimText answers where to aim for a slot, in degrees west as said, from the
// job's site; slot 0 means the one named last.
func AimText(records []record.Record, slot int) string {
	c := trace.Call{Records: record.Current(records)}
	if slot == 0 {
		slot = c.Slot()
	}
	if slot == 0 {
		return "Say the slot: aim for slot one nineteen."
	}
	lat, lon, ok := c.Site()
	if !ok {
		return "The job has no position yet. Say it: location thirty five point one north, one hundred point two west."
	}
	look, err := LookAngle(lat, lon, -float64(slot))
	if err != nil {
		return "That cannot be reckoned: " + err.Error() + "."
	}
	return look.Text()
}
