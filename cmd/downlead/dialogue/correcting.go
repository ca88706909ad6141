package dialogue

import (
	"slices"
	"strings"

	"downlead/grammar/entry"
	"downlead/journal/record"
)

// correcting settles what a correction reaches, and asks where it is more than
// the last reading.
func (s *Session) correcting(c entry.Correction, before []record.Record) (entry.Correction, *question, string) {
	if len(before) == 0 {
		return c, nil, "There is nothing to correct."
	}
	last := before[len(before)-1]
	if c.Entry != 0 || c.Verb == "confirm" {
		return c, nil, ""
	}
	if u, ok := last.Entry.(entry.Unparsed); ok && !taken(before, last.Seq) {
		if c.Verb == "scratch" && c.Count <= 1 {
			c.Entry, c.Count = last.Seq, 0
			return c, nil, ""
		}
		if c.Verb == "change" && c.Point != nil && c.Point.Element != "" && (c.Level.Said() || c.Verdict != "") {
			r := entry.Reading{Point: *c.Point, Verdict: c.Verdict, Level: c.Level, Strength: c.Strength, NoSignal: c.NoSignal}
			whole, missing := entry.Complete(r, nil)
			if missing == "" {
				return entry.Correction{Verb: "change", Entry: last.Seq, Replace: []entry.Entry{whole}}, nil, ""
			}
		}
		_ = u
	}
	reached := reaches(c, before)
	if len(reached) == 0 {
		return c, nil, "There is nothing to " + verbOf(c) + "."
	}
	reading := reached[0].Entry.Kind() == entry.KindReading
	near := reached[0].Seq == last.Seq || samePhrase(reached[0].Record, last)
	if len(reached) == 1 {
		c.Entry, c.Count = reached[0].Seq, 0
	}
	if len(reached) == 1 && (reading && (near || c.Verb == "change") || c.At != "") {
		return c, nil, ""
	}
	return c, askReach(c, reached), ""
}

// askReach asks whether a correction is of what it reaches.
func askReach(c entry.Correction, reached []record.Viewed) *question {
	names := make([]string, len(reached))
	for i, r := range reached {
		names[i] = entry.Say(r.Entry)
	}
	return &question{kind: askWords, blocks: true, text: strings.ToUpper(verbOf(c)[:1]) + verbOf(c)[1:] + ": " + strings.Join(names, "; ") + "?"}
}

func verbOf(c entry.Correction) string {
	if c.Verb == "scratch" {
		return "scratch"
	}
	return "change"
}

// taken reports that a record was taken back.
func taken(records []record.Record, seq int64) bool {
	for _, v := range record.View(records) {
		if v.Seq == seq && v.SupersededBy != 0 {
			return true
		}
	}
	return false
}

func samePhrase(a, b record.Record) bool { return a.Phrase == b.Phrase && a.At.Equal(b.At) }

// reaches are the entries that a correction without a number would change, the
// newest first: found by trying it.
func reaches(c entry.Correction, before []record.Record) []record.Viewed {
	n := before[len(before)-1]
	trial := n
	trial.Seq, trial.Unconfirmed, trial.Entry = n.Seq+1, false, c
	view := record.View(append(slices.Clone(before), trial))
	var out []record.Viewed
	was := map[int64]record.Viewed{}
	for _, v := range record.View(before) {
		was[v.Seq] = v
	}
	for i := len(view) - 1; i >= 0; i-- {
		v := view[i]
		if v.SupersededBy == trial.Seq || slices.Contains(v.CorrectedBy, trial.Seq) {
			out = append(out, was[v.Seq])
		}
	}
	return out
}
