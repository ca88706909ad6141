package diagnose

import (
	"math"
	"slices"
	"strings"
	"testing"

	"downlead/grammar"
)

func TestRainLoss(t *testing.T) {
	tests := []struct {
		source                    string
		ghz, rate, elevation, tau float64
		want                      float64
		relative                  float64
	}{
		{"ITU-R validation examples for P.838-3", 14.25, 26.48052, 31.07699124, 0, 1.58130839, 1e-6},
		{"ITU-R validation examples for P.838-3", 14.25, 63.62668149, 48.24117054, 90, 3.72901264, 1e-6},
		// k and alpha at 12 GHz, quoted to four places: k*R^alpha at R = 1 is k.
		{"ITU-R P.838-3, table 5, 12 GHz horizontal, read in a text that quotes it", 12, 1, 0, 0, 0.02386, 3e-4},
		{"ITU-R P.838-3, table 5, 12 GHz vertical, read in a text that quotes it", 12, 1, 0, 90, 0.02455, 3e-4},
		{"the same, alpha: k*10^1.1825", 12, 10, 0, 0, 0.02386 * 15.223, 1e-3},
		{"the same, alpha: k*10^1.1216", 12, 10, 0, 90, 0.02455 * 13.231, 1e-3},
	}
	for _, tt := range tests {
		got := RainLoss(tt.ghz, tt.rate, tt.elevation, tt.tau)
		if math.Abs(got/tt.want-1) > tt.relative {
			t.Errorf("%s: %v dB/km, want %v", tt.source, got, tt.want)
		}
	}
}

func codesOf(findings []Finding) []string {
	var out []string
	for _, f := range findings {
		out = append(out, f.Code)
	}
	return out
}

func on(point, verdict, level string, transponder int) grammar.Reading {
	r := read(point, verdict, level)
	r.Transponder = transponder
	return r
}

func volts(point, v string) grammar.Reading {
	return grammar.Reading{Point: at(point), Volts: dec(v)}
}

// What the patterns mean is common practice, no source.
func TestFindings(t *testing.T) {
	home := chainOf(oneReceiver)
	strong := read("receiver #1", "fail", "-42")
	strong.Strength = dec("61")
	lowQuality := read("receiver #1", "pass", "-42")
	lowQuality.MER = dec("4.1")
	thin := read("receiver #1", "pass", "-42")
	thin.Strength = dec("77")
	threshold := grammar.Setting{Name: "threshold", Value: dec("75")}
	odd, even := read("lnb", "fail"), read("lnb", "pass")
	odd.Polarity, even.Polarity = "odd", "even"
	tests := []struct {
		name    string
		entries []grammar.Entry
		code    string
		text    string
	}{
		{"too much across the block, all passing", []grammar.Entry{home, read("ground_block dish", "pass", "-38"), read("ground_block receiver", "pass", "-45")}, FindingExcess, "6.7 dB too much across the ground block"},
		{"the high transponders are weak", []grammar.Entry{home, on("wall_plate dish", "pass", "-41", 1), on("wall_plate dish", "pass", "-49", 31)}, FindingTilt, "rises with frequency"},
		{"the low transponders are weak", []grammar.Entry{home, on("wall_plate dish", "pass", "-49", 1), on("wall_plate dish", "pass", "-40", 31)}, FindingLowEnd, "centre conductor"},
		{"one polarisation, by transponder", []grammar.Entry{home, on("lnb", "fail", "-58", 3), on("lnb", "pass", "-33", 4)}, FindingPolarity, "Only the odd transponders fail"},
		{"one polarisation, as said", []grammar.Entry{home, odd, even}, FindingPolarity, "Only the odd transponders fail"},
		{"one slot", []grammar.Entry{home, slotReading("lnb", "fail", 110), slotReading("lnb", "pass", 119)}, FindingSlot, "Only slot 110 fails at the LNB"},
		{"weak strength at full level", []grammar.Entry{home, threshold, strong}, FindingAim, "Strength 61 is below 75"},
		{"error ratio too low", []grammar.Entry{home, lowQuality}, FindingQuality, "2.5 dB short"},
		{"little level to spare", []grammar.Entry{home, read("receiver #1", "pass", "-48.5")}, FindingMarginal, "with only 1.5 dB to spare"},
		{"little strength to spare", []grammar.Entry{home, threshold, thin}, FindingMarginal, "only 2 above the threshold"},
		{"said pass, numbers fail", []grammar.Entry{home, read("receiver #1", "pass", "-53")}, FindingDiffers, "Pass was said behind the receiver, but -53 dBm is below the floor of -50"},
		{"said fail, numbers pass", []grammar.Entry{home, read("receiver #1", "fail", "-43")}, FindingDiffers, "Fail was said"},
		{"no supply", []grammar.Entry{home, volts("ground_block dish", "0.3")}, FindingNoSupply, "No supply at the ground block, dish side"},
		{"supply low", []grammar.Entry{home, volts("ground_block dish", "10.2")}, FindingLowSupply, "10.2 V at the ground block, dish side is less"},
		{"supply between the states", []grammar.Entry{home, volts("receiver #1", "15.5")}, FindingLowSupply, "15.5 V behind the receiver"},
		{"supply high", []grammar.Entry{home, volts("ground_block dish", "21")}, FindingHighSupply, "above the 19 V"},
		{"a long run", []grammar.Entry{chainOf("dish, lnb, cable 150, ground_block, cable 80, wall_plate, jumper, receiver")}, FindingCladRun, "230 ft of cable to the receiver"},
		{"an unrated barrel", []grammar.Entry{home, check("components", "fail", "unrated barrel behind the plate")}, FindingBarrel, "not rated to 3 GHz"},
		{"a failed check", []grammar.Entry{home, check("grounding", "fail", "corroded clamp")}, FindingCheck, "corroded clamp. This is a report"},
		{"an unsafe outlet", []grammar.Entry{home, check("outlet", "fail", "open ground")}, FindingOutlet, "licensed electrician"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			found := replay(recordsOf(tt.entries...)).findings(Options{})
			i := slices.IndexFunc(found, func(f Finding) bool { return f.Code == tt.code })
			if i < 0 {
				t.Fatalf("got %v, want %s", codesOf(found), tt.code)
			}
			if !strings.Contains(found[i].Text, tt.text) {
				t.Errorf("text %q, want %q in it", found[i].Text, tt.text)
			}
		})
	}
}

// A home as it should be gives no findings: levels as the cable model expects
// them, all verdicts pass, a supply within the states less the drop.
func TestNoFindingsInAGoodHome(t *testing.T) {
	found := replay(recordsOf(
		chainOf(oneReceiver), read("lnb", "pass", "-32"), read("ground_block dish", "pass", "-37"), read("ground_block receiver", "pass", "-37.5"),
		read("wall_plate dish", "pass", "-41"), read("receiver #1", "pass", "-42"), on("receiver #1", "pass", "-41", 2), on("receiver #1", "pass", "-42.5", 31),
		volts("receiver #1", "18.1"), volts("ground_block dish", "17.4"), check("outlet", "pass"), check("grounding", "pass"),
		volts("lnb", "12.6"),
	)).findings(Options{})
	if len(found) > 0 {
		t.Errorf("got %+v", found)
	}
}

func TestMarginalPointBehindAWorseOneIsNotSaidTwice(t *testing.T) {
	found := replay(recordsOf(chainOf(oneReceiver), read("wall_plate dish", "pass", "-48"), read("receiver #1", "pass", "-49"))).findings(Options{})
	n := 0
	for _, f := range found {
		if f.Code == FindingMarginal {
			n++
		}
	}
	if n != 1 {
		t.Errorf("%d marginal findings, want 1: %v", n, found)
	}
}

func TestVerdictOf(t *testing.T) {
	s := Settings{FloorDBm: -50, Threshold: 75, ThresholdFor: map[int]float64{110: 70}}
	strength := func(v string, slot int) grammar.Reading { return grammar.Reading{Strength: dec(v), Slot: slot} }
	level := func(v string) grammar.Reading { return grammar.Reading{Level: dec(v)} }
	both := level("-41")
	both.Strength = dec("60")
	// The rule itself is common practice, no source: below -50 dBm or below the
	// threshold of the slot is a fail.
	for _, tt := range []struct {
		name string
		r    grammar.Reading
		want grammar.Verdict
	}{
		{"at the floor", level("-50"), grammar.Pass},
		{"just below the floor", level("-50.1"), grammar.Fail},
		{"at the threshold", strength("75", 0), grammar.Pass},
		{"below the threshold", strength("74", 119), grammar.Fail},
		{"the slot's own threshold", strength("71", 110), grammar.Pass},
		{"level good, strength not", both, grammar.Fail},
		{"no signal", grammar.Reading{NoSignal: true}, grammar.Fail},
		{"volts alone", grammar.Reading{Volts: dec("18.1")}, ""},
	} {
		if got, why := VerdictOf(tt.r, s); got != tt.want || (got == "") != (why == "") {
			t.Errorf("%s: %q because %q, want %q", tt.name, got, why, tt.want)
		}
	}
	if got, _ := VerdictOf(strength("10", 0), Settings{FloorDBm: -50}); got != "" {
		t.Errorf("strength with no threshold set: %q, want no verdict", got)
	}
}
