package dialogue

import (
	"context"
	"strings"

	"downlead/grammar/entry"
)

// whole takes a phrase that says by itself nothing as the answer to what the
// one before it lacked: "I had lunch", "when was that?", "at noon". It holds
// from one command to the next, because the journal keeps what was lacking.
func (s *Session) whole(ctx context.Context, p Phrase) (Reply, bool, error) {
	if s.Job == "" {
		return Reply{}, false, nil
	}
	records, err := s.records(ctx)
	if err != nil || len(records) == 0 {
		return Reply{}, false, err
	}
	last := records[len(records)-1]
	u, ok := last.Entry.(entry.Unparsed)
	if !ok || !strings.Contains(u.Reason, "? ") || taken(records, last.Seq) {
		return Reply{}, false, nil
	}
	for _, join := range []string{" ", " at ", " to ", " with ", " from "} {
		entries, err := s.Parser.Parse(u.Text + join + p.Text)
		if err != nil {
			continue
		}
		p.Text = u.Text + join + p.Text
		r, err := s.take(ctx, p, entries)
		if err == nil {
			_, err = s.append(ctx, p, entry.Correction{Verb: "scratch", Entry: last.Seq})
		}
		return r, true, err
	}
	return Reply{}, false, nil
}
