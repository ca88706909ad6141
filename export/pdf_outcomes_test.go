package export

import (
	"strings"
	"testing"
	"time"

	"downlead/diagnose"
	"downlead/diagnose/calltest"
	"downlead/diagnose/claim"
	"downlead/diagnose/level"
	"downlead/export/closeout"
	"downlead/export/exporttest"
	"downlead/grammar/entry"
)

// TestPDFOfEachOutcome writes a document for every way a call can end, and has
// another program read it: what it must say, and what it must not.
func TestPDFOfEachOutcome(t *testing.T) {
	block, replaced := "ground_block", calltest.Replaced("ground_block")
	one := []entry.Entry{calltest.ChainOf(calltest.OneReceiver)}
	fails, passes := calltest.Read("receiver #1", "fail", "-58"), calltest.Read("receiver #1", "pass", "-44")
	none := entry.Reading{Point: calltest.At("receiver #1"), Verdict: entry.Fail, NoSignal: true}
	receiver := func(e entry.Check, n string) entry.Check {
		e.Point = calltest.Ptr(calltest.At("receiver #" + n))
		return e
	}
	for _, c := range []struct {
		name, code string
		entries    []entry.Entry
		says       []string
		never      []string
	}{
		{
			"fixed", claim.Fixed,
			append(one, fails, calltest.Read(block+" dish", "pass", "-39"), calltest.Read(block+" receiver", "fail", "-53"), replaced, passes),
			[]string{"Replaced ground block: proven, it failed behind the receiver before and passes after, 14.0 dB gained.", "Baseline behind receiver: FAIL, -58 dBm. Proof: pass, -44 dBm, margin +6 dB.", "was replaced, and the signal behind the receiver measured good after that."},
			[]string{"Not fixed", "not fixed", "Still open", "may come back"},
		},
		{
			"fixed_unread", claim.FixedUnread,
			append(calltest.TwoRooms(), fails, replaced, passes),
			[]string{"fixed, not every receiver read since", "Fixed. Receiver two was not read.", "receiver two was not measured."},
			[]string{"every receiver passes", "measured good everywhere"},
		},
		{
			"fixed_swap", claim.Fixed,
			append(
				calltest.TwoRooms(), passes, calltest.Read("receiver #2", "pass", "-46"), receiver(calltest.Check("input_test", "fail"), "1"),
				entry.Action{Action: "swapped", Element: entry.Receiver, Number: 1, With: &entry.Point{Element: entry.Receiver, Number: 2}},
				receiver(calltest.Check("input_test", "fail"), "1"), receiver(calltest.Check("input_test", "pass"), "2"),
				entry.Action{Action: "replaced", Element: entry.Receiver, Number: 1}, receiver(calltest.Check("input_test", "pass"), "1")),
			[]string{"Replaced receiver one: proven, the receiver failed its own test before and passes it after.", "the receiver itself did not pass its own test. The receiver was replaced, and it passed its own test after that."},
			[]string{"gets lost", "getting lost", "Still open"},
		},
		{
			"passes_unexplained", claim.Unexplained, append(one, fails, passes),
			[]string{"passes, unexplained", "No repair was logged.", "It failed behind the receiver (fail, -58 dBm) and passes now, and no repair is shown to be why: it may come back.", "It is not known what made it fail"},
			[]string{"proven", "Fixed"},
		},
		{
			"no_fault_found", claim.NoFault, append(one, passes),
			[]string{"no fault found", "No fault was found: nothing measured fails.", "The signal was good at every place where it was measured. No part of the dish or the cables was changed."},
			[]string{"FAIL", "fixed", "Fixed"},
		},
		{
			"not_reproduced", claim.NotReproduced, append(one, entry.Symptom{Symptom: "freezing", When: "rain"}, passes, passes, passes),
			[]string{"could not be made to fail", "the receiver was read three times, and passed.", "the trouble did not show while the technician was there"},
			[]string{"FAIL", "fixed", "No fault was found"},
		},
		{
			"not_fixed", claim.NotFixed,
			append(one, fails, calltest.Read(block+" dish", "pass", "-39"), calltest.Read(block+" receiver", "fail", "-53"), calltest.Replaced("jumper"), calltest.Read("receiver #1", "fail", "-57")),
			[]string{"not fixed", "Not fixed: the receiver fails.", "Replaced jumper: not shown to have helped: it still failed behind the receiver after it.", "Read again, and no proof: FAIL, -57 dBm, margin -7 dB.", "the signal does not measure good everywhere yet"},
			[]string{"proven", "measured good"},
		},
		{
			"unmeasured", claim.NotFixed, nil,
			[]string{"not fixed", "The signal was not measured.", "it is not known yet what is wrong"},
			[]string{"the receiver fails", "Still open", "measured good"},
		},
		{
			"no_access", claim.NoAccess,
			[]entry.Entry{entry.Time{Mark: "no_access"}},
			[]string{"no access", "Nobody was at home: nothing was measured.", "Please arrange another time"},
			[]string{"INCOMPLETE", "fixed", "fails"},
		},
		{
			"rescheduled", claim.Rescheduled, append(one, fails, entry.Outcome{Outcome: "rescheduled", When: "tuesday"}),
			[]string{"rescheduled", "Rescheduled, Tuesday.", "Proof: none, nothing was mended on its way.", "Another visit is arranged, Tuesday."},
			[]string{"fixed", "tuesday"},
		},
		{
			"needs_help", claim.NeedsHelp, append(one, none, entry.Outcome{Outcome: "needs_help"}),
			[]string{"needs a second technician", "It needs a second technician.", "Baseline behind receiver: FAIL, no signal.", "Another visit or more work is needed"},
			[]string{"fixed", "proven"},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			call := newCall("4412", time.Date(2026, 11, 17, 9, 0, 0, 0, exporttest.Mountain(t)), "America/Denver")
			call.say(entry.Time{Mark: "arrived"})
			for _, e := range c.entries {
				call.say(e)
			}
			call.say(entry.Job{Verb: "close", Text: "end of the day"})
			j := diagnose.NewJob(call.records, level.Options{})
			in := closeout.Input{Records: call.records, Diagnosis: j.Diagnosis(), Steps: j.Plan(), Explanation: j.Explanation()}
			if got := closeoutOf(t, in).Outcome; string(got) != c.code {
				t.Errorf("outcome %s, want %s", got, c.code)
			}
			text := strings.Join(strings.Fields(exporttest.Tool(t, "pdftotext", "-layout", pdfFile(t, c.name+".pdf", in), "-")), " ")
			for _, want := range c.says {
				if !strings.Contains(text, want) {
					t.Errorf("the document lacks %q:\n%s", want, text)
				}
			}
			for _, no := range c.never {
				if strings.Contains(text, no) {
					t.Errorf("the document says %q:\n%s", no, text)
				}
			}
		})
	}
}
