package dialogue

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"downlead/diagnose"
	"downlead/diagnose/call"
	"downlead/diagnose/claim"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// reply reads back what was stored and says what it means now. about is the
// record that a question was about, when its answer was just taken.
func (s *Session) reply(ctx context.Context, outcome Outcome, stored []record.Record, about *record.Record) (Reply, error) {
	r := Reply{Outcome: outcome, Records: stored}
	records, err := s.records(ctx)
	if err != nil {
		return r, err
	}
	j := diagnose.NewJob(records, s.Options)
	d := j.Diagnosis()
	r.Current = &d
	r.Caution = s.comeUp(j, stored)
	var parts []string
	for _, rec := range stored {
		if said := s.sentence(rec, about, j); !rec.Unconfirmed && !slices.Contains(parts, said) {
			parts = append(parts, said)
		}
	}
	if len(s.asked) > 0 {
		r.Asked = s.asked[0].text
		parts = append(parts, r.Asked)
	} else if moves(stored) || limits(stored) && len(d.Points) > 0 {
		parts = append(parts, claim.Answer(d))
	}
	r.Text = strings.Join(parts, " ")
	if r.Asked == "" {
		s.last = r.Text
	}
	return r, nil
}

// comeUp returns the cautions that apply with the stored records and did not
// before them: each once a job, though the call may lead away from what it is
// about and back.
func (s *Session) comeUp(j *diagnose.Job, stored []record.Record) []string {
	if len(stored) == 0 {
		return nil
	}
	now := j.Cautions()
	if len(now) == 0 {
		return nil // nothing to compare: what held before is a diagnosis of its own
	}
	records, before := j.Records(), map[string]bool{}
	first := slices.IndexFunc(records, func(r record.Record) bool { return r.Seq >= stored[0].Seq })
	for _, c := range diagnose.NewJob(records[:max(first, 0)], s.Options).Cautions() {
		before[c.Code] = true
	}
	now = slices.DeleteFunc(now, func(c call.Caution) bool { return before[c.Code] || s.cautioned[s.Job+" "+c.Code] })
	if len(now) > 0 {
		if s.cautioned == nil {
			s.cautioned = map[string]bool{}
		}
		for n := range max(first, 0) {
			p := call.NewProgress(trace.Replay(records[:n]))
			earlier := call.Cautions(p, -1, "")
			if p.Phase() == call.Outlet { // whether the outlet was next is a diagnosis of its own
				earlier = diagnose.NewJob(records[:n], s.Options).Cautions()
			}
			for _, c := range earlier {
				before[c.Code] = true
			}
		}
	}
	var out []string
	for _, c := range now {
		if !before[c.Code] {
			s.cautioned[s.Job+" "+c.Code] = true
			out = append(out, c.Text)
		}
	}
	return out
}

// sentence reads one stored record back.
func (s *Session) sentence(rec record.Record, about *record.Record, j *diagnose.Job) string {
	records, d := j.Records(), j.Diagnosis()
	switch e := rec.Entry.(type) {
	case entry.Question:
		return s.question(e, j)
	case entry.Site:
		if len(s.Options.History) > 0 {
			return sentenceOf(e) + " " + call.HistoryText(s.Options.History, records)
		}
	case entry.Job:
		if e.Verb == "close" {
			return strings.Join(append([]string{sentenceOf(e), d.Outcome.Text}, bringBack(d)...), " ")
		}
	case entry.Action:
		return strings.Join(append([]string{sentenceOf(e)}, leavesDark(rec.Seq, d)...), " ")
	case entry.Correction:
		if e.Verb == "scratch" {
			return scratched(rec, records)
		}
		if now, ok := corrected(rec, records); ok {
			return sentenceOf(now.Entry)
		}
		if about != nil {
			return sentenceOf(about.Entry)
		}
		return "Corrected."
	}
	return sentenceOf(rec.Entry)
}

// leavesDark says which rooms a piece of work may have left without coax.
func leavesDark(seq int64, d claim.Diagnosis) []string {
	var out []string
	for _, f := range d.Findings {
		if f.Code == trace.FindingCutOff && slices.Contains(f.Entries, seq) {
			out = append(out, f.Text)
		}
	}
	return out
}

func sentenceOf(e entry.Entry) string { return sentence(entry.Say(e)) }

// sentence makes a sentence of a clause.
func sentence(clause string) string {
	if clause == "" {
		return ""
	}
	return strings.ToUpper(clause[:1]) + strings.TrimSuffix(clause[1:], ".") + "."
}

// corrected finds the record that a correction changed, as it counts now.
func corrected(correction record.Record, records []record.Record) (record.Viewed, bool) {
	for _, v := range record.View(records) {
		for _, seq := range v.CorrectedBy {
			if seq == correction.Seq {
				return v, true
			}
		}
	}
	return record.Viewed{}, false
}

// bringBack says what was left: questions without an answer, and what may cause
// another visit.
func bringBack(d claim.Diagnosis) []string {
	var out []string
	if said := d.UnansweredWords(); said != "" {
		out = append(out, said)
	}
	if len(d.Brackets) > 0 {
		return out // it fails: that is said already
	}
	back := false
	for _, f := range d.BringBack() {
		if !back {
			out, back = append(out, "This may bring you back:"), true
		}
		out = append(out, f.Text)
	}
	return out
}

// moves reports whether stored records may change the diagnosis.
func moves(records []record.Record) bool {
	for _, r := range records {
		switch r.Entry.Kind() {
		case entry.KindReading, entry.KindAction, entry.KindCorrection, entry.KindCheck, entry.KindPath, entry.KindSighting, entry.KindSymptom, entry.KindOutcome:
			return true
		}
	}
	return false
}

// limits reports whether stored records set what readings are judged by.
func limits(records []record.Record) bool {
	return slices.ContainsFunc(records, func(r record.Record) bool { return r.Entry.Kind() == entry.KindSetting })
}

// question answers a question of the technician.
func (s *Session) question(q entry.Question, j *diagnose.Job) string {
	records, d := j.Records(), j.Diagnosis()
	switch q.Question {
	case "next":
		return whatNext(d)
	case "fault":
		return claim.Answer(d)
	case "read_back":
		return readBack(records)
	case "missing":
		return missing(j)
	case "margin":
		return margin(q, d)
	case "explain":
		return strings.Join(j.Explanation(), " ")
	case "history":
		return call.HistoryText(s.Options.History, records)
	case "aim":
		return call.AimText(records, q.Slot)
	}
	return "That cannot be answered here."
}

// whatNext says what to do first, then why.
func whatNext(d claim.Diagnosis) string {
	n := d.Next
	if n == nil || n.Text == "" {
		return claim.Answer(d)
	}
	if n.Why == "" || strings.Contains(n.Text, strings.TrimPrefix(n.Why, "read again: ")) || sentence(n.Why) == n.Text {
		return n.Text
	}
	return n.Text + " " + sentence(n.Why)
}

// readBack says the readings that count, the newest first, three at most.
func readBack(records []record.Record) string {
	current := record.Current(records)
	var said []string
	for i := len(current) - 1; i >= 0 && len(said) < 3; i-- {
		if current[i].Entry.Kind() == entry.KindReading {
			said = append(said, sentenceOf(current[i].Entry))
		}
	}
	if len(said) == 0 {
		return "No reading is kept yet."
	}
	return strings.Join(said, " ")
}

func missing(j *diagnose.Job) string {
	var names []string
	for _, step := range j.Plan() {
		if step.State == "missing" || step.State == "now" {
			names = append(names, strings.ReplaceAll(step.Step, "_", " "))
		}
	}
	if len(names) == 0 {
		return "Nothing is missing."
	}
	return "Missing: " + strings.Join(names, ", ") + "."
}

func margin(q entry.Question, d claim.Diagnosis) string {
	for i := len(d.Points) - 1; i >= 0; i-- {
		p := d.Points[i]
		if q.Point != nil && merged(p.Point, *q.Point) != p.Point {
			continue
		}
		if p.Margin != nil {
			return fmt.Sprintf("Margin at the %s: %.1f dB.", entry.SayPoint(p.Point), *p.Margin)
		}
	}
	return "No level is kept for that point."
}

// scratched names what a correction took back.
func scratched(correction record.Record, records []record.Record) string {
	var said []string
	for _, v := range record.View(records) {
		if v.SupersededBy == correction.Seq {
			said = append(said, entry.Say(v.Entry))
		}
	}
	if len(said) == 0 {
		return "Scratched."
	}
	return "Scratched: " + strings.Join(said, "; ") + "."
}
