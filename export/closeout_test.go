package export

import (
	"bytes"
	"encoding/json"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"downlead/export/closeout"
	"downlead/export/exporttest"
	"downlead/grammar/entry"
)

func closeoutOf(t testing.TB, in closeout.Input) closeout.Closeout {
	t.Helper()
	c, err := closeout.NewCloseout(in)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestCloseoutOfAWholeCall(t *testing.T) {
	c := closeoutOf(t, twoFaults(t))
	if c.Outcome != closeout.Fixed || !c.Complete || len(c.Open) != 0 {
		t.Errorf("outcome %q, complete %v, open %v", c.Outcome, c.Complete, c.Open)
	}
	// The first repair cured its own block, the second the receiver.
	if len(c.Causes) != 2 || c.Causes[0].State != closeout.Proven || c.Causes[1].State != closeout.Proven {
		t.Fatalf("causes %+v", c.Causes)
	}
	if got := c.Causes[0].Point; got != "ground block, receiver side" {
		t.Errorf("first cause shows at %q", got)
	}
	if got := c.Causes[1].Gain; got != exporttest.Num("5.5") {
		t.Errorf("second cause gained %s dB", got)
	}
	first := c.Points[0]
	for _, p := range c.Points {
		if p.ID == "receiver 1" {
			first = p
		}
	}
	if first.Before.Level != exporttest.Num("-58") || first.After.Level != exporttest.Num("-47") || first.After.LevelMargin != exporttest.Num("3") || first.Before.StrengthMargin != exporttest.Num("-34") {
		t.Errorf("behind receiver 1: before %+v after %+v", first.Before, first.After)
	}
	// Entries lie a minute apart: receiver 1 failed at 09:27, passed for good at 09:40.
	d := c.Durations
	if d.Travel != 21*60 || d.ActiveRepair != 13*60 || d.ReportToClear != 90*60 {
		t.Errorf("durations %+v", d)
	}
	if c.Counts.Unparsed != 1 || c.Materials[1].Quantity != 4 || c.Miles != exporttest.Num("12") {
		t.Errorf("counts %+v materials %+v miles %s", c.Counts, c.Materials, c.Miles)
	}
}

func TestCloseoutOfAnOpenCall(t *testing.T) {
	c := closeoutOf(t, openCall(t))
	if c.Outcome != closeout.StillOpen || c.Complete || c.Closed != nil {
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
		say  []entry.Entry
		want closeout.Outcome
	}{
		{"nobody home", []entry.Entry{entry.Time{Mark: "no_access"}, entry.Job{Verb: "close"}}, closeout.NoAccess},
		{"passes from the start", []entry.Entry{exporttest.LevelAt(exporttest.Behind(1), entry.Pass, "-45"), entry.Job{Verb: "close"}}, closeout.NoFault},
		{"fails at the end", []entry.Entry{exporttest.LevelAt(exporttest.Behind(1), entry.Fail, "-55"), entry.Job{Verb: "close"}}, closeout.NotFixed},
		{"fixed", []entry.Entry{exporttest.LevelAt(exporttest.Behind(1), entry.Fail, "-55"), entry.Action{Action: "replaced", Element: entry.Barrel}, exporttest.LevelAt(exporttest.Behind(1), entry.Pass, "-45"), entry.Job{Verb: "close"}}, closeout.Fixed},
		{"the other receiver still fails", []entry.Entry{exporttest.LevelAt(exporttest.Behind(1), entry.Fail, "-55"), exporttest.LevelAt(exporttest.Behind(2), entry.Fail, "-55"), exporttest.LevelAt(exporttest.Behind(1), entry.Pass, "-45"), entry.Job{Verb: "close"}}, closeout.NotFixed},
		{"input test fails", []entry.Entry{exporttest.LevelAt(exporttest.Behind(1), entry.Pass, "-45"), entry.Check{Check: "input_test", Verdict: entry.Fail}, entry.Job{Verb: "close"}}, closeout.NotFixed},
		{"reopened", []entry.Entry{exporttest.LevelAt(exporttest.Behind(1), entry.Pass, "-45"), entry.Job{Verb: "close"}, entry.Job{Verb: "reopen"}}, closeout.StillOpen},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := newCall("1", at, "UTC")
			for _, e := range tt.say {
				c.say(e)
			}
			got := closeoutOf(t, closeout.Input{Records: c.records})
			if got.Outcome != tt.want {
				t.Errorf("got %q, want %q", got.Outcome, tt.want)
			}
			if open := tt.want == closeout.StillOpen; (got.Closed == nil) != open || got.Complete && open {
				t.Errorf("closed at %v, complete %v", got.Closed, got.Complete)
			}
		})
	}
}

// A check that was made again counts as it was made last; the earlier one stays
// to be seen.
func TestTheLastOfAChecksResultsCounts(t *testing.T) {
	c := newCall("1", time.Date(2026, 11, 17, 9, 0, 0, 0, time.UTC), "UTC")
	c.say(entry.Check{Check: "mount", Verdict: entry.Fail, Remark: "loose foot"})
	c.say(entry.Check{Check: "dish", Verdict: entry.Pass})
	c.say(entry.Check{Check: "mount", Verdict: entry.Pass})
	got := closeoutOf(t, closeout.Input{Records: c.records}).Checks
	if len(got) != 3 || got[0].Current || !got[1].Current || !got[2].Current {
		t.Errorf("%+v", got)
	}
}

// What was seen of a part and what the house noticed stand in every form of the
// record, and so does the type of a cable; a room and free words are redacted.
func TestWhatWasSeenStandsInTheRecord(t *testing.T) {
	c := newCall("1", time.Date(2026, 11, 17, 9, 0, 0, 0, time.UTC), "UTC")
	c.say(entry.Sighting{Element: entry.WallPlate, Room: "den", Condition: "corroded", Remark: "behind the heron's cage"})
	c.say(entry.Symptom{Symptom: "freezing", When: "rain"})
	c.say(entry.Material{Item: "cable", LengthFt: exporttest.Num("100"), Cable: "rg6"})
	c.say(entry.Material{Item: "cable", LengthFt: exporttest.Num("20"), Cable: "rg11"})
	c.say(entry.Action{Action: "added", Element: entry.Cable, LengthFt: exporttest.Num("20"), Cable: "rg11"})
	full := closeoutOf(t, closeout.Input{Records: c.records})
	if len(full.Seen) != 2 || full.Seen[0].What != "corroded" || full.Seen[1].When != "rain" {
		t.Errorf("seen %+v", full.Seen)
	}
	if len(full.Materials) != 2 || full.Materials[1].Cable != "rg11" || full.Actions[0].Cable != "rg11" {
		t.Errorf("materials %+v, actions %+v", full.Materials, full.Actions)
	}
	for form, text := range map[string][]byte{
		"text": exporttest.Render(t, func(b *bytes.Buffer) error { return full.Text(b) }),
		"CSV":  exporttest.Render(t, func(b *bytes.Buffer) error { return full.CSV(b) }),
	} {
		for _, want := range []string{"corroded", "freezes", "heron", "100"} {
			if !strings.Contains(string(text), want) {
				t.Errorf("the %s does not say %q:\n%s", form, want, text)
			}
		}
	}
	redacted, err := closeout.Redact(full)
	if err != nil {
		t.Fatal(err)
	}
	raw, err := json.Marshal(redacted)
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(raw), "heron") || strings.Contains(string(raw), "den\"") || !strings.Contains(string(raw), "corroded") {
		t.Errorf("redacted: %s", raw)
	}
}

// TestWorstTransponderThenAll: a baseline that names the worst transponder is
// paired with a proof that names none, by the program's own diagnosis too.
func TestWorstTransponderThenAll(t *testing.T) {
	at := time.Date(2026, 11, 17, 9, 0, 0, 0, time.UTC)
	base := exporttest.LevelAt(exporttest.Behind(1), entry.Fail, "-58")
	base.Transponder = 21
	good := exporttest.LevelAt(exporttest.Behind(1), entry.Pass, "-49")
	good.Transponder = 5
	c := newCall("1", at, "UTC")
	c.say(base)
	c.say(good)
	c.say(entry.Action{Action: "replaced", Element: entry.GroundBlock, Number: 1})
	proof := c.say(exporttest.LevelAt(exporttest.Behind(1), entry.Pass, "-45"))
	c.say(entry.Job{Verb: "close"})
	for name, in := range map[string]closeout.Input{"by hand": {Records: c.records}, "as diagnosed": diagnosed(closeout.Input{Records: c.records})} {
		got := closeoutOf(t, in)
		if name != "by hand" && got.Outcome != closeout.Fixed {
			t.Errorf("%s: outcome %s", name, got.Outcome)
		}
		if k := got.Causes[0]; k.State != closeout.Proven || k.Gain != exporttest.Num("13") || k.After != proof {
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
	c.say(entry.Action{Action: "replaced", Element: entry.Barrel})
	c.say(exporttest.LevelAt(exporttest.Behind(1), entry.Fail, "-55"))
	c.say(entry.Action{Action: "replaced", Element: entry.Splitter})
	c.say(exporttest.LevelAt(exporttest.Behind(1), entry.Pass, "-45"))
	p := closeoutOf(t, closeout.Input{Records: c.records}).Points
	if len(p) != 1 || p[0].Before.Level != exporttest.Num("-55") || p[0].After.Level != exporttest.Num("-45") {
		t.Errorf("%+v", p)
	}
}

// TestSaidAndJudged: where they differ both stand, and what was said counts,
// as it does in the diagnosis.
func TestSaidAndJudged(t *testing.T) {
	at := time.Date(2026, 11, 17, 9, 0, 0, 0, time.UTC)
	strong := exporttest.LevelAt(exporttest.Behind(1), "", "-45")
	strong.Slot, strong.Strength = 110, exporttest.Num("69")
	tests := []struct {
		name                 string
		r                    entry.Reading
		said, judged, counts entry.Verdict
		margin, strength     string
	}{
		{"said and judged alike", exporttest.LevelAt(exporttest.Behind(1), entry.Pass, "-41"), entry.Pass, entry.Pass, entry.Pass, "9", ""},
		{"at the floor", exporttest.LevelAt(exporttest.Behind(1), "", "-50"), "", entry.Pass, entry.Pass, "0", ""},
		{"below the floor", exporttest.LevelAt(exporttest.Behind(1), "", "-50.1"), "", entry.Fail, entry.Fail, "-0.1", ""},
		{"said pass below the floor", exporttest.LevelAt(exporttest.Behind(1), entry.Pass, "-53"), entry.Pass, entry.Fail, entry.Pass, "-3", ""},
		{"said fail above it", exporttest.LevelAt(exporttest.Behind(1), entry.Fail, "-41"), entry.Fail, entry.Pass, entry.Fail, "9", ""},
		{"the slot's own threshold", strong, "", entry.Fail, entry.Fail, "5", "-1"},
		{"nothing to judge", entry.Reading{Point: exporttest.Behind(1), MER: exporttest.Num("9.5")}, "", "", "", "", ""},
		{"no signal", entry.Reading{Point: exporttest.Behind(1), NoSignal: true}, "", entry.Fail, entry.Fail, "", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := newCall("1", at, "UTC")
			c.say(tt.r)
			c.say(entry.Setting{Name: "threshold", Value: exporttest.Num("75")})
			c.say(entry.Setting{Name: "threshold", Value: exporttest.Num("80"), Slot: 110})
			c.say(entry.Setting{Name: "threshold", Value: exporttest.Num("70"), Slot: 110})
			r := closeoutOf(t, closeout.Input{Records: c.records}).Readings[0]
			if r.Said != tt.said || r.Judged != tt.judged || r.Verdict != tt.counts || r.LevelMargin.String() != tt.margin || r.StrengthMargin.String() != tt.strength {
				t.Errorf("%+v", r)
			}
		})
	}
}

func TestCorrectionsCount(t *testing.T) {
	c := newCall("1", time.Date(2026, 11, 17, 9, 0, 0, 0, time.UTC), "UTC")
	c.say(exporttest.LevelAt(exporttest.Behind(1), entry.Pass, "-41"))
	c.say(entry.Correction{Verb: "change", Level: exporttest.Num("-43")})
	c.say(exporttest.LevelAt(exporttest.Behind(1), entry.Fail, "-99"))
	c.say(entry.Correction{Verb: "scratch", Count: 1})
	got := closeoutOf(t, closeout.Input{Records: c.records})
	if len(got.Readings) != 1 || got.Readings[0].Level != exporttest.Num("-43") {
		t.Errorf("readings %+v", got.Readings)
	}
	if got.Counts.Corrections != 2 || got.Counts.Superseded != 1 {
		t.Errorf("counts %+v", got.Counts)
	}
}

func TestAsOfComesFromTheRecord(t *testing.T) {
	in := twoFaults(t)
	in.AsOf = time.Time{}
	if got, want := closeoutOf(t, in).AsOf, in.Records[len(in.Records)-1].At; !got.Equal(want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestCloseoutRefusesOtherJobs(t *testing.T) {
	in := twoFaults(t)
	in.Records[3].Job = "other"
	if _, err := closeout.NewCloseout(in); err == nil || !strings.Contains(err.Error(), "record 4") {
		t.Errorf("got %v", err)
	}
	if _, err := closeout.NewCloseout(closeout.Input{}); err == nil {
		t.Error("no records: no error")
	}
}

func TestCloseoutRoundTrip(t *testing.T) {
	c := closeoutOf(t, twoFaults(t))
	got, err := closeout.ReadCloseout(bytes.NewReader(exporttest.Render(t, func(b *bytes.Buffer) error { return c.JSON(b) })))
	if err != nil {
		t.Fatal(err)
	}
	same := cmp.Comparer(func(a, b entry.Decimal) bool { return a == b })
	if d := cmp.Diff(c, got, same, cmp.Comparer(time.Time.Equal)); d != "" {
		t.Error(d)
	}
	if _, err := closeout.ReadCloseout(strings.NewReader(`{"schema":"other/9"}`)); err == nil {
		t.Error("another form was read")
	}
}

// The form is what its published schema says, and no more.
func TestSchema(t *testing.T) {
	var docs [][]byte
	for _, in := range []closeout.Input{twoFaults(t), openCall(t)} {
		docs = append(docs, exporttest.Render(t, func(b *bytes.Buffer) error { return closeoutOf(t, in).JSON(b) }))
	}
	exporttest.Fits(t, closeout.CloseoutSchemaJSON, docs, `"as_of": "`, `"as_of": "on `) // a time that is none
}

func TestNoListIsNull(t *testing.T) {
	var v any
	raw := exporttest.Render(t, func(b *bytes.Buffer) error { return closeoutOf(t, openCall(t)).JSON(b) })
	if err := json.Unmarshal(raw, &v); err != nil {
		t.Fatal(err)
	}
	m := v.(map[string]any)
	typ := reflect.TypeFor[closeout.Closeout]()
	for i := range typ.NumField() {
		if f := typ.Field(i); f.Type.Kind() == reflect.Slice {
			if _, ok := m[f.Tag.Get("json")].([]any); !ok {
				t.Errorf("%s is %v", f.Name, m[f.Tag.Get("json")])
			}
		}
	}
}

func TestCloseoutText(t *testing.T) {
	exporttest.Golden(t, "whole.txt", exporttest.Render(t, func(b *bytes.Buffer) error { return closeoutOf(t, twoFaults(t)).Text(b) }))
	exporttest.Golden(t, "open.txt", exporttest.Render(t, func(b *bytes.Buffer) error { return closeoutOf(t, openCall(t)).Text(b) }))
}

func TestUnconfirmedIsSaid(t *testing.T) {
	in := twoFaults(t)
	in.Records[7].Unconfirmed = true
	c := closeoutOf(t, in)
	if c.Complete || c.Counts.Unconfirmed != 1 || c.Open[0].What != "unconfirmed" || !strings.Contains(c.Open[0].Detail, "8") {
		t.Errorf("complete %v counts %+v open %+v", c.Complete, c.Counts, c.Open)
	}
}
