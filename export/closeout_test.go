package export

import (
	"bytes"
	"encoding/json"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v6"

	"downlead/grammar"
)

func closeout(t testing.TB, in Input) Closeout {
	t.Helper()
	c, err := NewCloseout(in)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestCloseoutOfAWholeCall(t *testing.T) {
	c := closeout(t, twoFaults(t))
	if c.Outcome != Fixed || !c.Complete || len(c.Open) != 0 {
		t.Errorf("outcome %q, complete %v, open %v", c.Outcome, c.Complete, c.Open)
	}
	// The first repair cured its own block, the second the receiver.
	if len(c.Causes) != 2 || c.Causes[0].State != Proven || c.Causes[1].State != Proven {
		t.Fatalf("causes %+v", c.Causes)
	}
	if got := c.Causes[0].Point; got != "ground block, receiver side" {
		t.Errorf("first cause shows at %q", got)
	}
	if got := c.Causes[1].Gain; got != num("5.5") {
		t.Errorf("second cause gained %s dB", got)
	}
	first := c.Points[0]
	for _, p := range c.Points {
		if p.ID == "receiver 1" {
			first = p
		}
	}
	if first.Before.Level != num("-58") || first.After.Level != num("-47") || first.After.LevelMargin != num("3") || first.Before.StrengthMargin != num("-34") {
		t.Errorf("behind receiver 1: before %+v after %+v", first.Before, first.After)
	}
	// Entries lie a minute apart: receiver 1 failed at 09:27, passed for good at 09:40.
	d := c.Durations
	if d.Travel != 21*60 || d.ActiveRepair != 13*60 || d.ReportToClear != 90*60 {
		t.Errorf("durations %+v", d)
	}
	if c.Counts.Unparsed != 1 || c.Materials[1].Quantity != 4 || c.Miles != num("12") {
		t.Errorf("counts %+v materials %+v miles %s", c.Counts, c.Materials, c.Miles)
	}
}

func TestCloseoutOfAnOpenCall(t *testing.T) {
	c := closeout(t, openCall(t))
	if c.Outcome != StillOpen || c.Complete || c.Closed != nil {
		t.Errorf("outcome %q complete %v closed %v", c.Outcome, c.Complete, c.Closed)
	}
	var what []string
	for _, o := range c.Open {
		what = append(what, o.What)
	}
	if d := cmp.Diff([]string{"job_open", "tracing", "outlet"}, what); d != "" {
		t.Error(d)
	}
}

func TestOutcome(t *testing.T) {
	at := time.Date(2026, 11, 17, 9, 0, 0, 0, time.UTC)
	tests := []struct {
		name string
		say  []grammar.Entry
		want Outcome
	}{
		{"nobody home", []grammar.Entry{grammar.Time{Mark: "no_access"}, grammar.Job{Verb: "close"}}, NoAccess},
		{"passes from the start", []grammar.Entry{level(behind(1), grammar.Pass, "-45"), grammar.Job{Verb: "close"}}, NoFault},
		{"fails at the end", []grammar.Entry{level(behind(1), grammar.Fail, "-55"), grammar.Job{Verb: "close"}}, NotFixed},
		{"fixed", []grammar.Entry{level(behind(1), grammar.Fail, "-55"), grammar.Action{Action: "replaced", Element: grammar.Barrel}, level(behind(1), grammar.Pass, "-45"), grammar.Job{Verb: "close"}}, Fixed},
		{"the other receiver still fails", []grammar.Entry{level(behind(1), grammar.Fail, "-55"), level(behind(2), grammar.Fail, "-55"), level(behind(1), grammar.Pass, "-45"), grammar.Job{Verb: "close"}}, NotFixed},
		{"input test fails", []grammar.Entry{level(behind(1), grammar.Pass, "-45"), grammar.Check{Check: "input_test", Verdict: grammar.Fail}, grammar.Job{Verb: "close"}}, NotFixed},
		{"reopened", []grammar.Entry{level(behind(1), grammar.Pass, "-45"), grammar.Job{Verb: "close"}, grammar.Job{Verb: "reopen"}}, StillOpen},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := newCall("1", at, "UTC")
			for _, e := range tt.say {
				c.say(e)
			}
			if got := closeout(t, Input{Records: c.records}).Outcome; got != tt.want {
				t.Errorf("got %q, want %q", got, tt.want)
			}
		})
	}
}

// TestWorstTransponderThenAll: a baseline that names the worst transponder is
// paired with a proof that names none, by the program's own diagnosis too.
func TestWorstTransponderThenAll(t *testing.T) {
	at := time.Date(2026, 11, 17, 9, 0, 0, 0, time.UTC)
	base := level(behind(1), grammar.Fail, "-58")
	base.Transponder = 21
	good := level(behind(1), grammar.Pass, "-49")
	good.Transponder = 5
	c := newCall("1", at, "UTC")
	c.say(base)
	c.say(good)
	c.say(grammar.Action{Action: "replaced", Element: grammar.GroundBlock, Number: 1})
	proof := c.say(level(behind(1), grammar.Pass, "-45"))
	c.say(grammar.Job{Verb: "close"})
	for name, in := range map[string]Input{"by hand": {Records: c.records}, "as diagnosed": diagnosed(Input{Records: c.records})} {
		got := closeout(t, in)
		if name != "by hand" && got.Outcome != Fixed {
			t.Errorf("%s: outcome %s", name, got.Outcome)
		}
		if k := got.Causes[0]; k.State != Proven || k.Gain != num("13") || k.After != proof {
			t.Errorf("%s: cause %+v", name, k)
		}
		if len(got.Points) != 2 || got.Points[0].What != "transponder 21" || got.Points[0].Before == nil || got.Points[0].After == nil || got.Points[1].After != nil {
			t.Errorf("%s: points %+v", name, got.Points)
		}
		if name != "by hand" && got.Durations.ActiveRepair != 180 {
			t.Errorf("%s: %+v", name, got.Durations)
		}
	}
}

// TestReadBetweenRepairs: a point first read between two repairs has that
// reading as its "before".
func TestReadBetweenRepairs(t *testing.T) {
	c := newCall("1", time.Date(2026, 11, 17, 9, 0, 0, 0, time.UTC), "UTC")
	c.say(grammar.Action{Action: "replaced", Element: grammar.Barrel})
	c.say(level(behind(1), grammar.Fail, "-55"))
	c.say(grammar.Action{Action: "replaced", Element: grammar.Splitter})
	c.say(level(behind(1), grammar.Pass, "-45"))
	p := closeout(t, Input{Records: c.records}).Points
	if len(p) != 1 || p[0].Before.Level != num("-55") || p[0].After.Level != num("-45") {
		t.Errorf("%+v", p)
	}
}

// TestSaidAndJudged: where they differ both stand, and what was said counts,
// as it does in the diagnosis.
func TestSaidAndJudged(t *testing.T) {
	at := time.Date(2026, 11, 17, 9, 0, 0, 0, time.UTC)
	strong := level(behind(1), "", "-45")
	strong.Slot, strong.Strength = 110, num("69")
	tests := []struct {
		name                 string
		r                    grammar.Reading
		said, judged, counts grammar.Verdict
		margin, strength     string
	}{
		{"said and judged alike", level(behind(1), grammar.Pass, "-41"), grammar.Pass, grammar.Pass, grammar.Pass, "9", ""},
		{"at the floor", level(behind(1), "", "-50"), "", grammar.Pass, grammar.Pass, "0", ""},
		{"below the floor", level(behind(1), "", "-50.1"), "", grammar.Fail, grammar.Fail, "-0.1", ""},
		{"said pass below the floor", level(behind(1), grammar.Pass, "-53"), grammar.Pass, grammar.Fail, grammar.Pass, "-3", ""},
		{"said fail above it", level(behind(1), grammar.Fail, "-41"), grammar.Fail, grammar.Pass, grammar.Fail, "9", ""},
		{"the slot's own threshold", strong, "", grammar.Fail, grammar.Fail, "5", "-1"},
		{"nothing to judge", grammar.Reading{Point: behind(1), MER: num("9.5")}, "", "", "", "", ""},
		{"no signal", grammar.Reading{Point: behind(1), NoSignal: true}, "", grammar.Fail, grammar.Fail, "", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := newCall("1", at, "UTC")
			c.say(tt.r)
			c.say(grammar.Setting{Name: "threshold", Value: num("75")})
			c.say(grammar.Setting{Name: "threshold", Value: num("80"), Slot: 110})
			c.say(grammar.Setting{Name: "threshold", Value: num("70"), Slot: 110})
			r := closeout(t, Input{Records: c.records}).Readings[0]
			if r.Said != tt.said || r.Judged != tt.judged || r.Verdict != tt.counts || r.LevelMargin.String() != tt.margin || r.StrengthMargin.String() != tt.strength {
				t.Errorf("%+v", r)
			}
		})
	}
}

func TestCorrectionsCount(t *testing.T) {
	c := newCall("1", time.Date(2026, 11, 17, 9, 0, 0, 0, time.UTC), "UTC")
	c.say(level(behind(1), grammar.Pass, "-41"))
	c.say(grammar.Correction{Verb: "change", Level: num("-43")})
	c.say(level(behind(1), grammar.Fail, "-99"))
	c.say(grammar.Correction{Verb: "scratch", Count: 1})
	got := closeout(t, Input{Records: c.records})
	if len(got.Readings) != 1 || got.Readings[0].Level != num("-43") {
		t.Errorf("readings %+v", got.Readings)
	}
	if got.Counts.Corrections != 2 || got.Counts.Superseded != 1 {
		t.Errorf("counts %+v", got.Counts)
	}
}

func TestAsOfComesFromTheRecord(t *testing.T) {
	in := twoFaults(t)
	in.AsOf = time.Time{}
	if got, want := closeout(t, in).AsOf, in.Records[len(in.Records)-1].At; !got.Equal(want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestCloseoutRefusesOtherJobs(t *testing.T) {
	in := twoFaults(t)
	in.Records[3].Job = "other"
	if _, err := NewCloseout(in); err == nil || !strings.Contains(err.Error(), "record 4") {
		t.Errorf("got %v", err)
	}
	if _, err := NewCloseout(Input{}); err == nil {
		t.Error("no records: no error")
	}
}

func TestCloseoutRoundTrip(t *testing.T) {
	c := closeout(t, twoFaults(t))
	got, err := ReadCloseout(bytes.NewReader(render(t, func(b *bytes.Buffer) error { return c.JSON(b) })))
	if err != nil {
		t.Fatal(err)
	}
	same := cmp.Comparer(func(a, b grammar.Decimal) bool { return a == b })
	if d := cmp.Diff(c, got, same, cmp.Comparer(time.Time.Equal)); d != "" {
		t.Error(d)
	}
	if _, err := ReadCloseout(strings.NewReader(`{"schema":"other/9"}`)); err == nil {
		t.Error("another form was read")
	}
}

// TestSchema validates with an independent JSON Schema 2020-12 validator, and
// closes the circle: every member of the form is described, and no more.
func TestSchema(t *testing.T) {
	doc, err := jsonschema.UnmarshalJSON(strings.NewReader(CloseoutSchemaJSON))
	if err != nil {
		t.Fatal(err)
	}
	k := jsonschema.NewCompiler()
	k.AssertFormat()
	if err := k.AddResource("closeout.json", doc); err != nil {
		t.Fatal(err)
	}
	schema, err := k.Compile("closeout.json")
	if err != nil {
		t.Fatal(err)
	}
	for name, in := range map[string]Input{"whole": twoFaults(t), "open": openCall(t)} {
		raw := render(t, func(b *bytes.Buffer) error { return closeout(t, in).JSON(b) })
		v, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
		if err != nil {
			t.Fatal(err)
		}
		if err := schema.Validate(v); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		v.(map[string]any)["as_of"] = "yesterday"
		if schema.Validate(v) == nil {
			t.Errorf("%s: a time that is none was accepted", name)
		}
		described(t, doc.(map[string]any), doc.(map[string]any), v, "closeout")
	}
	undescribed(t, doc, "schema")
}

// described walks a document beside its schema and fails on members that the
// schema does not name.
func described(t *testing.T, root, schema map[string]any, v any, at string) {
	t.Helper()
	if ref, ok := schema["$ref"].(string); ok {
		schema = root["$defs"].(map[string]any)[strings.TrimPrefix(ref, "#/$defs/")].(map[string]any)
	}
	if any, ok := schema["anyOf"].([]any); ok {
		if v == nil {
			return
		}
		described(t, root, any[0].(map[string]interface{}), v, at)
		return
	}
	switch v := v.(type) {
	case map[string]any:
		props, _ := schema["properties"].(map[string]any)
		for k, x := range v {
			p, ok := props[k].(map[string]any)
			if !ok {
				t.Errorf("%s.%s is not in the schema", at, k)
				continue
			}
			described(t, root, p, x, at+"."+k)
		}
	case []any:
		for _, x := range v {
			described(t, root, schema["items"].(map[string]any), x, at+"[]")
		}
	}
}

// undescribed fails on any member without a description.
func undescribed(t *testing.T, v any, at string) {
	m, ok := v.(map[string]any)
	if !ok {
		return
	}
	if props, ok := m["properties"].(map[string]any); ok {
		for k, p := range props {
			if d, _ := p.(map[string]any)["description"].(string); d == "" {
				t.Errorf("%s.%s has no description", at, k)
			}
			undescribed(t, p, at+"."+k)
		}
	}
	for _, k := range []string{"items", "$defs"} {
		if x, ok := m[k].(map[string]any); ok {
			if k == "$defs" {
				for n, d := range x {
					undescribed(t, d, at+"."+n)
				}
				continue
			}
			undescribed(t, x, at+"."+k)
		}
	}
}

func TestNoListIsNull(t *testing.T) {
	var v any
	raw := render(t, func(b *bytes.Buffer) error { return closeout(t, openCall(t)).JSON(b) })
	if err := json.Unmarshal(raw, &v); err != nil {
		t.Fatal(err)
	}
	m := v.(map[string]any)
	typ := reflect.TypeFor[Closeout]()
	for i := range typ.NumField() {
		if f := typ.Field(i); f.Type.Kind() == reflect.Slice {
			if _, ok := m[f.Tag.Get("json")].([]any); !ok {
				t.Errorf("%s is %v", f.Name, m[f.Tag.Get("json")])
			}
		}
	}
}

func TestCloseoutText(t *testing.T) {
	golden(t, "whole.txt", render(t, func(b *bytes.Buffer) error { return closeout(t, twoFaults(t)).Text(b) }))
	golden(t, "open.txt", render(t, func(b *bytes.Buffer) error { return closeout(t, openCall(t)).Text(b) }))
}

func TestUnconfirmedIsSaid(t *testing.T) {
	in := twoFaults(t)
	in.Records[7].Unconfirmed = true
	c := closeout(t, in)
	if c.Complete || c.Counts.Unconfirmed != 1 || c.Open[0].What != "unconfirmed" || !strings.Contains(c.Open[0].Detail, "8") {
		t.Errorf("complete %v counts %+v open %+v", c.Complete, c.Counts, c.Open)
	}
}
