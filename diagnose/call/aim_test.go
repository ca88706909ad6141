package call

import (
	"math"
	"strings"
	"testing"

	"downlead/diagnose/calltest"
	"downlead/grammar/entry"
)

func TestLookAngle(t *testing.T) {
	tests := []struct {
		source         string
		lat, lon, slot float64
		azimuth        float64
		elevation      float64 // NaN where the source gives none
		rangeKm        float64
		tolerance      float64
	}{
		{"Roddy, Satellite Communications, 4th ed., examples 3.1 and 3.2", 35, -100, -90, 162.9, 48, 37215, 0.1},
		{"the same, elevation to two places", 35, -100, -90, 162.9, 47.97, math.NaN(), 0.05},
		{"Pratt, Bostian and Allnutt, Satellite Communications, 2nd ed., example 2.2.1 (from memory)", 52, 0, 66, 109.33, 5.85, math.NaN(), 0.02},
	}
	for _, tt := range tests {
		if tt.source == "" {
			t.Fatal("a value without a source")
		}
		l, err := LookAngle(tt.lat, tt.lon, tt.slot)
		if err != nil {
			t.Fatal(err)
		}
		if !calltest.Near3(l.Azimuth, tt.azimuth, tt.tolerance) || !calltest.Near3(l.Elevation, tt.elevation, tt.tolerance) {
			t.Errorf("%s: azimuth %.3f elevation %.3f, want %v %v", tt.source, l.Azimuth, l.Elevation, tt.azimuth, tt.elevation)
		}
		if !math.IsNaN(tt.rangeKm) && !calltest.Near3(l.RangeKm, tt.rangeKm, 5) { // the book rounds on the way
			t.Errorf("%s: range %.1f km, want %v", tt.source, l.RangeKm, tt.rangeKm)
		}
	}
}

// vec is a vector from the Earth's centre, for the check by another way.
type vec [3]float64

func at3(lat, lon, r float64) vec {
	const rad = math.Pi / 180
	return vec{r * math.Cos(lat*rad) * math.Cos(lon*rad), r * math.Cos(lat*rad) * math.Sin(lon*rad), r * math.Sin(lat*rad)}
}

func dot(a, b vec) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

func cross(a, b vec) vec {
	return vec{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

func unit(a vec) vec {
	n := math.Sqrt(dot(a, a))
	return vec{a[0] / n, a[1] / n, a[2] / n}
}

// Source: independent computation with vectors; the formulas of LookAngle are
// spherical trigonometry.
func TestLookAngleAgainstVectors(t *testing.T) {
	const deg = 180 / math.Pi
	for _, lat := range []float64{-55, -33.3, -2, 3, 19.6, 35, 52, 64} {
		for _, dl := range []float64{-50, -31.7, -5, 0, 8, 24.2, 61} {
			lon, slot := 12.0, 12+dl
			site, sat := at3(lat, lon, earthKm), at3(0, slot, orbitKm)
			toSat := vec{sat[0] - site[0], sat[1] - site[1], sat[2] - site[2]}
			k, up := unit(toSat), unit(site)
			east := unit(cross(vec{0, 0, 1}, up))
			north := cross(up, east)
			l, err := LookAngle(lat, lon, slot)
			if err != nil {
				t.Fatal(err)
			}
			if el := math.Asin(dot(k, up)) * deg; !calltest.Near3(l.Elevation, el, 1e-6) {
				t.Errorf("lat %v dl %v: elevation %v, vectors say %v", lat, dl, l.Elevation, el)
			}
			if az := turn(math.Atan2(dot(k, east), dot(k, north)) * deg); math.Abs(math.Remainder(l.Azimuth-az, 360)) > 1e-6 {
				t.Errorf("lat %v dl %v: azimuth %v, vectors say %v", lat, dl, l.Azimuth, az)
			}
			if r := math.Sqrt(dot(toSat, toSat)); !calltest.Near3(l.RangeKm, r, 1e-6) {
				t.Errorf("lat %v dl %v: range %v, vectors say %v", lat, dl, l.RangeKm, r)
			}
			// Looking along k with up on top, the right hand is k x up. The
			// slot's level direction is east along the orbit, square to k.
			right := unit(cross(k, up))
			over := cross(right, k)
			eastAtSat := unit(cross(vec{0, 0, 1}, sat))
			level := vec{eastAtSat[0] - dot(eastAtSat, k)*k[0], eastAtSat[1] - dot(eastAtSat, k)*k[1], eastAtSat[2] - dot(eastAtSat, k)*k[2]}
			skew := math.Atan2(-dot(level, over), dot(level, right)) * deg // clockwise positive
			if skew > 90 {
				skew -= 180
			} else if skew < -90 {
				skew += 180
			}
			// The handbook formula takes the slot to be far away: within 1.5 degrees.
			if math.Abs(lat) > 15 && l.Visible && !calltest.Near3(l.Skew, skew, 1.5) {
				t.Errorf("lat %v dl %v: skew %.2f, vectors say %.2f", lat, dl, l.Skew, skew)
			}
		}
	}
}

func TestLookWords(t *testing.T) {
	l, err := LookAngle(35.1, -100.2, -119)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(l.Text(), "Slot 119 west: azimuth 21") || !l.Visible {
		t.Errorf("got %q", l.Text())
	}
	if got := l.Compass(5.5); !calltest.Near3(got, l.Azimuth-5.5, 1e-9) { // east declination is taken off, by its definition
		t.Errorf("by compass %v", got)
	}
	below, err := LookAngle(60, 20, -119)
	if err != nil || below.Visible || !strings.Contains(below.Text(), "below the horizon") {
		t.Errorf("got %+v, %v: %s", below, err, below.Text())
	}
	for _, bad := range [][3]float64{{91, 0, 0}, {0, 181, 0}, {0, 0, 181}, {math.NaN(), 0, 0}, {0, math.NaN(), 0}, {0, 0, math.NaN()}} {
		if _, err := LookAngle(bad[0], bad[1], bad[2]); err == nil {
			t.Errorf("%v is taken", bad)
		}
	}
}

func TestParseSlot(t *testing.T) {
	for s, want := range map[string]float64{"119W": -119, "119": -119, "61.5 west": -61.5, "13E": 13, " 28.2 East ": 28.2, "-119": -119, "0": 0, "180w": -180} {
		if got, err := ParseSlot(s); err != nil || got != want {
			t.Errorf("%q: %v, %v; want %v", s, got, err, want)
		}
	}
	for _, s := range []string{"", "W", "-119W", "181", "119N", "one nineteen", "1e2", "119W W"} {
		if got, err := ParseSlot(s); err == nil {
			t.Errorf("%q is taken as %v", s, got)
		}
	}
}

func TestAimText(t *testing.T) {
	site := entry.Site{Lat: calltest.Dec("35.1"), Lon: calltest.Dec("-100.2")}
	for name, tt := range map[string]struct {
		entries []entry.Entry
		slot    int
		want    string
	}{
		"named":                 {[]entry.Entry{site}, 119, "Slot 119 west: azimuth"},
		"the slot of a reading": {[]entry.Entry{site, calltest.SlotReading("lnb", "fail", 110)}, 0, "Slot 110 west: azimuth"},
		"no slot":               {[]entry.Entry{site}, 0, "Say the slot"},
		"no position":           {nil, 119, "no position yet"},
	} {
		if got := AimText(calltest.RecordsOf(tt.entries...), tt.slot); !strings.Contains(got, tt.want) {
			t.Errorf("%s: %q, want %q in it", name, got, tt.want)
		}
	}
}
