package export

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"time"

	"downlead/grammar"
	"downlead/journal"
)

// QualitySchema names the version of the JSON form of a Quality.
const QualitySchema = "downlead/quality/1"

// QualityNote stands on every quality record.
const QualityNote = "Counts with 95 % Wilson intervals. Below 30 a percentage is not shown. Figures are about the record, not about a person."

// fixDays is how long a fix must hold unless the options say otherwise:
// common practice, no source.
const fixDays = 30

// leastForPercent is the least denominator with which a percentage is shown.
const leastForPercent = 30

// Quality is the record that a month is judged from.
type Quality struct {
	Schema  string    `json:"schema"`
	Note    string    `json:"note"`
	Product string    `json:"product"`
	AsOf    time.Time `json:"as_of"`
	Month   string    `json:"month"`
	From    time.Time `json:"from"`
	To      time.Time `json:"to"` // not part of the month
	FixDays int       `json:"fix_days"`
	Journal ChainHead `json:"journal"`

	Figures []Figure     `json:"figures"`
	Spreads []Spread     `json:"spreads"`
	Chart   PChart       `json:"chart"`
	Sample  Sample       `json:"sample"`
	Jobs    []QualityJob `json:"jobs"`
}

// Figure is one proportion with everything needed to judge it.
type Figure struct {
	Name        string      `json:"name"`
	Definition  string      `json:"definition"`
	Numerator   int         `json:"numerator"`
	Denominator int         `json:"denominator"`
	Window      string      `json:"window"`
	Excluded    []Exclusion `json:"excluded"`
	Pending     int         `json:"pending"` // not decided yet
	Low         float64     `json:"low"`     // 95 % Wilson interval
	High        float64     `json:"high"`
	Shown       string      `json:"shown"`
}

// Exclusion is a reason for which jobs were left out of a figure, and how many.
type Exclusion struct {
	Why string `json:"why"`
	N   int    `json:"n"`
}

// QualityJob is one job of the month.
type QualityJob struct {
	Job       string    `json:"job"`
	Closed    time.Time `json:"closed"`
	Outcome   Outcome   `json:"outcome"`
	Complete  bool      `json:"complete"`
	FirstTime string    `json:"first_time_fix"` // yes no pending left_out
	RepeatBy  string    `json:"repeat_by"`      // the later job at the site that undid the fix
	Margin    *float64  `json:"least_margin_db"`
	Sampled   bool      `json:"sampled"`
}

// QualityInput is what a month's quality is computed from.
type QualityInput struct {
	Closeouts []Closeout // of the month and of FixDays after it; others do no harm
	Month     string     // "2026-11"
	Zone      *time.Location
	FixDays   int    // 0: 30
	Lot       string // what is sampled: "" means the month
	Head      journal.Hash
	Count     int64
	Version   string
	AsOf      time.Time // decides which jobs are still pending; needed
}

// NewQuality computes a month's quality. A month without a closed job is an
// error: there is nothing to judge.
func NewQuality(in QualityInput) (Quality, error) {
	zone := in.Zone
	if zone == nil {
		zone = time.UTC
	}
	from, err := time.ParseInLocation("2006-01", in.Month, zone)
	if err != nil {
		return Quality{}, fmt.Errorf("quality: %q is not a month: write it as \"2026-11\"", in.Month)
	}
	if in.AsOf.IsZero() {
		return Quality{}, errors.New("quality: the as-of time is missing: it decides which jobs are still pending")
	}
	if in.FixDays < 0 {
		return Quality{}, fmt.Errorf("quality: %d days: a fix must hold for 0 days or more", in.FixDays)
	}
	if err := twice(in.Closeouts); err != nil {
		return Quality{}, fmt.Errorf("quality: %w", err)
	}
	q := Quality{
		Schema: QualitySchema, Note: QualityNote, Product: in.Version, AsOf: in.AsOf, Month: in.Month,
		From: from, To: from.AddDate(0, 1, 0), FixDays: cmp.Or(in.FixDays, fixDays),
		Journal: ChainHead{Head: in.Head.String(), Count: in.Count},
	}
	m := newMonth(in.Closeouts, q)
	if len(m.jobs) == 0 {
		return Quality{}, fmt.Errorf("quality: month %s: %w", in.Month, ErrNoJobs)
	}
	var numbers []string
	for _, c := range m.jobs {
		numbers = append(numbers, c.Job)
	}
	q.Sample = Draw(cmp.Or(in.Lot, in.Month), in.Head, numbers)
	q.Jobs = m.list(q.Sample)
	q.Figures = m.figures()
	q.Spreads = m.spreads()
	q.Chart = m.chart()
	return q, nil
}

// month holds the closed jobs of a month and every visit by site.
type month struct {
	q      Quality
	window string
	jobs   []Closeout
	sites  map[string][]Closeout // by folded address, in order of opening
	first  []string              // per job: yes no pending left_out, "" without an address
	repeat []string
	open   int // visits of the month that are not closed
}

func newMonth(all []Closeout, q Quality) *month {
	m := &month{q: q, sites: map[string][]Closeout{}}
	m.window = fmt.Sprintf("jobs closed from %s to %s", q.From.Format(time.DateOnly), q.To.AddDate(0, 0, -1).Format(time.DateOnly))
	for _, c := range all {
		if key := journal.SiteKey(c.Site.Address); key != "" {
			m.sites[key] = append(m.sites[key], c)
		}
		if c.Closed != nil && !c.Closed.Before(q.From) && c.Closed.Before(q.To) {
			m.jobs = append(m.jobs, c)
		}
		if at := visitAt(c); c.Closed == nil && !at.Before(q.From) && at.Before(q.To) {
			m.open++
		}
	}
	slices.SortFunc(m.jobs, func(a, b Closeout) int { return cmp.Or(a.Closed.Compare(*b.Closed), cmp.Compare(a.Job, b.Job)) })
	for _, visits := range m.sites {
		slices.SortFunc(visits, func(a, b Closeout) int { return cmp.Or(visitAt(a).Compare(visitAt(b)), cmp.Compare(a.Job, b.Job)) })
	}
	for _, c := range m.jobs {
		first, by := m.firstTime(c)
		m.first, m.repeat = append(m.first, first), append(m.repeat, by)
	}
	return m
}

// visitAt is when a visit began.
func visitAt(c Closeout) time.Time {
	at, _ := begins(c)
	if c.Opened != nil {
		at = *c.Opened
	}
	return at
}

// firstTime decides whether a job was a first-time fix, by the definition
// that stands at its figure.
func (m *month) firstTime(c Closeout) (answer, by string) {
	if c.Outcome == NoAccess {
		return "left_out", ""
	}
	key := journal.SiteKey(c.Site.Address)
	if key == "" {
		return "", ""
	}
	until := c.Closed.AddDate(0, 0, m.q.FixDays)
	if m.q.AsOf.Before(until) {
		return "pending", "" // failures too: counting them early would tilt the figure
	}
	for _, v := range m.sites[key] {
		at := visitAt(v)
		if v.Job != c.Job && at.After(*c.Closed) && at.Before(until) && v.Outcome != NoAccess && v.Outcome != NoFault {
			return "no", v.Job
		}
	}
	if c.Outcome != Fixed {
		return "no", ""
	}
	return "yes", ""
}

func (m *month) list(s Sample) []QualityJob {
	sampled := map[string]bool{}
	for _, j := range s.Jobs {
		sampled[j] = true
	}
	out := make([]QualityJob, len(m.jobs))
	for i, c := range m.jobs {
		j := QualityJob{
			Job: c.Job, Closed: *c.Closed, Outcome: c.Outcome, Complete: c.Complete,
			FirstTime: cmp.Or(m.first[i], "left_out"), RepeatBy: m.repeat[i], Sampled: sampled[c.Job],
		}
		for _, x := range proofMargins(c) {
			if j.Margin == nil || x < *j.Margin {
				j.Margin = &x
			}
		}
		out[i] = j
	}
	return out
}

// proofMargins returns the level margin, dB, of the last reading behind each
// receiver; of several at one receiver the least.
func proofMargins(c Closeout) []float64 {
	last := map[string]float64{}
	var order []string
	for _, p := range c.Points {
		r := p.Last()
		if p.Point.Element != grammar.Receiver || p.Point.Side == grammar.ReceiverSide || p.Stale || !r.LevelMargin.Said() {
			continue
		}
		key := p.ID + p.Name
		v, ok := last[key]
		if !ok {
			order = append(order, key)
		}
		if x := r.LevelMargin.Float(); !ok || x < v {
			last[key] = x
		}
	}
	out := make([]float64, len(order))
	for i, k := range order {
		out[i] = last[k]
	}
	return out
}
