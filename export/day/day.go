package day

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"time"

	"downlead/diagnose"
	"downlead/diagnose/visit"
	"downlead/export/closeout"
	"downlead/export/pay"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// Schema names the version of the JSON form of a Day. Members are only ever
// added to a version.
const Schema = "downlead/day/1"

// ErrEmpty is returned for a day on which nothing was logged.
var ErrEmpty = errors.New("nothing was logged on it")

// Day is the record of one day by one technician's journal.
type Day struct {
	Schema     string    `json:"schema"`
	Product    string    `json:"product"`
	AsOf       time.Time `json:"as_of"`
	Technician string    `json:"technician,omitempty"`
	Date       string    `json:"date"` // 2026-11-18
	Zone       string    `json:"zone"`

	Jobs    []Job              `json:"jobs"`
	Times   []Stretch          `json:"times"` // in order, without overlap
	Totals  Totals             `json:"totals"`
	Miles   entry.Decimal      `json:"miles"` // null where none were said
	Used    []Part             `json:"used"`
	Restock []Part             `json:"restock"`
	Left    []Left             `json:"left"`
	Journal closeout.ChainHead `json:"journal"`
}

// Job is one job's part of the day.
type Job struct {
	Job     string           `json:"job"`
	Site    string           `json:"site,omitempty"`
	Outcome closeout.Outcome `json:"outcome"` // as the job stands now
	Closed  bool             `json:"closed"`
	Totals  Totals           `json:"totals"`
	Miles   entry.Decimal    `json:"miles"`
}

// Stretch is one interval of the day.
type Stretch struct {
	What    visit.Kind `json:"what"`
	Job     string     `json:"job,omitempty"`
	From    time.Time  `json:"from"`
	To      time.Time  `json:"to"`
	Seconds int64      `json:"seconds"`
}

// Totals are seconds by what they were spent on.
type Totals struct {
	Site   int64 `json:"on_site_s"`
	Travel int64 `json:"travel_s"`
	Break  int64 `json:"break_s"`
	Other  int64 `json:"other_s"` // the shop, meetings, training
	Gap    int64 `json:"gap_s"`   // between two of these, and nothing was marked
}

func (t *Totals) add(s Stretch) {
	switch s.What {
	case visit.Site:
		t.Site += s.Seconds
	case visit.Travel:
		t.Travel += s.Seconds
	case visit.Break:
		t.Break += s.Seconds
	case visit.Gap:
		t.Gap += s.Seconds
	default:
		t.Other += s.Seconds
	}
}

// Part is material of the day, summed. What was not said to be used, and was
// put in by a repair that was logged, has Said false.
type Part struct {
	Item     string        `json:"item"`
	Quantity int           `json:"quantity"`
	LengthFt entry.Decimal `json:"length_ft"`
	Said     bool          `json:"said"`
	Jobs     []string      `json:"jobs"`
}

// Input is what a day is computed from.
type Input struct {
	Jobs    []*diagnose.Job // any number; those without anything on the day are left out. Time without a job is that of the job ""
	Date    time.Time       // any time of the day, in the zone where it begins and ends
	Version string
	AsOf    time.Time
	Journal closeout.ChainHead
}

// New makes the record of a day.
func New(in Input) (Day, error) {
	y, m, d := in.Date.Date()
	zone := in.Date.Location()
	b := builder{from: time.Date(y, m, d, 0, 0, 0, 0, zone), to: time.Date(y, m, d+1, 0, 0, 0, 0, zone)}
	b.day = Day{
		Schema: Schema, Product: in.Version, AsOf: in.AsOf.Truncate(time.Second), Date: b.from.Format(time.DateOnly), Zone: zone.String(), Journal: in.Journal,
		Jobs: []Job{}, Times: []Stretch{}, Used: []Part{}, Restock: []Part{}, Left: []Left{},
	}
	var all []visit.Visit
	works := make([]pay.Work, len(in.Jobs))
	for i, j := range in.Jobs {
		works[i] = pay.NewWork(j.Records())
		all = append(all, visit.Of(works[i].Job, works[i].Marks)...)
	}
	b.time = visit.Union(all, zone)
	for _, x := range b.time.Intervals {
		if x, ok := x.Within(b.from, b.to); ok {
			s := Stretch{What: x.Kind, Job: x.Job, From: x.Start.In(zone), To: x.End.In(zone), Seconds: int64(x.Long() / time.Second)}
			b.day.Times = append(b.day.Times, s)
			b.day.Totals.add(s)
		}
	}
	for i, j := range in.Jobs {
		if err := b.job(j, works[i]); err != nil {
			return Day{}, err
		}
	}
	if len(b.day.Jobs) == 0 && len(b.day.Times) == 0 {
		return Day{}, fmt.Errorf("%s: %w", b.day.Date, ErrEmpty)
	}
	b.restock()
	return b.day, nil
}

// builder gathers a day.
type builder struct {
	from, to time.Time
	time     visit.Time
	day      Day
	unsaid   []Part // put in by repairs
}

// has reports that a time is of the day.
func (b *builder) has(at time.Time) bool { return !at.Before(b.from) && at.Before(b.to) }

// job takes one job, where something of it is of the day.
func (b *builder) job(j *diagnose.Job, w pay.Work) error {
	records := j.Records()
	if len(records) == 0 || records[0].Job == "" || record.MovedTo(j.Current()) != "" {
		return nil
	}
	row := Job{Job: w.Job}
	touched := false
	for _, r := range j.Current() {
		if _, asked := r.Entry.(entry.Question); !asked && b.has(r.Happened()) {
			touched = true
			b.day.Technician = cmp.Or(r.Technician, b.day.Technician)
		}
	}
	for _, s := range b.day.Times {
		if s.Job == w.Job && s.What != visit.Gap {
			row.Totals.add(s)
			touched = true
		}
	}
	if !touched {
		return nil
	}
	for _, d := range w.Miles {
		if b.has(d.At) {
			row.Miles = closeout.Plus(row.Miles, d.Miles)
		}
	}
	b.day.Miles = closeout.Plus(b.day.Miles, row.Miles)
	c, err := closeout.NewCloseout(closeout.Input{Records: records, Diagnosis: j.Diagnosis(), Steps: j.Plan()})
	if err != nil {
		return err
	}
	row.Site, row.Outcome, row.Closed = c.Site.Address, c.Outcome, c.Closed != nil
	b.day.Jobs = append(b.day.Jobs, row)
	b.used(w, c)
	b.left(j, c)
	return nil
}

// used sums the materials of a job on the day, and what its repairs put in
// beyond them.
func (b *builder) used(w pay.Work, c closeout.Closeout) {
	said := map[string]int{}
	for _, u := range w.Materials {
		if b.has(u.At) {
			m := u.Material
			p := Part{Item: m.Item, Quantity: max(1, m.Quantity), LengthFt: m.LengthFt, Said: true, Jobs: []string{w.Job}}
			b.day.Used = sum(b.day.Used, p)
			said[m.Item] += p.Quantity
		}
	}
	for _, a := range c.Actions {
		if !b.has(a.At) || a.Action != "replaced" && a.Action != "added" || a.Element == "" {
			continue
		}
		item, n := string(a.Element), max(1, a.Quantity)
		have := min(n, said[item])
		said[item] -= have
		if n > have {
			b.unsaid = sum(b.unsaid, Part{Item: item, Quantity: n - have, LengthFt: a.LengthFt, Jobs: []string{w.Job}})
		}
	}
}

// restock is what the van is short of: what was used, and what repairs put in.
func (b *builder) restock() {
	for _, p := range append(slices.Clone(b.day.Used), b.unsaid...) {
		b.day.Restock = sum(b.day.Restock, p)
	}
}

// sum adds a part to those of its kind.
func sum(parts []Part, p Part) []Part {
	for i := range parts {
		x := &parts[i]
		if x.Item != p.Item || x.LengthFt.Said() != p.LengthFt.Said() || x.Said != p.Said {
			continue
		}
		x.Quantity += p.Quantity
		x.LengthFt = closeout.Plus(x.LengthFt, p.LengthFt)
		for _, job := range p.Jobs {
			if !slices.Contains(x.Jobs, job) {
				x.Jobs = append(slices.Clone(x.Jobs), job)
			}
		}
		return parts
	}
	return append(parts, p)
}
