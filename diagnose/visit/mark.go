package visit

import (
	"slices"
	"time"

	"downlead/grammar/entry"
	"downlead/journal/record"
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
	Entry  int64             `json:"entry"`
	Mark   string            `json:"mark"` // en_route arrived break_start break_end no_access departed, or one of the constants
	At     time.Time         `json:"at"`
	Zone   string            `json:"zone"` // IANA name; "" when it is not known
	Source record.TimeSource `json:"source"`
	Was    []time.Time       `json:"was,omitempty"` // the time that was logged first, where it was another
}

// WithoutJob reports that a mark's name is one of time without a job.
func WithoutJob(name string) bool {
	switch name {
	case ShopTime, BackAtShop, MeetingTime, TrainingTime, DayEnd:
		return true
	}
	return false
}

// Marks picks the marks that count from one job's records and their view, and
// its reopenings. A time that was told is the time of its mark; one that was
// put right keeps beside it the time that was logged first.
func Marks(records []record.Record, view []record.Viewed) []Mark {
	var out []Mark
	for i := range view {
		v := &view[i]
		if v.SupersededBy != 0 || v.Unconfirmed {
			continue
		}
		m := Mark{Entry: v.Seq, At: local(v.Happened(), v.Zone), Zone: v.Zone, Source: v.TimeSource}
		switch e := v.Entry.(type) {
		case entry.Time:
			m.Mark = e.Mark
			if len(v.CorrectedBy) > 0 {
				m.Was = logged(records, v.Seq, m)
			}
		case entry.Job:
			if e.Verb != "reopen" {
				continue
			}
			m.Mark = Reopened
		default:
			continue
		}
		out = append(out, m)
	}
	return out
}

// logged is the time at which a mark that was corrected was logged first; none
// where that is the time it has, where the entry was no time mark, and where it
// was only asked about: it never counted.
func logged(records []record.Record, seq int64, now Mark) []time.Time {
	i := slices.IndexFunc(records, func(r record.Record) bool { return r.Seq == seq })
	if i < 0 {
		return nil
	}
	at := local(records[i].Happened(), records[i].Zone)
	if _, ok := records[i].Entry.(entry.Time); !ok || at.Equal(now.At) || records[i].Unconfirmed {
		return nil
	}
	return []time.Time{at}
}

// local returns a time in its own zone, whole seconds. An unknown zone leaves
// the record's own offset.
func local(at time.Time, zone string) time.Time {
	at = at.Truncate(time.Second)
	if zone == "" || at.Location().String() == zone {
		return at
	}
	if loc, err := time.LoadLocation(zone); err == nil {
		return at.In(loc)
	}
	return at
}
