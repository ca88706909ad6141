package diagnose

import (
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"downlead/diagnose/call"
	"downlead/diagnose/calltest"
	"downlead/diagnose/claim"
	"downlead/diagnose/level"
	"downlead/diagnose/next"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

func TestCustomerExplanation(t *testing.T) {
	start := calltest.ChainOf(calltest.OneReceiver)
	fixed := []entry.Entry{start, calltest.Read("receiver #1", "fail", "-57"), calltest.Replaced("ground_block"), calltest.Read("receiver #1", "pass", "-44")}
	tests := []struct {
		name    string
		entries []entry.Entry
		want    []string
	}{
		{"mended", fixed, []string{
			"The signal from the dish was getting lost at the small block where the cable comes into the house.",
			"The small block where the cable comes into the house was replaced, and the signal behind the receiver measured good after that.",
			"Very heavy rain can break up the picture for a few minutes; please call if it happens in dry weather.",
		}},
		{"mended, little to spare", append(fixed[:3:3], calltest.Read("receiver #1", "pass", "-48.6")), []string{
			"The signal from the dish was getting lost at the small block where the cable comes into the house.",
			"The small block where the cable comes into the house was replaced, and the signal behind the receiver measured good after that.",
			"The signal has little to spare, so heavy rain may break up the picture; please call if it happens in dry weather too.",
		}},
		{"not mended", fixed[:2], []string{
			"The signal from the dish gets lost on its way to your receiver, and that is not mended yet.",
			"No part of the dish or the cables was changed.",
			"Another visit or more work is needed before the picture can be relied on.",
		}},
		{"not proven", fixed[:3], []string{
			"The signal from the dish was too weak on its way to your receiver.",
			"The small block where the cable comes into the house was replaced; the signal has not been measured behind the receiver since then.",
			"It is not shown yet that this is mended, so another visit or more work may be needed.",
		}},
		{"the receiver", []entry.Entry{start, calltest.Read("receiver #1", "pass", "-44"), calltest.Check("outlet", "pass"), calltest.Check("input_test", "fail")}, []string{
			"The signal that reaches your receiver is good, but the receiver did not pass its own test, so the trouble is in the receiver, in its connection to the television, or in the television.",
			"No part of the dish or the cables was changed.",
			"The receiver, its connection to the television, or the television still has to be seen to.",
		}},
		{"it came back by itself", []entry.Entry{start, calltest.Read("receiver #1", "fail", "-57"), calltest.Read("receiver #1", "pass", "-44")}, []string{
			"A reading on your line was too weak at first and good when it was taken again, so the trouble may come and go.",
			"No part of the dish or the cables was changed.",
			"It is not known what made it fail, so it may come back; please note when it happens, and in what weather, and call then.",
		}},
		{"two repairs before the proof", []entry.Entry{
			start, calltest.Read("receiver #1", "fail", "-57"), calltest.Replaced("ground_block"), calltest.Replaced("jumper"),
			calltest.Read("ground_block dish", "pass", "-38"), calltest.Read("receiver #1", "pass", "-44"),
		}, []string{
			"The signal from the dish was getting lost at the small block where the cable comes into the house or the short cable behind the receiver.",
			"The small block where the cable comes into the house was replaced and the short cable behind the receiver was replaced, and the signal behind the receiver measured good after that.",
			"Very heavy rain can break up the picture for a few minutes; please call if it happens in dry weather.",
		}},
		{"the first repair was not the cause", []entry.Entry{
			start, calltest.Read("receiver #1", "fail", "-57"), calltest.Replaced("ground_block"), calltest.Read("receiver #1", "fail", "-56"), calltest.Read("ground_block receiver", "pass", "-38"),
			calltest.Replaced("jumper"), calltest.Read("receiver #1", "pass", "-44"),
		}, []string{
			"The signal from the dish was getting lost at the short cable behind the receiver.",
			"The small block where the cable comes into the house was replaced and the short cable behind the receiver was replaced, and the signal behind the receiver measured good after that.",
			"Very heavy rain can break up the picture for a few minutes; please call if it happens in dry weather.",
		}},
		{"grounding", append(fixed[:4:4], calltest.Check("grounding", "fail", "clamp missing")), []string{
			"The signal from the dish was getting lost at the small block where the cable comes into the house.",
			"The small block where the cable comes into the house was replaced, and the signal behind the receiver measured good after that.",
			"The grounding of the dish line did not look right: please have a licensed electrician look at it.",
		}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			records := calltest.RecordsOf(tt.entries...)
			if diff := cmp.Diff(tt.want, NewJob(records, level.Options{}).Explanation()); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

// jargon are words a customer cannot be expected to know, and words that blame
// or promise.
var jargon = regexp.MustCompile(`(?i)\b(dbm?|lnb|splitter|ground block|barrel|transponder|slot|coax|margin|strength|baseline|guarantee\w*|promise\w*|never|always|fault of|should have|will work|fixed for good)\b`)

func TestCustomerHearsNoJargon(t *testing.T) {
	for name, states := range concluded() {
		for _, s := range states {
			for _, line := range claim.CustomerExplanation(call.NewProgress(s.call), s.Diagnosis) {
				if w := jargon.FindString(line); w != "" {
					t.Errorf("%s: %q in %q", name, w, line)
				}
				if !strings.HasSuffix(line, ".") || strings.Count(line, ". ") > 0 {
					t.Errorf("%s: not one sentence: %q", name, line)
				}
			}
		}
	}
}

func TestAnswerNamesTheReadingToRepeat(t *testing.T) {
	d := claim.Conclude(call.NewProgress(trace.ReplayCurrent(calltest.RecordsOf(calltest.ChainOf(calltest.OneReceiver), calltest.Read("ground_block dish", "fail"), calltest.Read("wall_plate dish", "pass")))), level.Options{})
	if got, want := claim.Answer(d), "Read again at the ground block, dish side: it fails there and passes further on, at the wall plate, dish side."; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestExplainSaysWhatEachResultWouldMean(t *testing.T) {
	c := trace.ReplayCurrent(calltest.RecordsOf(calltest.ChainOf(calltest.OneReceiver), calltest.Read("receiver #1", "fail", "-57"), calltest.Read("ground_block dish", "pass", "-38")))
	d := claim.Conclude(call.NewProgress(c), level.Options{})
	d.Next = &next.Next{Act: next.ActRead, Point: calltest.At("wall_plate dish"), Minutes: 4, Bits: 0.9, Why: "it parts the odds"}
	d.Phase = call.Tracing
	text := strings.Join(strings.Fields(claim.Explain(d, c)), " ")
	for _, want := range []string{
		"ground block, dish side pass, -38 dBm",
		"It passes at the ground block, dish side, and fails behind the receiver.",
		"Next: wall plate, dish side (about 4 min): it parts the odds.",
		"A pass there leaves: wall plate or jumper. A fail leaves: ground block or 40 ft of cable after the ground block.",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in %q", want, text)
		}
	}
}

func TestWhatWillBringYouBack(t *testing.T) {
	steps := append([]callStep{{calltest.Read("receiver #1", "pass", "-48.5"), "", ""}, {calltest.Check("outlet", "pass"), "", ""}, {calltest.Check("input_test", "pass"), "", ""}, {entry.Time{Mark: "arrived"}, "", ""}}, inspectionOf("")...)
	var said []entry.Entry
	for _, s := range steps {
		said = append(said, s.entry)
	}
	c := trace.ReplayCurrent(calltest.RecordsOf(said...))
	d := claim.Conclude(call.NewProgress(c), level.Options{})
	if got := claim.Answer(d); d.Phase != call.Ready || !strings.HasPrefix(got, "Everything is done, but this may bring you back: It passes behind the receiver with only 1.5 dB to spare.") {
		t.Errorf("%s: %q", d.Phase, got)
	}
	if text := claim.Explain(d, c); !strings.Contains(text, "Left alone, this may bring you back:\n- It passes") {
		t.Errorf("got %s", text)
	}
}

func TestExplainAimsWhereTheTraceEndsAtTheDish(t *testing.T) {
	site := entry.Site{Lat: calltest.Dec("35.1"), Lon: calltest.Dec("-100.2")}
	for name, tt := range map[string]struct {
		entries []entry.Entry
		want    bool
	}{
		"at the LNB":        {[]entry.Entry{site, calltest.SlotReading("lnb", "fail", 119)}, true},
		"no position":       {[]entry.Entry{calltest.SlotReading("lnb", "fail", 119)}, false},
		"further along":     {[]entry.Entry{site, calltest.SlotReading("wall_plate dish", "fail", 119)}, false},
		"slot not named":    {[]entry.Entry{site, calltest.Read("lnb", "fail")}, false},
		"nothing fails now": {[]entry.Entry{site, calltest.SlotReading("lnb", "pass", 119)}, false},
	} {
		c := trace.ReplayCurrent(calltest.RecordsOf(tt.entries...))
		text := claim.Explain(claim.Conclude(call.NewProgress(c), level.Options{}), c)
		if got := strings.Contains(text, "Slot 119 west: azimuth"); got != tt.want {
			t.Errorf("%s: look angle said %v:\n%s", name, got, text)
		}
	}
}

func TestOddsInWords(t *testing.T) {
	last := ""
	for _, p := range []float64{0.001, 0.1, 0.3, 0.6, 0.8, 0.97} {
		w := next.OddsWords(p)
		if w == last {
			t.Errorf("%v and the one before are both %q", p, w)
		}
		last = w
	}
	if next.Percent(0.9999) != "over 99 %" || next.Percent(0.0001) != "under 1 %" || next.Percent(0.42) != "42 %" {
		t.Error("percent")
	}
}
