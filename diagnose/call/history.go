package call

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// repeatWindow is the time within which another visit counts as a repeat, the
// same as the quality record's default.
const repeatWindow = 30 * 24 * time.Hour

// pastJob is an earlier job at the site.
type pastJob struct {
	call        trace.Call
	first, last time.Time
	state       *Progress
	number      string
}

func pastJobs(history [][]record.Record) []pastJob {
	var out []pastJob
	for _, records := range history {
		if len(records) == 0 {
			continue
		}
		c := trace.Replay(records)
		out = append(out, pastJob{call: c, first: records[0].At, last: records[len(records)-1].At, state: NewProgress(c), number: c.Job})
	}
	slices.SortStableFunc(out, func(a, b pastJob) int { return a.first.Compare(b.first) })
	return out
}

// HistoryText tells what earlier jobs at the site leave to know: the last
// visit and what was done, how levels have moved since, and whether this is a
// repeat. history holds the records of each earlier job.
func HistoryText(history [][]record.Record, records []record.Record) string {
	all := pastJobs(history)
	if len(all) == 0 {
		return "No earlier visit to this site is kept."
	}
	last := all[len(all)-1]
	parts := []string{fmt.Sprintf("Last visit %s, job %s: %s.", last.first.Format("2 January 2006"), last.number, last.done())}
	parts = append(parts, trends(all, trace.Replay(records))...)
	if len(records) > 0 {
		if days, ok := within(last, records[0].At); ok {
			parts = append(parts, fmt.Sprintf("That is %s, so this counts as a repeat.", days))
		}
	}
	return strings.Join(parts, " ")
}

// done says what a visit changed and how it ended.
func (v pastJob) done() string {
	var did []string
	for _, r := range v.call.Repairs {
		if w := repairWords(v.call, r); !slices.Contains(did, w) {
			did = append(did, w)
		}
	}
	text := "nothing was changed"
	switch {
	case len(did) > 0:
		text = path.List(did, "and")
	case v.state.NoAccess:
		text = "customer not home"
	}
	if v.state.reason != "" {
		text += "; closed with things missing: " + v.state.reason
	}
	return text
}

// within says how long before a time a visit ended, if inside the window.
func within(v pastJob, now time.Time) (string, bool) {
	d := now.Sub(v.last)
	if d < 0 || d > repeatWindow {
		return "", false
	}
	switch days := int(d.Hours() / 24); days {
	case 0:
		return "less than a day ago", true
	case 1:
		return "1 day ago", true
	default:
		return fmt.Sprintf("%d days ago", days), true
	}
}

// trends says how the levels at points measured now have moved, those that
// fell most first; at most three.
func trends(all []pastJob, now trace.Call) []string {
	type trend struct {
		text string
		move float64
	}
	var found []trend
	for _, s := range now.Spots() {
		o, ok := s.Level()
		if !ok {
			continue
		}
		pt := now.PointOfSpot(s)
		var past []string
		var before float64
		for _, v := range all {
			if level, ok := v.levelAt(pt); ok {
				past = append(past, fmt.Sprintf("%s in %s", path.Trim(level), v.first.Format("January")))
				before = level
			}
		}
		if len(past) == 0 {
			continue
		}
		level := o.Reading.Level.Float()
		found = append(found, trend{path.Sentence(fmt.Sprintf("%s: %s, %s today", path.PointWords(pt), strings.Join(past, ", "), path.Trim(level))), level - before})
	}
	slices.SortStableFunc(found, func(a, b trend) int { return cmp.Compare(a.move, b.move) })
	var out []string
	for _, f := range found {
		if math.Abs(f.move) >= 1 && len(out) < 3 { // the meter's own spread, dB
			out = append(out, f.text)
		}
	}
	if len(out) == 0 && len(found) > 0 {
		out = append(out, "Levels are as they were then.")
	}
	return out
}

// levelAt returns the level that a visit left at a point.
func (v pastJob) levelAt(pt entry.Point) (float64, bool) {
	for _, s := range v.call.Spots() {
		if q := v.call.PointOfSpot(s); q.Element == pt.Element && q.Side == pt.Side && max(q.Number, 1) == max(pt.Number, 1) && q.Port == pt.Port {
			if o, ok := s.Level(); ok {
				return o.Reading.Level.Float(), true
			}
		}
	}
	return 0, false
}

// RepeatFindings reports a visit inside the window before this one.
func RepeatFindings(c trace.Call, history [][]record.Record) []trace.Finding {
	all := pastJobs(history)
	if len(all) == 0 || len(c.Records) == 0 {
		return nil
	}
	last := all[len(all)-1]
	days, ok := within(last, c.Records[0].At)
	if !ok {
		return nil
	}
	var site []int64 // what says that it is the same site
	for _, r := range c.Records {
		if _, ok := r.Entry.(entry.Site); ok {
			site = append(site, r.Seq)
		}
	}
	return []trace.Finding{{
		Code: trace.FindingRepeat, Entries: site,
		Text: fmt.Sprintf("A repeat: job %s was here %s; %s. Look at what was done then first.", last.number, days, last.done()),
	}}
}
