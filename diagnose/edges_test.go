package diagnose

import (
	"slices"
	"strings"
	"testing"

	"downlead/diagnose/call"
	"downlead/diagnose/calltest"
	"downlead/diagnose/claim"
	"downlead/diagnose/level"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

const oneLine = "dish, lnb, cable 60, ground_block, cable 40, receiver #1"

// stepOf is a step of the plan of a call.
func stepOf(t *testing.T, name string, entries ...entry.Entry) call.Step {
	t.Helper()
	steps := call.Plan(calltest.RecordsOf(append([]entry.Entry{calltest.ChainOf(oneLine)}, entries...)...))
	i := slices.IndexFunc(steps, func(s call.Step) bool { return s.Step == name })
	if i < 0 {
		t.Fatalf("no step %s in %+v", name, steps)
	}
	return steps[i]
}

// A pass proves nothing once more work was done on its way.
func TestAPassBeforeTheLastRepairIsNoProof(t *testing.T) {
	fail, pass := calltest.Read("receiver #1 dish", "fail", "-60"), calltest.Read("receiver #1 dish", "pass", "-44")
	if s := stepOf(t, "proof", fail, calltest.Replaced("ground_block"), pass); s.State != call.StepDone {
		t.Errorf("after the repair: %+v", s)
	}
	if s := stepOf(t, "proof", fail, calltest.Replaced("ground_block"), pass, calltest.Replaced("lnb")); s.State == call.StepDone || !strings.Contains(s.Detail, "again, after the repair") {
		t.Errorf("after more work: %+v", s)
	}
}

// A level more than 15 dB under the floor of -50 dBm is told as a dead path, less
// as a weak one: the project's choice.
func TestABaselineFarBelowTheFloorIsADeadPath(t *testing.T) {
	for dBm, want := range map[string]string{"-54": "4.0 dB below the floor, a weak path", "-65": "15.0 dB below the floor, a weak path", "-65.1": "15.1 dB below the floor, a dead path", "-72": "22.0 dB below the floor, a dead path"} {
		if s := stepOf(t, "baseline", calltest.Read("receiver #1 dish", "fail", dBm)); !strings.HasSuffix(s.Detail, want) {
			t.Errorf("%s dBm: %q, want %q", dBm, s.Detail, want)
		}
	}
}

// One symptom that was told of is trouble: where it cannot be made to fail, that
// is no call without a fault.
func TestOneSymptomIsNotReproduced(t *testing.T) {
	pass, end := calltest.Read("receiver #1 dish", "pass", "-44"), entry.Job{Verb: "close"}
	for _, k := range []struct {
		told []entry.Entry
		want string
	}{
		{nil, claim.NoFault},
		{[]entry.Entry{entry.Symptom{Symptom: "freezing"}}, claim.NotReproduced},
		{[]entry.Entry{entry.Symptom{Symptom: "freezing"}, entry.Symptom{Symptom: "dropouts", When: "rain"}}, claim.NotReproduced},
	} {
		entries := append([]entry.Entry{calltest.ChainOf(oneLine)}, k.told...)
		d := claim.Diagnose(calltest.RecordsOf(append(entries, pass, end)...), level.Options{})
		if d.Outcome.Code != k.want {
			t.Errorf("%d symptoms: %s, want %s", len(k.told), d.Outcome.Code, k.want)
		}
	}
}

// Two transponders of a healthy path differ by the meter and by the source: by
// hand, a reading to 1 dB and a transponder to 1 dB are the root of 2 each, their
// difference 2 dB, and twice that is 4 dB. Less is no tilt.
func TestATiltIsMoreThanTwoSpreads(t *testing.T) {
	at := func(transponder int, dBm string) entry.Reading {
		r := calltest.Read("receiver #1 dish", "pass", dBm)
		r.Transponder = transponder
		return r
	}
	c := trace.Replay(calltest.RecordsOf(calltest.ChainOf(oneLine), at(1, "-38"), at(31, "-38")))
	low, _ := level.ExpectedLevel(c, nil, c.Observations[0])
	high, _ := level.ExpectedLevel(c, nil, c.Observations[1])
	for more, want := range map[float64]bool{3.5: false, 4.5: true} {
		dBm := -38 + (high - low) - more
		records := calltest.RecordsOf(calltest.ChainOf(oneLine), at(1, "-38"), at(31, entry.DecimalOf(int64(dBm*1000)*1000).String()))
		found := slices.ContainsFunc(claim.Diagnose(records, level.Options{}).Findings, func(f trace.Finding) bool { return f.Code == trace.FindingTilt })
		if found != want {
			t.Errorf("%.1f dB more loss at the high end than there should be: found %v", more, found)
		}
	}
}
