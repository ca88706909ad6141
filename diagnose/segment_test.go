package diagnose

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"downlead/diagnose/call"
	"downlead/diagnose/calltest"
	"downlead/diagnose/claim"
	"downlead/diagnose/level"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

func TestSegments(t *testing.T) {
	d := claim.Conclude(call.NewProgress(trace.ReplayCurrent(calltest.RecordsOf(
		calltest.ChainOf(calltest.OneReceiver),
		calltest.Read("ground_block dish", "pass", "-38"),
		calltest.Read("wall_plate dish", "fail"), // no level: not an end of a segment
		calltest.Read("receiver #1", "fail", "-57"),
		on("receiver #1", "fail", "-58", 21), // another signal than the level at the block
	))), level.Options{})
	want := []level.Segment{{
		From: entry.Point{Element: entry.GroundBlock, Side: entry.DishSide}, To: entry.Point{Element: entry.Receiver, Side: entry.DishSide},
		Measured: 19,
	}}
	if diff := cmp.Diff(want, d.Segments, cmpopts.IgnoreFields(level.Segment{}, "Expected", "Excess", "SD")); diff != "" {
		t.Fatalf("(-want +got):\n%s", diff)
	}
	s := d.Segments[0]
	// Series 6 at 6.4 to 9.7 dB per 100 ft (manufacturers' handbook figures)
	// takes 2.9 to 4.5 dB over 46 ft; the parts beside it up to 1.7 dB (common
	// practice, no source).
	if s.Expected < 2.9 || s.Expected > 6.2 || !calltest.Near3(s.Excess, s.Measured-s.Expected, 0.011) || s.SD <= 0 {
		t.Errorf("got %+v", s)
	}
}

func TestSegmentsOfSeveralBranches(t *testing.T) {
	d := claim.Conclude(call.NewProgress(trace.ReplayCurrent(calltest.RecordsOf(append(calltest.TwoRooms(),
		calltest.Read("ground_block receiver", "pass", "-38"),
		calltest.Read("receiver #1", "pass", "-48"), calltest.Read("receiver #2", "pass", "-49"),
	)...))), level.Options{})
	var got []string
	for _, s := range d.Segments {
		got = append(got, path.PointWords(s.From)+" to "+path.PointWords(s.To))
	}
	want := []string{"ground block, receiver side to behind receiver one", "ground block, receiver side to behind receiver two"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestSegmentsNeedReadingsThatCount(t *testing.T) {
	d := claim.Conclude(call.NewProgress(trace.ReplayCurrent(calltest.RecordsOf(calltest.ChainOf(calltest.OneReceiver), calltest.Read("ground_block dish", "pass", "-38"), calltest.Read("receiver #1", "fail", "-57"), calltest.Replaced("wall_plate")))), level.Options{})
	if len(d.Segments) > 0 {
		t.Errorf("a level from before a repair makes a segment: %+v", d.Segments)
	}
}
