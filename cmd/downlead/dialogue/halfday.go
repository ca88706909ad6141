package dialogue

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"

	"downlead/diagnose/visit"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

// inOrder gives times that were told by a clock of twelve hours the half of
// the day that their order leaves: after midnight, "leaving was at eleven
// fifty" of a visit that began at nine in the evening is ten to twelve at
// night. Where both halves are possible the time stays as it was read, and
// askHalf decides whether it is asked about.
func inOrder(p Phrase, entries []entry.Entry, before []record.Record) []entry.Entry {
	if p.Zone == "" || saysHalf().MatchString(p.Text) {
		return entries
	}
	out := slices.Clone(entries)
	marks := visit.Marks(before, record.View(before))
	var own []visit.Mark // of the phrase
	for i, e := range out {
		switch e := e.(type) {
		case entry.Time:
			e.At = p.half(e.Mark, e.At, marks, own)
			out[i] = e
			own = append(own, visit.Mark{Mark: e.Mark, At: p.happened(e.At)})
		case entry.Correction:
			if e.At == "" {
				continue
			}
			view := slices.DeleteFunc(record.View(before), func(v record.Viewed) bool { return v.Seq == e.Entry })
			e.At = p.half(e.Mark, e.At, visit.Marks(before, view), nil)
			out[i] = e
		}
	}
	return out
}

// saysHalf finds what names a half of the day, or an hour by a clock of 24.
func saysHalf() *regexp.Regexp {
	return regexp.MustCompile(`(?i)\b([ap]\.? ?m\b|morning|afternoon|evening|night|tonight|noon|midnight|hundred\b|hours\b|0\d|(1[3-9]|2\d):?[0-5]\d|` +
		`(at|from|to|till|until|since|was) (thirteen|fourteen|fifteen|sixteen|seventeen|eighteen|nineteen|twenty)\b)`)
}

// half is a told time, or the same twelve hours apart where that alone is
// later than the mark that it must follow and earlier than it was told.
func (p Phrase) half(mark, at string, marks, own []visit.Mark) string {
	if at == "" {
		return at
	}
	other := flipped(at)
	a, b := p.happened(at), p.happened(other)
	after := p.after(mark, marks, own)
	if !after.IsZero() && a.Before(after) && !b.Before(after) && !b.After(p.At) {
		return other
	}
	return at
}

func (p Phrase) happened(at string) time.Time {
	d := p.draft("", entry.Time{At: at})
	return d.Happened()
}

// after is the last mark that one of a name cannot lie before, one of the same
// phrase where there is one; the zero time where there is none.
func (p Phrase) after(mark string, marks, own []visit.Mark) time.Time {
	if slices.ContainsFunc(own, func(m visit.Mark) bool { return slices.Contains(follows(mark), m.Mark) }) {
		marks = own
	}
	var after time.Time
	for _, m := range marks {
		if slices.Contains(follows(mark), m.Mark) && m.At.After(after) && !m.At.After(p.At) && p.At.Sub(m.At) < 24*time.Hour {
			after = m.At
		}
	}
	return after
}

// askHalf asks once about told times that the order of the marks leaves open:
// "got here at eight ten", said at a quarter past eight in the evening, is five
// minutes ago or twelve hours more. The nearer one is stored, unconfirmed.
func (s *Session) askHalf(ctx context.Context, p Phrase, phrase []placed, before []record.Record) error {
	if p.Zone == "" || saysHalf().MatchString(p.Text) {
		return nil
	}
	marks := visit.Marks(before, record.View(before))
	var own []visit.Mark // of the phrase
	asked := false
	for i, e := range phrase {
		if of, err := s.ofNoJob(ctx, &p, s.Job, e.entry); of || err != nil {
			return err // time without a job: its marks follow each other closely
		}
		near, open := "", false
		switch t := e.entry.(type) {
		case entry.Time:
			if near, open = p.halfOpen(t.Mark, t.At, marks, own); open && e.ask == nil {
				t.At = near
				phrase[i].entry, phrase[i].ask = t, halfQuestion(t)
			}
			own = append(own, visit.Mark{Mark: t.Mark, At: p.happened(t.At)})
		case entry.Correction:
			if near, open = p.halfOpen(t.Mark, t.At, marks, own); open && e.ask == nil {
				t.At = near
				phrase[i].entry, phrase[i].ask = t, halfQuestion(t)
			}
		}
		if ask := phrase[i].ask; ask != nil && ask.kind == askHalfDay {
			if asked {
				ask.text = "" // together with the first
			}
			asked = true
		}
	}
	return nil
}

// halfOpen reports that a told time may be of either half of the day, and
// gives the nearer: as it was read it lies half a day back or more, or is yet
// to come although the visit had begun by the other.
func (p Phrase) halfOpen(mark, at string, marks, own []visit.Mark) (near string, open bool) {
	if at == "" {
		return "", false
	}
	other := flipped(at)
	a, b := p.happened(at), p.happened(other)
	if b.After(p.At) {
		return "", false
	}
	after := p.after(mark, marks, own)
	return other, p.At.Sub(a) >= 12*time.Hour || a.After(p.At) && !after.IsZero() && !b.Before(after)
}

// unshown says that a told time was on no clock that night, or on it twice: the
// clocks went forward or back. "" where there is nothing to say.
func (p Phrase) unshown(phrase []placed) string {
	for _, e := range phrase {
		at := toldAt(e.entry)
		if at == "" || p.Zone == "" {
			continue
		}
		when := p.happened(at)
		clock, _ := time.Parse("15:04", at)
		wall := time.Date(when.Year(), when.Month(), when.Day(), clock.Hour(), clock.Minute(), 0, 0, time.UTC)
		var changed *journal.LocalTimeError
		switch _, err := journal.LocalTime(wall, when.Location()); {
		case !errors.As(err, &changed):
		case changed.Twice:
			return fmt.Sprintf("the clocks went back that night and showed %s twice: say which by a line of notes for downlead import, as: %s leaving, or %s leaving",
				at, changed.Earlier.Format(time.RFC3339), changed.Later.Format(time.RFC3339))
		default:
			return fmt.Sprintf("there was no %s that night, the clocks went forward: say the time that they showed", at)
		}
	}
	return ""
}

// halfQuestion asks for the half of the day of a told time, stored as the
// nearer one.
func halfQuestion(e entry.Entry) *question {
	at := toldAt(e)
	if c, ok := e.(entry.Correction); ok && c.Mark != "" {
		e = entry.Time{Mark: c.Mark, At: at}
	}
	return &question{
		kind: askHalfDay, blocks: true,
		text: sentence(strings.TrimSuffix(entry.Say(e), ".")+", "+halfName(at)) + " Is that right? If not, it was " + flipped(at) + ", " + halfName(flipped(at)) + ".",
	}
}

func toldAt(e entry.Entry) string {
	switch e := e.(type) {
	case entry.Time:
		return e.At
	case entry.Correction:
		return e.At
	}
	return ""
}

// flipped is a time of the clock twelve hours on.
func flipped(at string) string {
	clock, err := time.Parse("15:04", at)
	if err != nil {
		return at
	}
	return clock.Add(12 * time.Hour).Format("15:04")
}

// halfName names the part of the day in which a time of the clock lies.
func halfName(at string) string {
	switch {
	case at < "04:00":
		return "at night"
	case at < "12:00":
		return "in the morning"
	case at < "18:00":
		return "in the afternoon"
	case at < "22:00":
		return "in the evening"
	}
	return "at night"
}

// halfNamed takes words that name a half of the day, or the time by a clock of
// 24 hours, for the answer to the question about it.
func (s *Session) halfNamed(p Phrase) (a entry.Answer, ok bool) {
	if len(s.asked) == 0 || s.asked[0].kind != askHalfDay {
		return a, false
	}
	at := toldAt(s.asked[0].record.Entry)
	words := strings.Fields(strings.ToLower(strings.Trim(p.Text, " .!")))
	if len(words) == 0 || len(words) > 5 {
		return a, false
	}
	early := at
	if at >= "12:00" {
		early = flipped(at)
	}
	for i, w := range words {
		switch {
		case w == "morning", w == "am", w == "a.m", w == early, w == "m" && i > 0 && words[i-1] == "a":
			return entry.Answer{Yes: at == early, No: at != early}, true
		case w == "afternoon", w == "evening", w == "pm", w == "p.m", w == flipped(early), w == "m" && i > 0 && words[i-1] == "p":
			return entry.Answer{Yes: at != early, No: at == early}, true
		}
	}
	return a, false
}

// otherHalves says the told times of the phrase asked about in the other half
// of the day.
func (q question) otherHalves() []entry.Entry {
	var out []entry.Entry
	for _, r := range append([]record.Record{q.record}, q.with...) {
		switch e := r.Entry.(type) {
		case entry.Time:
			e.At = flipped(e.At)
			out = append(out, entry.Correction{Verb: "change", Entry: r.Seq, Replace: []entry.Entry{e}})
		case entry.Correction:
			e.At = flipped(e.At)
			out = append(out, entry.Correction{Verb: "scratch", Entry: r.Seq}, e)
		}
	}
	return out
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
