package fault

import (
	"testing"

	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// A repair is proved by a rise that two readings of a 1 dB meter do not differ by
// for themselves: three times the square root of two, 4.24 dB (JCGM 100:2008,
// 5.1.2, the uncertainty of a difference of independent readings).
func TestWhatProvesARepair(t *testing.T) {
	fail := func(level string) entry.Reading {
		r := entry.Reading{Verdict: entry.Fail}
		if level == "none" {
			r.NoSignal = true
		} else if level != "" {
			if err := r.Level.UnmarshalJSON([]byte(level)); err != nil {
				t.Fatal(err)
			}
		}
		return r
	}
	pass := entry.Reading{Verdict: entry.Pass}
	for _, c := range []struct {
		name          string
		first, second entry.Reading
		want          bool
	}{
		{"it passes now", fail("-58"), pass, true},
		{"it passed before", pass, pass, false},
		{"4 dB more", fail("-60"), fail("-56"), false},
		{"4.5 dB more", fail("-60"), fail("-55.5"), true},
		{"4.5 dB less", fail("-55.5"), fail("-60"), false},
		{"a level where there was none", fail("none"), fail("-60"), true},
		{"none still", fail("none"), fail("none"), false},
		{"no level to compare with", fail(""), fail("-52"), false},
	} {
		if got := better(c.first, c.second, trace.Settings{}); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}
