package diagnose

import (
	"testing"

	"downlead/diagnose/calltest"
	"downlead/diagnose/claim"
	"downlead/diagnose/level"
	"downlead/grammar/entry"
)

// A repair helped where the level rose by more than two readings of one level
// differ. By hand: each is read to 1 dB (the table's level_sd_db), so two differ
// by the root of 2, 1.41 dB, and in one case of twenty by more than 2.83 dB.
func TestARepairThatHelpedRaisedTheLevelByMoreThanTheMeterErrs(t *testing.T) {
	for after, want := range map[string]string{"-60": claim.NotShown, "-57.2": claim.NotShown, "-57.1": claim.Helped, "-54": claim.Helped, "-63.5": claim.NotShown} {
		d := claim.Diagnose(calltest.RecordsOf(
			calltest.ChainOf("dish, lnb, cable 60, ground_block, cable 40, receiver #1"),
			calltest.Read("receiver #1 dish", "fail", "-60"),
			calltest.Replaced("ground_block"),
			calltest.Read("receiver #1 dish", "fail", after),
		), level.Options{})
		if len(d.Repairs) != 1 || d.Repairs[0].Code != want {
			t.Errorf("from -60 to %s dBm: %+v, want %s", after, d.Repairs, want)
		}
	}
	// Any level is better than no signal.
	none := calltest.Read("receiver #1 dish", "fail")
	none.NoSignal = true
	d := claim.Diagnose(calltest.RecordsOf(
		[]entry.Entry{none, calltest.Replaced("ground_block"), calltest.Read("receiver #1 dish", "fail", "-64")}...), level.Options{})
	if len(d.Repairs) != 1 || d.Repairs[0].Code != claim.Helped || !d.Repairs[0].NoSignal {
		t.Errorf("from no signal: %+v", d.Repairs)
	}
}
