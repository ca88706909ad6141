package diagnose

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"downlead/diagnose/call"
	"downlead/diagnose/calltest"
	"downlead/diagnose/claim"
	"downlead/diagnose/level"
	"downlead/diagnose/next"
	"downlead/diagnose/trace"
)

const oneChain = "dish, lnb, cable 60, ground_block, cable 40, wall_plate, jumper, receiver"

// 14 dB too much in the first cable, which still passes: the bracket lies
// beyond it, and the cable is its cause.
func TestExcessOutsideTheBracketIsItsCause(t *testing.T) {
	c := replayOf(calltest.ChainOf(oneChain), calltest.Read("receiver", "fail", "-53.5"),
		calltest.Read("ground_block dish", "pass", "-48"), calltest.Read("lnb", "pass", "-29"))
	inf := next.Infer(c, level.Options{})
	if len(inf.Accounts) != 1 {
		t.Fatalf("accounts %+v, want one", inf.Accounts)
	}
	a := inf.Accounts[0]
	if slices.Contains(a.Elements, "cable 1") {
		t.Fatalf("the bracket holds the cable already: %v", a.Elements)
	}
	if a.Cause == nil || !slices.Equal(a.Cause.Elements, []string{"cable 1"}) || a.Cause.P < 0.9 || a.Inside > 0.2 {
		t.Errorf("account %+v, cause %+v; the cable loses 14 dB too much", a, a.Cause)
	}
	// 10 dB across the ground block, inside the bracket: nothing else explains it.
	c = replayOf(calltest.ChainOf(oneChain), calltest.Read("receiver", "fail", "-53"),
		calltest.Read("ground_block dish", "pass", "-38"), calltest.Read("ground_block receiver", "pass", "-48"))
	if a := next.Infer(c, level.Options{}).Accounts[0]; a.Cause == nil || !slices.Equal(a.Cause.Elements, []string{"ground_block 1"}) {
		t.Errorf("10 dB across the ground block, which passes: cause %+v", a.Cause)
	}
	c = replayOf(calltest.ChainOf(oneChain), calltest.Read("receiver", "fail", "-58"),
		calltest.Read("ground_block dish", "pass", "-38"), calltest.Read("ground_block receiver", "fail", "-53"))
	if a := next.Infer(c, level.Options{}).Accounts[0]; a.Cause != nil || a.Inside < 0.9 {
		t.Errorf("15 dB across the ground block, which fails behind it: account %+v, cause %+v", a, a.Cause)
	}
}

// An excess beyond two spreads is a finding, and one within two is not.
func TestExcessOverTwoSpreadsIsAFinding(t *testing.T) {
	at := func(spreads float64) bool {
		probe := conclude("-38", "-39")
		seg := probe.Segments[0]
		to := -38 - seg.Expected - spreads*seg.SD
		d := conclude("-38", strconv.FormatFloat(math.Round(to*10)/10, 'f', 1, 64))
		return slices.ContainsFunc(d.Findings, func(f trace.Finding) bool { return strings.Contains(f.Text, "too much") })
	}
	for spreads, want := range map[float64]bool{1.6: false, 2.5: true, 2.8: true} {
		if at(spreads) != want {
			t.Errorf("an excess of %.1f spreads is a finding: %v", spreads, !want)
		}
	}
}

func conclude(before, behind string) claim.Diagnosis {
	return claim.Conclude(call.NewProgress(replayOf(calltest.ChainOf(oneChain), calltest.Read("ground_block dish", "pass", before),
		calltest.Read("ground_block receiver", "pass", behind))), level.Options{})
}
