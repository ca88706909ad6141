package diagnose

import (
	"strings"
	"testing"
	"time"

	"downlead/diagnose/call"
	"downlead/diagnose/calltest"
	"downlead/diagnose/claim"
	"downlead/diagnose/level"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// jobOn dates the records of an earlier or later job.
func jobOn(number string, day time.Time, entries ...entry.Entry) []record.Record {
	out := calltest.RecordsOf(entries...)
	for i := range out {
		out[i].Job = number
		out[i].At = day.Add(time.Duration(i) * time.Minute)
	}
	return out
}

func TestHistory(t *testing.T) {
	day := func(m time.Month, d int) time.Time { return time.Date(2026, m, d, 9, 0, 0, 0, time.UTC) }
	march := jobOn("3105", day(time.March, 3),
		calltest.Read("receiver #1", "fail", "-55"), calltest.Read("ground_block dish", "pass", "-38"), calltest.Replaced("wall_plate"), calltest.Read("receiver #1", "pass", "-44"),
		entry.Job{Verb: "close", Text: "grounding not seen"},
	)
	today := jobOn("4412", day(time.November, 2), calltest.Read("ground_block dish", "pass", "-43"), calltest.Read("receiver #1", "pass", "-44.5"))
	soon := jobOn("3130", day(time.March, 15), calltest.Read("receiver #1", "fail", "-56"))
	tests := []struct {
		name    string
		history [][]record.Record
		records []record.Record
		want    []string
		not     string
	}{
		{"a new site", nil, today, []string{"No earlier visit"}, "repeat"},
		{
			"months later",
			[][]record.Record{march},
			today,
			[]string{"Last visit 3 March 2026, job 3105: replaced the wall plate; closed with things missing: grounding not seen.", "Ground block, dish side: -38 in March, -43 today."},
			"repeat",
		},
		{"within the window", [][]record.Record{march}, soon, []string{"Behind the receiver: -44 in March, -56 today.", "That is 11 days ago, so this counts as a repeat."}, "Ground block"},
		{
			"two visits, in any order",
			[][]record.Record{soon, march},
			today,
			[]string{"job 3130: nothing was changed.", "Behind the receiver: -44 in March, -56 in March, -44.5 today."},
			"repeat",
		},
		{"a job after this one is no earlier visit", [][]record.Record{soon}, march, []string{"job 3130"}, "repeat"},
		{"as it was", [][]record.Record{march}, jobOn("4412", day(time.November, 2), calltest.Read("receiver #1", "pass", "-44.3")), []string{"Levels are as they were then."}, "today"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := call.HistoryText(tt.history, tt.records)
			for _, w := range tt.want {
				if !strings.Contains(got, w) {
					t.Errorf("%q is not in %q", w, got)
				}
			}
			if strings.Contains(got, tt.not) {
				t.Errorf("%q is in %q", tt.not, got)
			}
			if _, ok := find(claim.Findings(trace.ReplayCurrent(tt.records), level.Options{History: tt.history}), trace.FindingRepeat); ok != strings.Contains(got, "repeat") {
				t.Errorf("repeat finding %v, text %q", ok, got)
			}
		})
	}
}

func find(findings []trace.Finding, code string) (trace.Finding, bool) {
	for _, f := range findings {
		if f.Code == code {
			return f, true
		}
	}
	return trace.Finding{}, false
}
