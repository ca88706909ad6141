package export

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"time"

	"downlead/diagnose"
	"downlead/diagnose/visit"
	"downlead/grammar"
	"downlead/journal"
)

// NewCloseout computes the closeout of one job. It fails on records of more
// than one job and on none; anything missing in the job is not an error but
// stands in the closeout's Open list.
func NewCloseout(in Input) (Closeout, error) {
	if len(in.Records) == 0 {
		return Closeout{}, errors.New("closeout: the job has no records")
	}
	if in.AsOf.IsZero() {
		in.AsOf = in.Records[len(in.Records)-1].At.UTC().Truncate(time.Second)
	}
	b := builder{
		c: Closeout{
			Schema: CloseoutSchema, Product: in.Version, AsOf: in.AsOf,
			Journal:  ChainHead{ID: in.ID, Head: in.Head.String(), Count: in.Count},
			Job:      in.Records[0].Job,
			Zone:     in.Records[0].Zone,
			Path:     in.Diagnosis.Path,
			Steps:    in.Steps,
			Cautions: in.Cautions, Explanation: in.Explanation,
			Counts: Counts{Records: len(in.Records)},
		},
		names: newNamer(in.Diagnosis.Path),
		place: placement(in.Diagnosis.Points),
		zones: map[string]*time.Location{},
	}
	for _, r := range in.Records {
		b.c.Technician = cmp.Or(r.Technician, b.c.Technician)
		if r.Job != b.c.Job {
			return Closeout{}, fmt.Errorf("closeout: record %d is of job %q, not of %q", r.Seq, r.Job, b.c.Job)
		}
	}
	view := journal.View(in.Records)
	b.limits(view)
	b.c.Recording = recording(in.Records)
	b.marks = visit.Marks(in.Records, view)
	for _, m := range b.marks {
		if m.Mark != visit.Reopened {
			b.c.Times = append(b.c.Times, m)
		}
	}
	for _, v := range view {
		b.add(v)
	}
	b.finish(in.Diagnosis)
	b.c.fill()
	return b.c, nil
}

// recording looks at all records, superseded ones too: their sound is kept
// until it is purged.
func recording(records []journal.Record) Recording {
	var r Recording
	clips, purged := map[string]bool{}, map[string]bool{}
	for _, x := range records {
		if x.Clip != "" {
			clips[x.Clip] = true
		}
		switch e := x.Entry.(type) {
		case grammar.Consent:
			r.Consent = "refused"
			if e.Given {
				r.Consent = "given"
			}
		case grammar.Purge:
			purged[e.Clip] = true
		}
	}
	r.Purged = len(purged)
	for clip := range clips {
		if !purged[clip] {
			r.Clips++
		}
	}
	return r
}

// builder gathers a closeout while it walks the records.
type builder struct {
	c     Closeout
	names namer
	place map[int64]diagnose.PointState
	zones map[string]*time.Location
	marks []visit.Mark // and reopenings

	settings diagnose.Settings
	reported string // "15:04", local
	reason   string // given when the job was closed
}

// placement maps the seq of a reading to where the diagnosis put it.
func placement(points []diagnose.PointState) map[int64]diagnose.PointState {
	m := map[int64]diagnose.PointState{}
	for _, p := range points {
		for _, seq := range p.Entries {
			m[seq] = p
		}
	}
	return m
}

// local returns a record's time in its own zone, whole seconds.
func (b *builder) local(r journal.Record) time.Time {
	at := r.At.Truncate(time.Second)
	if r.Zone == "" {
		return at
	}
	loc, ok := b.zones[r.Zone]
	if !ok {
		var err error
		if loc, err = time.LoadLocation(r.Zone); err != nil {
			loc = nil // an unknown zone: the record's own offset stands
		}
		b.zones[r.Zone] = loc
	}
	if loc == nil {
		return at
	}
	return at.In(loc)
}

// limits reads the settings first: readings are judged by the limits as last set.
func (b *builder) limits(view []journal.Viewed) {
	l := &b.c.Limits
	l.FloorDBm = grammar.NewDecimal(-50, 0) // common practice, no source
	for _, v := range view {
		s, ok := v.Entry.(grammar.Setting)
		if !ok || v.SupersededBy != 0 || v.Unconfirmed {
			continue
		}
		switch s.Name {
		case "floor_dbm":
			l.FloorDBm = s.Value
		case "threshold":
			if s.Slot == 0 {
				l.Threshold = s.Value
				continue
			}
			l.Slots = slices.DeleteFunc(l.Slots, func(x SlotLimit) bool { return x.Slot == s.Slot })
			l.Slots = append(l.Slots, SlotLimit{Slot: s.Slot, Threshold: s.Value})
		case "weather":
			l.Weather = s.Text
		case "temperature_f":
			l.TemperatureF = s.Value
		}
	}
	slices.SortFunc(l.Slots, func(a, b SlotLimit) int { return a.Slot - b.Slot })
	b.settings = l.settings()
}

// add takes one record into the closeout.
func (b *builder) add(v journal.Viewed) {
	c, at := &b.c, b.local(v.Record)
	if _, ok := v.Entry.(grammar.Correction); ok {
		c.Counts.Corrections++
		return
	}
	if u, ok := v.Entry.(grammar.Unparsed); ok && v.SupersededBy == 0 {
		c.Counts.Unparsed++
		c.Unparsed = append(c.Unparsed, Unparsed{Entry: v.Seq, Text: u.Text, Reason: u.Reason})
		return
	}
	switch {
	case v.SupersededBy != 0:
		c.Counts.Superseded++
		return
	case v.Unconfirmed:
		c.Counts.Unconfirmed++
		c.Unparsed = append(c.Unparsed, Unparsed{Entry: v.Seq, Text: v.Phrase, Reason: "heard but not confirmed; it counts for nothing"})
		return
	}
	switch e := v.Entry.(type) {
	case grammar.Reading:
		c.Readings = append(c.Readings, b.reading(v.Seq, at, e))
	case grammar.Action:
		c.Actions = append(c.Actions, Action{
			Entry: v.Seq, At: at, Action: e.Action, Element: e.Element, Number: e.Number,
			Quantity: e.Quantity, LengthFt: e.LengthFt, Text: b.names.action(e),
		})
	case grammar.Check:
		b.check(v.Seq, at, e)
	case grammar.Time: // taken with the reopenings, in order of time
	case grammar.Miles:
		c.Miles = plus(c.Miles, e.Value)
	case grammar.Code:
		units := e.Units
		if !units.Said() {
			units = grammar.NewDecimal(1, 0)
		}
		c.Codes = append(c.Codes, Code{Entry: v.Seq, At: at, Code: e.Code, Units: units})
	case grammar.Material:
		b.material(v.Seq, e)
	default:
		b.circumstance(v.Seq, at, e)
	}
}

// circumstance takes the entries that say what the job is about.
func (b *builder) circumstance(seq int64, at time.Time, e grammar.Entry) {
	c := &b.c
	switch e := e.(type) {
	case grammar.Job:
		b.job(at, e)
	case grammar.Site:
		if e.Text != "" {
			c.Site.Address = e.Text
		}
		if e.Lat.Said() {
			c.Site.Lat, c.Site.Lon = e.Lat, e.Lon
		}
		if e.Reported != "" {
			b.reported = e.Reported
		}
	case grammar.Photo:
		p := Photograph{Entry: seq, SHA256: e.SHA256, Name: e.Name, Remark: e.Remark}
		if e.At != nil {
			p.Point = b.names.point(*e.At, "")
		}
		c.Photographs = append(c.Photographs, p)
	case grammar.Note:
		c.Notes = append(c.Notes, Note{Entry: seq, At: at, Text: e.Text, Rough: e.Rough})
	}
}

func (b *builder) job(at time.Time, e grammar.Job) {
	switch e.Verb {
	case "start":
		if b.c.Opened == nil {
			b.c.Opened = &at
		}
	case "complaint":
		b.c.Complaint = e.Text
	case "close":
		b.c.Closed, b.reason = &at, e.Text
	case "reopen":
		b.c.Closed, b.reason = nil, ""
	}
}

func (b *builder) reading(seq int64, at time.Time, e grammar.Reading) Reading {
	r := Reading{
		Entry: seq, At: at, Point: e.Point, Said: e.Verdict, Level: e.Level, Strength: e.Strength,
		MER: e.MER, Volts: e.Volts, NoSignal: e.NoSignal, Slot: e.Slot, Transponder: e.Transponder,
		Polarity: e.Polarity, ActionsBefore: len(b.c.Actions), Assumed: e.Assumed,
	}
	if p, ok := b.place[seq]; ok {
		r.ID, r.Point = p.ID, p.Point
	}
	r.Name = b.names.point(r.Point, r.ID)
	l := b.c.Limits
	threshold := l.Threshold
	for _, s := range l.Slots {
		if s.Slot == e.Slot {
			threshold = s.Threshold
		}
	}
	r.LevelMargin = minus(e.Level, l.FloorDBm)
	r.StrengthMargin = minus(e.Strength, threshold)
	r.Judged, _ = diagnose.VerdictOf(e, b.settings)
	r.Verdict = cmp.Or(r.Said, r.Judged)
	return r
}

// settings are the limits in the form that readings are judged by.
func (l Limits) settings() diagnose.Settings {
	s := diagnose.Settings{FloorDBm: l.FloorDBm.Float(), Threshold: l.Threshold.Float(), ThresholdFor: map[int]float64{}}
	for _, x := range l.Slots {
		s.ThresholdFor[x.Slot] = x.Threshold.Float()
	}
	return s
}

func (b *builder) check(seq int64, at time.Time, e grammar.Check) {
	k := Check{Entry: seq, At: at, Check: e.Check, Verdict: e.Verdict, Remark: e.Remark, Current: true}
	if e.Point != nil {
		k.Point = b.names.point(*e.Point, "")
	}
	for i, old := range b.c.Checks {
		if old.Check == k.Check && old.Point == k.Point {
			b.c.Checks[i].Current = false
		}
	}
	b.c.Checks = append(b.c.Checks, k)
}

func (b *builder) material(seq int64, e grammar.Material) {
	for i := range b.c.Materials {
		m := &b.c.Materials[i]
		if m.Item == e.Item && m.LengthFt.Said() == e.LengthFt.Said() {
			m.Quantity += e.Quantity
			m.LengthFt = plus(m.LengthFt, e.LengthFt)
			m.Entries = append(m.Entries, seq)
			return
		}
	}
	b.c.Materials = append(b.c.Materials, Material{
		Item: e.Item, Quantity: e.Quantity, LengthFt: e.LengthFt, Entries: []int64{seq},
	})
}
