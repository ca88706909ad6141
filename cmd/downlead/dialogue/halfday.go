package dialogue

import (
	"regexp"
	"slices"
	"time"

	"downlead/diagnose/visit"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// inOrder gives times that were told by a clock of twelve hours the half of
// the day that their order leaves: after midnight, "leaving was at eleven
// fifty" of a visit that began at nine in the evening is ten to twelve at
// night. Where both halves are possible the time stays as it was read.
func inOrder(p Phrase, entries []entry.Entry, before []record.Record) []entry.Entry {
	if p.Zone == "" || saysHalf().MatchString(p.Text) {
		return entries
	}
	out := slices.Clone(entries)
	for i, e := range out {
		switch e := e.(type) {
		case entry.Time:
			e.At = p.half(e.Mark, e.At, visit.Marks(before, record.View(before)))
			out[i] = e
		case entry.Correction:
			if e.At == "" {
				continue
			}
			view := slices.DeleteFunc(record.View(before), func(v record.Viewed) bool { return v.Seq == e.Entry })
			e.At = p.half(e.Mark, e.At, visit.Marks(before, view))
			out[i] = e
		}
	}
	return out
}

// saysHalf finds what names a half of the day.
func saysHalf() *regexp.Regexp {
	return regexp.MustCompile(`(?i)\b([ap]\.? ?m\b|morning|afternoon|evening|night|noon|midnight|0\d|1[3-9]:|2\d:)`)
}

// half is a told time, or the same twelve hours apart where that alone is
// later than the mark that it must follow and earlier than it was told.
func (p Phrase) half(mark, at string, marks []visit.Mark) string {
	clock, err := time.Parse("15:04", at)
	if err != nil {
		return at
	}
	other := clock.Add(12 * time.Hour).Format("15:04")
	happened := func(at string) time.Time {
		d := p.draft("", entry.Time{Mark: mark, At: at})
		return d.Happened()
	}
	a, b := happened(at), happened(other)
	var after time.Time
	for _, m := range marks {
		if slices.Contains(follows(mark), m.Mark) && m.At.After(after) && !m.At.After(p.At) && p.At.Sub(m.At) < 24*time.Hour {
			after = m.At
		}
	}
	if !after.IsZero() && a.Before(after) && !b.Before(after) && !b.After(p.At) {
		return other
	}
	return at
}

// follows are the marks of a visit that one cannot lie before.
func follows(mark string) []string {
	switch mark {
	case "arrived", "no_access":
		return []string{"en_route"}
	case "break_start":
		return []string{"arrived"}
	case "break_end":
		return []string{"break_start"}
	case "departed":
		return []string{"arrived", "break_end"}
	}
	return nil
}
