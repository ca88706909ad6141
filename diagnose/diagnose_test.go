package diagnose

import (
	"encoding/json"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"downlead/diagnose/call"
	"downlead/diagnose/calltest"
	"downlead/diagnose/claim"
	"downlead/diagnose/level"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// keysOf lists the members of a JSON object, and of the first one in each of
// its lists, as "points.margin_db".
func keysOf(prefix string, v any) []string {
	var out []string
	switch v := v.(type) {
	case map[string]any:
		for k, x := range v {
			out = append(out, prefix+k)
			out = append(out, keysOf(prefix+k+".", x)...)
		}
	case []any:
		for _, x := range v {
			out = append(out, keysOf(prefix, x)...)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// The machine form is a contract: a member may be added, none may go or change
// its name.
func TestMachineForm(t *testing.T) {
	failing := append(calltest.TwoRooms(),
		calltest.Read("receiver #1", "fail", "-57"), calltest.Read("ground_block dish", "pass", "-38"), calltest.Replaced("wall_plate"), calltest.Read("receiver #2", "pass", "-53"),
		calltest.Read("wall_plate #1 receiver", "fail", "-55"),
	)
	torn := append(calltest.TwoRooms(), calltest.Read("wall_plate #1 receiver", "pass", "-41"), calltest.Read("splitter :1", "fail", "-52"))
	var got []string
	for _, entries := range [][]entry.Entry{failing, torn} {
		b, err := json.Marshal(claim.Diagnose(calltest.RecordsOf(entries...), level.Options{}))
		if err != nil {
			t.Fatal(err)
		}
		var v any
		if err := json.Unmarshal(b, &v); err != nil {
			t.Fatal(err)
		}
		got = append(got, keysOf("", v)...)
	}
	for _, want := range strings.Fields(`job phase path path.id path.element path.parent path.port path.length_ft path.ways
		points points.point points.point.element points.point.number points.point.side points.id points.verdict points.margin_db points.level_dbm
		points.expected_dbm points.round points.stale points.entries
		brackets brackets.pass brackets.fail brackets.elements brackets.text suspects suspects.elements suspects.mode suspects.p beyond healthy
		next next.point next.minutes next.bits next.why plan_minutes segments segments.from segments.to segments.measured_db segments.expected_db
		segments.excess_db segments.sd_db findings findings.code findings.text findings.entries
		contradictions contradictions.text contradictions.entries contradictions.repeat missing missing.step missing.detail`) {
		if !slices.Contains(got, want) {
			t.Errorf("no member %s in %v", want, got)
		}
	}
}

func TestMachineFormOfNothing(t *testing.T) {
	b, err := json.Marshal(claim.Diagnose(nil, level.Options{}))
	if err != nil {
		t.Fatal(err)
	}
	var d map[string]json.RawMessage
	if err := json.Unmarshal(b, &d); err != nil {
		t.Fatal(err)
	}
	for _, k := range []string{"points", "brackets", "suspects", "segments", "findings", "contradictions"} {
		if s := string(d[k]); k != "suspects" && s != "[]" || s == "null" {
			t.Errorf("%s is %s, want an empty list", k, s)
		}
	}
	if diff := cmp.Diff(`"baseline"`, string(d["phase"])); diff != "" {
		t.Error(diff)
	}
}

// Whatever was said, a diagnosis comes out whole, and its odds are odds.
func TestDiagnoseOfAnything(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 9))
	for range 40 {
		data := make([]byte, r.IntN(200))
		for i := range data {
			data[i] = byte(r.IntN(256))
		}
		c := trace.ReplayCurrent(calltest.RecordsOf(entriesFrom(data)...))
		d := claim.Conclude(call.NewProgress(c), level.Options{})
		sum := 0.0
		for _, s := range d.Suspects {
			sum += s.P
		}
		if sum > 1+1e-9 || d.Healthy < 0 || d.Healthy > 1+1e-9 {
			t.Fatalf("odds add up to %v, healthy %v: %s", sum, d.Healthy, drawn(c.Path))
		}
		if claim.Answer(d) == "" || claim.Explain(d, c) == "" {
			t.Fatal("nothing said")
		}
	}
}

func BenchmarkReplay(b *testing.B) {
	for _, name := range []string{"single fault", "double fault"} {
		var said []entry.Entry
		for _, s := range invented()[name] {
			said = append(said, s.entry)
		}
		records := calltest.RecordsOf(said...)
		b.Run("call="+strings.ReplaceAll(name, " ", "_"), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				call.NewProgress(trace.ReplayCurrent(records)).Plan()
			}
		})
	}
}
