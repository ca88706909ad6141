package diagnose

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"downlead/grammar"
	"downlead/journal"
)

func cautionCodes(records []journal.Record) []string {
	var out []string
	for _, c := range Cautions(records) {
		out = append(out, c.Code)
	}
	return out
}

// Where a caution applies is common practice, no source.
func TestCautions(t *testing.T) {
	baseline := read("receiver #1", "pass", "-42")
	allDone := []grammar.Entry{baseline, check("outlet", "pass"), check("input_test", "pass")}
	tests := []struct {
		name    string
		entries []grammar.Entry
		want    []string
	}{
		{"before the first reading", nil, []string{"power_off"}},
		{"recording agreed to", []grammar.Entry{grammar.Consent{Given: true}}, []string{"recording", "power_off"}},
		{"recording refused", []grammar.Entry{grammar.Consent{}}, []string{"power_off"}},
		{"the outlet is next", []grammar.Entry{baseline}, []string{"power_off", "outlet"}},
		{"the dish is next", allDone, []string{"power_off", "ladder", "power_lines", "outlet"}},
		{"a reading on the roof", []grammar.Entry{read("lnb", "pass")}, []string{"power_off", "ladder", "power_lines"}},
		{"a trace that ends at the dish", []grammar.Entry{read("receiver #1", "fail"), read("ground_block dish", "fail")}, []string{"power_off", "ladder", "power_lines"}},
		{"work on the dish", []grammar.Entry{grammar.Action{Action: "re_aimed", Element: grammar.Dish}}, []string{"power_off", "ladder", "power_lines"}},
		{"dish and mount not looked at", append(slices.Clone(allDone), check("dish", "na"), check("mount", "na"), check("cabling", "pass")), []string{"power_off", "outlet"}},
		{
			"grounding is next", append(slices.Clone(allDone), check("dish", "na"), check("mount", "na"), check("cabling", "pass"), check("components", "pass")),
			[]string{"power_off", "outlet", "grounding"},
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if diff := cmp.Diff(tt.want, cautionCodes(recordsOf(tt.entries...))); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

func TestCautionsComeOnceEach(t *testing.T) {
	for name, steps := range invented() {
		var said []grammar.Entry
		for _, s := range steps {
			said = append(said, s.entry)
			codes := cautionCodes(recordsOf(said...))
			if slices.Sort(codes); len(slices.Compact(slices.Clone(codes))) != len(codes) {
				t.Fatalf("%s: a caution twice: %v", name, codes)
			}
		}
	}
}

func TestWeatherHoldsBackTheRoof(t *testing.T) {
	entries := []grammar.Entry{
		read("receiver #1", "pass", "-42"), check("outlet", "pass"), check("input_test", "pass"),
		grammar.Setting{Name: "weather", Text: "lightning"},
	}
	steps := Plan(recordsOf(entries...))
	states := map[string]Step{}
	for _, s := range steps {
		states[s.Step] = s
	}
	for _, roof := range []string{"dish", "mount"} {
		if s := states[roof]; s.State != stepMissing || !strings.Contains(s.Detail, "no climbing in lightning") {
			t.Errorf("%s: %+v", roof, s)
		}
	}
	if s := states["cabling"]; s.State != stepNow {
		t.Errorf("what can be done on the ground is next, got %+v", s)
	}
	text := ""
	for _, c := range Cautions(recordsOf(append(entries, check("dish", "pass"))...)) {
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
		p, ok := OutletPatternOf(remark)
		if p.Name != want || ok != (want != "") {
			t.Errorf("%q: %q, %v; want %q", remark, p.Name, ok, want)
		}
	}
	for _, p := range OutletPatterns() {
		if p.Safe != (p.Name == "correct") || p.Meaning == "" {
			t.Errorf("%+v", p)
		}
		if got, ok := OutletPatternOf(p.Name); !ok || got.Name != p.Name {
			t.Errorf("%q is not found by its own name", p.Name)
		}
	}
	for _, unseen := range []string{"poor ground", "ground and neutral exchanged", "two hot wires"} {
		if !strings.Contains(OutletBlind, unseen) {
			t.Errorf("%q is not said to be unseen", unseen)
		}
	}
}
