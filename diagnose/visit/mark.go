package visit

import (
	"time"

	"downlead/grammar"
	"downlead/journal"
)

// Marks beyond those that belong to a job. Those of time without a job begin
// it; what is marked next, in whatever job, ends it. Reopened is no mark that
// is said: it is the reopening of the job, which begins another visit.
const (
	ShopTime     = "shop_time"
	BackAtShop   = "back_at_shop"
	MeetingTime  = "meeting"
	TrainingTime = "training"
	DayEnd       = "day_end"
	Reopened     = "reopened"
)

// Mark is a time that was logged for a job, as it counts now.
type Mark struct {
	Entry  int64
	Name   string // en_route arrived break_start break_end no_access departed, or one of the constants
	At     time.Time
	Zone   string // IANA name; "" when it is not known
	Source journal.TimeSource
	Was    []time.Time // the times it had before it was corrected, the oldest first
}

// WithoutJob reports that a mark's name is one of time without a job.
func WithoutJob(name string) bool {
	switch name {
	case ShopTime, BackAtShop, MeetingTime, TrainingTime, DayEnd:
		return true
	}
	return false
}

// Marks picks the marks that count from a view of one job's records, and its
// reopenings.
func Marks(view []journal.Viewed) []Mark {
	var out []Mark
	for i := range view {
		v := &view[i]
		if v.SupersededBy != 0 || v.Unconfirmed {
			continue
		}
		m := Mark{Entry: v.Seq, At: v.At, Zone: v.Zone, Source: v.TimeSource}
		switch e := v.Entry.(type) {
		case grammar.Time:
			m.Name = e.Mark
		case grammar.Job:
			if e.Verb != "reopen" {
				continue
			}
			m.Name = Reopened
		default:
			continue
		}
		out = append(out, m)
	}
	return out
}
