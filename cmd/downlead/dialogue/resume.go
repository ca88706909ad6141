package dialogue

import (
	"context"

	"downlead/grammar/entry"
	"downlead/journal/record"
)

// resume puts the question about the job's last record again, where that
// record is still unconfirmed: the one who asked may have been another
// process, or this one before it was switched off.
func (s *Session) resume(ctx context.Context) error {
	records, err := s.records(ctx)
	if err != nil || len(records) == 0 {
		return err
	}
	view := record.View(records)
	last := view[len(view)-1]
	before := records[:len(records)-1]
	if !last.Unconfirmed && last.SupersededBy == 0 { // it counts, and something was asked beside it
		if again := s.place([]entry.Entry{last.Entry}, before, Phrase{Origin: last.Origin})[0]; again.ask != nil && !again.ask.blocks {
			again.ask.record = last.Record
			s.asked = []question{*again.ask}
		}
		if again, err := s.stillSo(ctx, []record.Record{last.Record}); err != nil || again != nil {
			if again != nil {
				s.asked = []question{*again}
			}
			return err
		}
		return nil
	}
	if last.SupersededBy != 0 {
		return nil
	}
	p := Phrase{Origin: last.Origin, Doubt: "it was not confirmed"}
	if last.Origin == record.Typed {
		p.Doubt = ""
	}
	if again, ok := closing([]entry.Entry{last.Entry}, before); ok {
		again.ask.record = last.Record
		s.asked = []question{*again.ask}
		return nil
	}
	if toldAt(last.Entry) != "" && p.Doubt == "" {
		again := halfQuestion(last.Entry)
		again.record = last.Record
		s.asked = []question{*again}
		return nil
	}
	if c, ok := last.Entry.(entry.Correction); ok && len(before) > 0 {
		again := askReach(c, reaches(c, before))
		again.record = last.Record
		s.asked = []question{*again}
		return nil
	}
	if again := s.place([]entry.Entry{last.Entry}, before, p)[0]; again.ask != nil {
		again.ask.record = last.Record
		s.asked = []question{*again.ask}
	}
	return nil
}
