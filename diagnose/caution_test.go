package diagnose

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"downlead/diagnose/call"
	"downlead/diagnose/calltest"
	"downlead/diagnose/level"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

func cautionCodes(records []record.Record) []string {
	var out []string
	for _, c := range NewJob(records, level.Options{}).Cautions() {
		out = append(out, c.Code)
	}
	return out
}

// Where a caution applies is common practice, no source.
func TestCautions(t *testing.T) {
	baseline := calltest.Read("receiver #1", "pass", "-42")
	allDone := []entry.Entry{baseline, calltest.Check("outlet", "pass"), calltest.Check("input_test", "pass")}
	tests := []struct {
		name    string
		entries []entry.Entry
		want    []string
	}{
		{"before the first reading", nil, []string{"power_off"}},
		{"recording agreed to", []entry.Entry{entry.Consent{Given: true}}, []string{"recording", "power_off"}},
		{"recording refused", []entry.Entry{entry.Consent{}}, []string{"power_off"}},
		{"the outlet is next", []entry.Entry{baseline}, []string{"power_off", "outlet"}},
		{"the dish is next", allDone, []string{"power_off", "ladder", "power_lines", "outlet"}},
		{"a reading on the roof", []entry.Entry{calltest.Read("lnb", "pass")}, []string{"power_off", "ladder", "power_lines"}},
		{"a trace that ends at the dish", []entry.Entry{calltest.Read("receiver #1", "fail"), calltest.Read("ground_block dish", "fail")}, []string{"power_off", "ladder", "power_lines"}},
		{"work on the dish", []entry.Entry{entry.Action{Action: "re_aimed", Element: entry.Dish}}, []string{"power_off", "ladder", "power_lines"}},
		{"dish and mount not looked at", append(slices.Clone(allDone), calltest.Check("dish", "na"), calltest.Check("mount", "na"), calltest.Check("cabling", "pass")), []string{"power_off", "outlet"}},
		{
			"grounding is next", append(slices.Clone(allDone), calltest.Check("dish", "na"), calltest.Check("mount", "na"), calltest.Check("cabling", "pass"), calltest.Check("components", "pass")),
			[]string{"power_off", "outlet", "grounding"},
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if diff := cmp.Diff(tt.want, cautionCodes(calltest.RecordsOf(tt.entries...))); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

func TestCautionsComeOnceEach(t *testing.T) {
	for name, steps := range invented() {
		var said []entry.Entry
		for _, s := range steps {
			said = append(said, s.entry)
			codes := cautionCodes(calltest.RecordsOf(said...))
			if slices.Sort(codes); len(slices.Compact(slices.Clone(codes))) != len(codes) {
				t.Fatalf("%s: a caution twice: %v", name, codes)
			}
		}
	}
}

func TestWeatherHoldsBackTheRoof(t *testing.T) {
	entries := []entry.Entry{
		calltest.Read("receiver #1", "pass", "-42"), calltest.Check("outlet", "pass"), calltest.Check("input_test", "pass"),
		entry.Setting{Name: "weather", Text: "lightning"},
	}
	steps := call.Plan(calltest.RecordsOf(entries...))
	states := map[string]call.Step{}
	for _, s := range steps {
		states[s.Step] = s
	}
	for _, roof := range []string{"dish", "mount"} {
		if s := states[roof]; s.State != call.StepMissing || !strings.Contains(s.Detail, "no climbing in lightning") {
			t.Errorf("%s: %+v", roof, s)
		}
	}
	if s := states["cabling"]; s.State != call.StepNow {
		t.Errorf("what can be done on the ground is next, got %+v", s)
	}
	text := ""
	for _, c := range NewJob(calltest.RecordsOf(append(entries, calltest.Check("dish", "pass"))...), level.Options{}).Cautions() {
		text += c.Text
	}
	if !strings.Contains(text, "The weather entry says lightning: stay off the ladder and the roof.") {
		t.Errorf("no weather in %q", text)
	}
}

// The patterns and what they mean are common practice, no source.
func TestOutletPatterns(t *testing.T) {
	for remark, want := range map[string]string{
		"open ground":                 "open ground",
		"Open neutral in the kitchen": "open neutral",
		"open hot":                    "open hot",
		"hot and neutral reversed":    "hot and neutral reversed",
		"hot neutral reverse":         "hot and neutral reversed",
		"hot and ground reversed":     "hot and ground reversed",
		"no ground":                   "open ground",
		"correct":                     "correct",
		"scorched":                    "",
		"":                            "",
	} {
		p, ok := call.OutletPatternOf(remark)
		if p.Name != want || ok != (want != "") {
			t.Errorf("%q: %q, %v; want %q", remark, p.Name, ok, want)
		}
	}
	for _, p := range call.OutletPatterns() {
		if p.Safe != (p.Name == "correct") || p.Meaning == "" {
			t.Errorf("%+v", p)
		}
		if got, ok := call.OutletPatternOf(p.Name); !ok || got.Name != p.Name {
			t.Errorf("%q is not found by its own name", p.Name)
		}
	}
	for _, unseen := range []string{"poor ground", "ground and neutral exchanged", "two hot wires"} {
		if !strings.Contains(call.OutletBlind, unseen) {
			t.Errorf("%q is not said to be unseen", unseen)
		}
	}
}
