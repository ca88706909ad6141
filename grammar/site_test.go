package grammar

import (
	"testing"

	"downlead/grammar/lex"
)

// The twelve-hour clock: twelve is before one, in the night and at noon (common
// practice; "noon" and "midnight" say it without doubt).
func TestClockTime(t *testing.T) {
	for said, want := range map[string]string{
		"eight ten": "08:10", "8 10 pm": "20:10", "12 30 pm": "12:30", "twelve thirty p.m.": "12:30", "12 05 am": "00:05", "12 am": "00:00", "12 pm": "12:00",
		"11 59 pm": "23:59", "one oh five": "01:05", "14:30": "14:30", "1430": "14:30", "noon": "12:00", "midnight": "00:00", "twenty three forty five": "23:45",
		"8 o'clock in the evening": "20:00", "at seven fifteen in the morning": "07:15",
	} {
		if got, ok := lex.ClockTime(said); !ok || got != want {
			t.Errorf("%q is %q, %v; want %s", said, got, ok, want)
		}
	}
	for _, said := range []string{"13 pm", "0 30 am", "24:00", "8 60", "soon", "", "minus eight"} {
		if got, ok := lex.ClockTime(said); ok {
			t.Errorf("%q is taken for %s", said, got)
		}
	}
}

// Latitude goes to 90 degrees and longitude to 180 (ISO 6709).
func TestCoordinates(t *testing.T) {
	for said, want := range map[string][2]string{
		"35.1 north 100.2 west": {"35.1", "-100.2"}, "35.1, -100.2": {"35.1", "-100.2"}, "90 s, 180 e": {"-90", "180"}, "0 north 0 east": {"0", "0"},
	} {
		if lat, lon, ok := lex.Coordinates(said); !ok || lat.String() != want[0] || lon.String() != want[1] {
			t.Errorf("%q is %s, %s, %v", said, lat, lon, ok)
		}
	}
	for _, said := range []string{"90.1 north 100 west", "95, 100", "35 north 180.1 west", "-91, 10", "35 west 100 north", "-35 south 100 west", "35", "north 35"} {
		if lat, lon, ok := lex.Coordinates(said); ok {
			t.Errorf("%q is taken for %s, %s", said, lat, lon)
		}
	}
}

// A dash is a sign where nothing stands right before it; else it joins.
func TestADashIsASignOrJoins(t *testing.T) {
	for phrase, want := range map[string]bool{"pass -41": true, "-41": true, "pass, - 41": true, "output 2-41": false, "multi-4": false, "RG-6": false, "5-10": false} {
		minus := false
		for _, w := range lex.Split(phrase) {
			minus = minus || w.Text == "minus"
		}
		if minus != want {
			t.Errorf("%q: a sign %v", phrase, minus)
		}
	}
}

// A slot is a place on the circle: beyond 360 degrees there is none.
func TestASlotIsOnTheCircle(t *testing.T) {
	p := newParser(t)
	for slot, want := range map[string]bool{"119": true, "360": true, "361": false, "389": false} {
		if _, err := p.Parse("behind receiver one, slot " + slot + ", pass, minus forty"); (err == nil) != want {
			t.Errorf("slot %s: %v", slot, err)
		}
	}
}
