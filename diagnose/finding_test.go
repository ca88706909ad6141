package diagnose

import (
	"math"
	"slices"
	"strings"
	"testing"

	"downlead/diagnose/calltest"
	"downlead/diagnose/claim"
	"downlead/diagnose/level"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
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
		got := claim.RainLoss(tt.ghz, tt.rate, tt.elevation, tt.tau)
		if math.Abs(got/tt.want-1) > tt.relative {
			t.Errorf("%s: %v dB/km, want %v", tt.source, got, tt.want)
		}
	}
}

func codesOf(findings []trace.Finding) []string {
	var out []string
	for _, f := range findings {
		out = append(out, f.Code)
	}
	return out
}

func on(point, verdict, level string, transponder int) entry.Reading {
	r := calltest.Read(point, verdict, level)
	r.Transponder = transponder
	return r
}

func volts(point, v string) entry.Reading {
	return entry.Reading{Point: calltest.At(point), Volts: calltest.Dec(v)}
}

// What the patterns mean is common practice, no source.
func TestFindings(t *testing.T) {
	home := calltest.ChainOf(calltest.OneReceiver)
	strong := calltest.Read("receiver #1", "fail", "-42")
	strong.Strength = calltest.Dec("61")
	lowQuality := calltest.Read("receiver #1", "pass", "-42")
	lowQuality.MER = calltest.Dec("4.1")
	thin := calltest.Read("receiver #1", "pass", "-42")
	thin.Strength = calltest.Dec("77")
	threshold := entry.Setting{Name: "threshold", Value: calltest.Dec("75")}
	odd, even := calltest.Read("lnb", "fail"), calltest.Read("lnb", "pass")
	odd.Polarity, even.Polarity = "odd", "even"
	tests := []struct {
		name    string
		entries []entry.Entry
		code    string
		text    string
	}{
		{"too much across the block, all passing", []entry.Entry{home, calltest.Read("ground_block dish", "pass", "-38"), calltest.Read("ground_block receiver", "pass", "-45")}, trace.FindingExcess, "6.7 dB too much across the ground block"},
		{"the high transponders are weak", []entry.Entry{home, on("wall_plate dish", "pass", "-41", 1), on("wall_plate dish", "pass", "-49", 31)}, trace.FindingTilt, "rises with frequency"},
		{"the low transponders are weak", []entry.Entry{home, on("wall_plate dish", "pass", "-49", 1), on("wall_plate dish", "pass", "-40", 31)}, trace.FindingLowEnd, "centre conductor"},
		{"one polarisation, by transponder", []entry.Entry{home, on("lnb", "fail", "-58", 3), on("lnb", "pass", "-33", 4)}, trace.FindingPolarity, "Only the odd transponders fail"},
		{"one polarisation, as said", []entry.Entry{home, odd, even}, trace.FindingPolarity, "Only the odd transponders fail"},
		{"one slot", []entry.Entry{home, calltest.SlotReading("lnb", "fail", 110), calltest.SlotReading("lnb", "pass", 119)}, trace.FindingSlot, "Only slot 110 fails at the LNB"},
		{"weak strength at full level", []entry.Entry{home, threshold, strong}, trace.FindingAim, "Strength 61 is below 75"},
		{"error ratio too low", []entry.Entry{home, lowQuality}, trace.FindingQuality, "2.5 dB short"},
		{"little level to spare", []entry.Entry{home, calltest.Read("receiver #1", "pass", "-48.5")}, trace.FindingMarginal, "with only 1.5 dB to spare"},
		{"little strength to spare", []entry.Entry{home, threshold, thin}, trace.FindingMarginal, "only 2 above the threshold"},
		{"said pass, numbers fail", []entry.Entry{home, calltest.Read("receiver #1", "pass", "-53")}, trace.FindingDiffers, "Pass was said behind the receiver, but -53 dBm is below the floor of -50"},
		{"said fail, numbers pass", []entry.Entry{home, calltest.Read("receiver #1", "fail", "-43")}, trace.FindingDiffers, "Fail was said"},
		{"no supply", []entry.Entry{home, volts("ground_block dish", "0.3")}, trace.FindingNoSupply, "No supply at the ground block, dish side"},
		{"supply low", []entry.Entry{home, volts("ground_block dish", "10.2")}, trace.FindingLowSupply, "10.2 V at the ground block, dish side is less"},
		{"supply between the states", []entry.Entry{home, volts("receiver #1", "15.5")}, trace.FindingLowSupply, "15.5 V behind the receiver"},
		{"supply high", []entry.Entry{home, volts("ground_block dish", "21")}, trace.FindingHighSupply, "above the 19 V"},
		{"a long run", []entry.Entry{calltest.ChainOf("dish, lnb, cable 150, ground_block, cable 80, wall_plate, jumper, receiver")}, trace.FindingCladRun, "230 ft of cable to the receiver"},
		{"an unrated barrel", []entry.Entry{home, calltest.Check("components", "fail", "unrated barrel behind the plate")}, trace.FindingBarrel, "not rated to 3 GHz"},
		{"a failed check", []entry.Entry{home, calltest.Check("grounding", "fail", "corroded clamp")}, trace.FindingCheck, "corroded clamp. This is a report"},
		{"an unsafe outlet", []entry.Entry{home, calltest.Check("outlet", "fail", "open ground")}, trace.FindingOutlet, "licensed electrician"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			found := claim.Findings(trace.ReplayCurrent(calltest.RecordsOf(tt.entries...)), level.Options{})
			i := slices.IndexFunc(found, func(f trace.Finding) bool { return f.Code == tt.code })
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
	found := claim.Findings(trace.ReplayCurrent(calltest.RecordsOf(
		calltest.ChainOf(calltest.OneReceiver), calltest.Read("lnb", "pass", "-32"), calltest.Read("ground_block dish", "pass", "-37"), calltest.Read("ground_block receiver", "pass", "-37.5"),
		calltest.Read("wall_plate dish", "pass", "-41"), calltest.Read("receiver #1", "pass", "-42"), on("receiver #1", "pass", "-41", 2), on("receiver #1", "pass", "-42.5", 31),
		volts("receiver #1", "18.1"), volts("ground_block dish", "17.4"), calltest.Check("outlet", "pass"), calltest.Check("grounding", "pass"),
		volts("lnb", "12.6"),
	)), level.Options{})
	if len(found) > 0 {
		t.Errorf("got %+v", found)
	}
}

func TestMarginalPointBehindAWorseOneIsNotSaidTwice(t *testing.T) {
	found := claim.Findings(trace.ReplayCurrent(calltest.RecordsOf(calltest.ChainOf(calltest.OneReceiver), calltest.Read("wall_plate dish", "pass", "-48"), calltest.Read("receiver #1", "pass", "-49"))), level.Options{})
	n := 0
	for _, f := range found {
		if f.Code == trace.FindingMarginal {
			n++
		}
	}
	if n != 1 {
		t.Errorf("%d marginal findings, want 1: %v", n, found)
	}
}

func TestVerdictOf(t *testing.T) {
	s := trace.Settings{FloorDBm: -50, Threshold: 75, ThresholdFor: map[int]float64{110: 70}}
	strength := func(v string, slot int) entry.Reading { return entry.Reading{Strength: calltest.Dec(v), Slot: slot} }
	level := func(v string) entry.Reading { return entry.Reading{Level: calltest.Dec(v)} }
	both := level("-41")
	both.Strength = calltest.Dec("60")
	// The rule itself is common practice, no source: below -50 dBm or below the
	// threshold of the slot is a fail.
	for _, tt := range []struct {
		name string
		r    entry.Reading
		want entry.Verdict
	}{
		{"at the floor", level("-50"), entry.Pass},
		{"just below the floor", level("-50.1"), entry.Fail},
		{"at the threshold", strength("75", 0), entry.Pass},
		{"below the threshold", strength("74", 119), entry.Fail},
		{"the slot's own threshold", strength("71", 110), entry.Pass},
		{"level good, strength not", both, entry.Fail},
		{"no signal", entry.Reading{NoSignal: true}, entry.Fail},
		{"volts alone", entry.Reading{Volts: calltest.Dec("18.1")}, ""},
	} {
		if got, why := trace.VerdictOf(tt.r, s); got != tt.want || (got == "") != (why == "") {
			t.Errorf("%s: %q because %q, want %q", tt.name, got, why, tt.want)
		}
	}
	if got, _ := trace.VerdictOf(strength("10", 0), trace.Settings{FloorDBm: -50}); got != "" {
		t.Errorf("strength with no threshold set: %q, want no verdict", got)
	}
}
