package closeout

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"downlead/diagnose/claim"
	"downlead/diagnose/level"
	"downlead/diagnose/trace"
	"downlead/diagnose/visit"
	"downlead/grammar/entry"
	"downlead/journal/record"
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
	if in.Diagnosis.Outcome.Code == "" { // read back from its machine form, which has no room for these
		o := claim.Outline(in.Records)
		in.Diagnosis.Outcome, in.Diagnosis.Repairs, in.Diagnosis.Pairs = o.Outcome, o.Repairs, o.Pairs
		in.Diagnosis.Rounds, in.Diagnosis.Worked = o.Rounds, o.Worked
		if in.Diagnosis.Claims == nil {
			in.Diagnosis.Claims = o.Claims
		}
	}
	b := Builder{
		C: Closeout{
			Schema: CloseoutSchema, Product: in.Version, AsOf: in.AsOf,
			Journal:  ChainHead{ID: in.ID, Head: in.Head.String(), Count: in.Count},
			Job:      in.Records[0].Job,
			Zone:     in.Records[0].Zone,
			Path:     in.Diagnosis.Path,
			Now:      in.Diagnosis.Points,
			Suspects: suspects(in.Diagnosis), Bracketed: bracketed(in.Diagnosis),
			Steps:    in.Steps,
			Cautions: in.Cautions, Explanation: in.Explanation,
			Counts: Counts{Records: len(in.Records)},
		},
		names: NewNamer(in.Diagnosis.Path),
		place: placement(in.Diagnosis.Points), rounds: in.Diagnosis.Rounds, worked: in.Diagnosis.Worked,
		zones: map[string]*time.Location{},
	}
	for _, r := range in.Records {
		b.C.Technician = cmp.Or(r.Technician, b.C.Technician)
		if r.Job != b.C.Job {
			return Closeout{}, fmt.Errorf("closeout: record %d is of job %q, not of %q", r.Seq, r.Job, b.C.Job)
		}
	}
	view := record.View(in.Records)
	b.limits(view)
	b.C.Recording = recording(in.Records)
	b.marks = visit.Marks(in.Records, view)
	for _, m := range b.marks {
		if m.Mark != visit.Reopened {
			b.C.Times = append(b.C.Times, m)
		}
	}
	for _, v := range view {
		b.add(v)
	}
	b.finish(in.Diagnosis)
	b.C.fill()
	return b.C, nil
}

// recording looks at all records, superseded ones too: their sound is kept
// until it is purged.
func recording(records []record.Record) Recording {
	var r Recording
	clips, purged := map[string]bool{}, map[string]bool{}
	for _, x := range records {
		if x.Clip != "" {
			clips[x.Clip] = true
		}
		switch e := x.Entry.(type) {
		case entry.Consent:
			r.Consent = "refused"
			if e.Given {
				r.Consent = "given"
			}
		case entry.Purge:
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

// Builder gathers a closeout while it walks the records.
type Builder struct {
	C      Closeout
	names  Namer
	place  map[int64]level.PointState
	rounds map[int64]int      // of readings, by seq
	worked map[int64][]string // what an action was done to, by seq
	zones  map[string]*time.Location
	marks  []visit.Mark // and reopenings

	settings trace.Settings
	reported string // "15:04", local
}

// placement maps the seq of a reading to where the diagnosis put it.
func placement(points []level.PointState) map[int64]level.PointState {
	m := map[int64]level.PointState{}
	for _, p := range points {
		for _, seq := range p.Entries {
			m[seq] = p
		}
	}
	return m
}

// suspects are what is likely at fault.
func suspects(d claim.Diagnosis) []Suspect {
	var out []Suspect
	for _, s := range d.Suspected() {
		out = append(out, Suspect(s))
	}
	return out
}

// bracketed are the elements within the brackets that are open.
func bracketed(d claim.Diagnosis) []string {
	var out []string
	for _, b := range d.Brackets {
		for _, id := range b.Elements {
			if !slices.Contains(out, id) {
				out = append(out, id)
			}
		}
	}
	return out
}

// local returns a record's time in its own zone, whole seconds.
func (b *Builder) local(r record.Record) time.Time {
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
func (b *Builder) limits(view []record.Viewed) {
	l := &b.C.Limits
	l.FloorDBm = entry.NewDecimal(-50, 0) // common practice, no source
	for _, v := range view {
		s, ok := v.Entry.(entry.Setting)
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
func (b *Builder) add(v record.Viewed) {
	c, at := &b.C, b.local(v.Record)
	if _, ok := v.Entry.(entry.Correction); ok {
		c.Counts.Corrections++
		return
	}
	if u, ok := v.Entry.(entry.Unparsed); ok && v.SupersededBy == 0 {
		c.Counts.Unparsed++
		c.Unparsed = append(c.Unparsed, Unparsed{Entry: v.Seq, Text: u.Text, Reason: "not understood"})
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
	case entry.Reading:
		c.Readings = append(c.Readings, b.reading(v.Seq, at, e))
	case entry.Action:
		c.Actions = append(c.Actions, Action{
			Entry: v.Seq, At: at, Action: e.Action, Element: e.Element, Number: e.Number,
			Quantity: e.Quantity, LengthFt: e.LengthFt, Cable: e.Cable, Text: b.names.action(e), On: b.worked[v.Seq],
		})
	case entry.Check:
		b.check(v.Seq, at, e)
	case entry.Time: // taken with the reopenings, in order of time
	case entry.Miles:
		c.Miles = Plus(c.Miles, e.Value)
	case entry.Code:
		units := e.Units
		if !units.Said() {
			units = entry.NewDecimal(1, 0)
		}
		c.Codes = append(c.Codes, Code{Entry: v.Seq, At: at, Code: e.Code, Units: units})
	case entry.Material:
		b.Material(v.Seq, e)
	default:
		b.circumstance(v.Seq, at, e)
	}
}

// circumstance takes the entries that say what the job is about.
func (b *Builder) circumstance(seq int64, at time.Time, e entry.Entry) {
	c := &b.C
	switch e := e.(type) {
	case entry.Job:
		b.job(at, e)
	case entry.Site:
		if e.Text != "" {
			c.Site.Address = e.Text
		}
		if e.Lat.Said() {
			c.Site.Lat, c.Site.Lon = e.Lat, e.Lon
		}
		if e.Reported != "" {
			b.reported = e.Reported
		}
	case entry.Photo:
		p := Photograph{Entry: seq, SHA256: e.SHA256, Name: e.Name, Remark: e.Remark}
		if e.At != nil {
			p.Point = b.names.Point(*e.At, "")
		}
		c.Photographs = append(c.Photographs, p)
	case entry.Sighting:
		c.Seen = append(c.Seen, Seen{Entry: seq, At: at, Kind: e.Kind(), What: e.Condition, Element: e.Element, Number: e.Number, Text: entry.Say(e), Remark: e.Remark, Room: e.Room})
	case entry.Symptom:
		s := Seen{Entry: seq, At: at, Kind: e.Kind(), What: e.Symptom, When: e.When, Text: entry.Say(e), Remark: e.Remark}
		if e.Point != nil {
			s.Element, s.Number, s.Room = e.Point.Element, e.Point.Number, e.Point.Room
		}
		c.Seen = append(c.Seen, s)
	case entry.Note:
		c.Notes = append(c.Notes, Note{Entry: seq, At: at, Text: e.Text, Rough: e.Rough})
	}
}

func (b *Builder) job(at time.Time, e entry.Job) {
	switch e.Verb {
	case "start":
		if b.C.Opened == nil {
			b.C.Opened = &at
		}
	case "complaint":
		b.C.Complaint = e.Text
	case "close":
		b.C.Closed, b.C.Reason = &at, plainReason(e.Text)
	case "rename":
		b.C.Closed, b.C.Reason = &at, "it is job "+e.Number
	case "reopen":
		b.C.Closed, b.C.Reason = nil, ""
	}
}

// plainReason is a reason without the word that only insists on closing.
func plainReason(said string) string {
	if rest, ok := strings.CutPrefix(said, "anyway"); ok && (rest == "" || strings.ContainsAny(rest[:1], ", ")) {
		return strings.TrimLeft(rest, ", ")
	}
	return said
}

func (b *Builder) reading(seq int64, at time.Time, e entry.Reading) Reading {
	r := Reading{
		Entry: seq, At: at, Point: e.Point, Said: e.Verdict, Level: e.Level, Strength: e.Strength,
		MER: e.MER, Volts: e.Volts, NoSignal: e.NoSignal, Slot: e.Slot, Transponder: e.Transponder,
		Polarity: e.Polarity, ActionsBefore: len(b.C.Actions), Round: b.rounds[seq], Assumed: e.Assumed,
	}
	if p, ok := b.place[seq]; ok {
		r.ID, r.Point = p.ID, p.Point
	}
	r.Name = b.names.Point(r.Point, r.ID)
	l := b.C.Limits
	threshold := l.Threshold
	for _, s := range l.Slots {
		if s.Slot == e.Slot {
			threshold = s.Threshold
		}
	}
	r.LevelMargin = minus(e.Level, l.FloorDBm)
	r.StrengthMargin = minus(e.Strength, threshold)
	r.Judged, _ = trace.VerdictOf(e, b.settings)
	r.Verdict = cmp.Or(r.Said, r.Judged)
	return r
}

// settings are the limits in the form that readings are judged by.
func (l Limits) settings() trace.Settings {
	s := trace.Settings{FloorDBm: l.FloorDBm.Float(), Threshold: l.Threshold.Float(), ThresholdFor: map[int]float64{}}
	for _, x := range l.Slots {
		s.ThresholdFor[x.Slot] = x.Threshold.Float()
	}
	return s
}

func (b *Builder) check(seq int64, at time.Time, e entry.Check) {
	k := Check{Entry: seq, At: at, Check: e.Check, Verdict: e.Verdict, Remark: e.Remark, Current: true}
	if e.Point != nil {
		k.Point = b.names.Point(e.At(), "")
	}
	for i, old := range b.C.Checks {
		if old.Check == k.Check && old.Point == k.Point {
			b.C.Checks[i].Current = false
		}
	}
	b.C.Checks = append(b.C.Checks, k)
}

func (b *Builder) Material(seq int64, e entry.Material) {
	for i := range b.C.Materials {
		m := &b.C.Materials[i]
		if m.Item == e.Item && m.Cable == e.Cable && m.LengthFt.Said() == e.LengthFt.Said() {
			m.Quantity += e.Quantity
			m.LengthFt = Plus(m.LengthFt, e.LengthFt)
			m.Entries = append(m.Entries, seq)
			return
		}
	}
	b.C.Materials = append(b.C.Materials, Material{
		Item: e.Item, Quantity: e.Quantity, LengthFt: e.LengthFt, Cable: e.Cable, Entries: []int64{seq},
	})
}
