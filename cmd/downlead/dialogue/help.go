package dialogue

import (
	"context"
	"fmt"
	"strings"

	"downlead/grammar"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// Help says what can be said now: the answer to a question that is open, a
// job's beginning where none is, else an example of each thing said most.
func (s *Session) Help() string {
	if text, _ := s.Open(); text != "" {
		return text + " Answer that, or say: never mind."
	}
	if s.Job == "" {
		return HelpFirst()
	}
	var out []string
	for _, t := range grammar.Guide() {
		switch t.Kind {
		case entry.KindReading, entry.KindAction, entry.KindMaterial, entry.KindCheck, entry.KindTime, entry.KindCorrection, entry.KindQuestion:
			out = append(out, t.Examples[0])
		}
	}
	return "You can say, for example: " + strings.Join(out, "; ") + ". To end: close job. All words are listed by: downlead words."
}

// HelpFirst says what can be said before any job is there.
func HelpFirst() string {
	return "No job is open. Say: start job, and its number, such as: start job four four one two. All words are listed by: downlead words."
}

// dropped answers "never mind" to a question: "no", where that answers it by
// nothing new, and else what was asked about is scratched. A verdict against
// its number stays as it was said: nobody said the opposite.
func (s *Session) dropped(ctx context.Context, p Phrase) (Reply, error) {
	q, no := s.asked[0], entry.Answer{No: true}
	if q.kind == askVerdict {
		r, err := s.close(ctx, p, no, nil)
		r.Text = strings.TrimSpace("Left as it was said. " + sentenceOf(q.record.Entry) + " " + r.Text)
		return r, err
	}
	if _, answers := q.settled(no); q.kind != askHalfDay && (answers || !q.blocks) {
		return s.settle(ctx, p, no)
	}
	return s.close(ctx, p, no, q.each("scratch"))
}

// leftOpen tells of the entry whose question was left, where a phrase would
// answer it too late: what is answered long after may be meant of another.
func (s *Session) leftOpen(ctx context.Context, p Phrase) (*Reply, error) {
	answer, err := s.Parser.ParseAnswer(p.Text)
	if err != nil || !answer.Yes && !answer.No {
		return nil, nil
	}
	records, err := s.records(ctx)
	if err != nil {
		return nil, err
	}
	view := record.View(records)
	for i := len(view) - 1; i >= 0; i-- {
		v := view[i]
		if !v.Unconfirmed || v.SupersededBy != 0 {
			continue
		}
		verb := "confirm entry"
		if answer.No {
			verb = "scratch entry"
		}
		r := refused(fmt.Sprintf("no question is open; entry %d, %s, was asked about before and counts for nothing yet", v.Seq, entry.Say(v.Entry)),
			fmt.Sprintf("%s %d", verb, v.Seq))
		return &r, nil
	}
	r := refused("no question is open that this would answer", "what next")
	return &r, nil
}
