package quality

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"time"

	"downlead/export/closeout"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// QualitySchema names the version of the JSON form of a Quality.
const QualitySchema = "downlead/quality/1"

// QualityNote stands on every quality record.
const QualityNote = "Counts with 95 % Wilson intervals. Below 30 a percentage is not shown. Figures are about the record, not about a person."

// FixDays is how long a fix must hold unless the options say otherwise:
// common practice, no source.
const FixDays = 30

// leastForPercent is the least denominator with which a percentage is shown.
const leastForPercent = 30

// Quality is the record that a month is judged from.
type Quality struct {
	Schema  string             `json:"schema"`
	Note    string             `json:"note"`
	Product string             `json:"product"`
	AsOf    time.Time          `json:"as_of"`
	Month   string             `json:"month"`
	From    time.Time          `json:"from"`
	To      time.Time          `json:"to"` // not part of the month
	FixDays int                `json:"fix_days"`
	Journal closeout.ChainHead `json:"journal"`
	Team    []Member           `json:"team,omitempty"` // the journals, where it is of a team; Journal is then over them all

	Figures []Figure     `json:"figures"`
	Spreads []Spread     `json:"spreads"`
	Chart   PChart       `json:"chart"`
	Sample  Sample       `json:"sample"`
	Jobs    []QualityJob `json:"jobs"`
}

// Member is one technician of a team, with the journal at hand.
type Member struct {
	Technician string             `json:"technician"`
	Journal    closeout.ChainHead `json:"journal"`
}

// Figure is one proportion with everything needed to judge it.
type Figure struct {
	Name        string      `json:"name"`
	Title       string      `json:"title"` // what the figure is, in words
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

// QualityJob is one visit of the month.
type QualityJob struct {
	Job       string           `json:"job"`
	Whose     string           `json:"whose,omitempty"`   // where several journals are judged together
	Journal   string           `json:"journal,omitempty"` // its own UUID
	Visit     int              `json:"visit"`             // which visit to the job, from 1
	Began     time.Time        `json:"began"`             // the month is that of this time
	Ended     time.Time        `json:"ended"`
	Closed    *time.Time       `json:"closed"` // nil where the visit ended and the job went on
	Outcome   closeout.Outcome `json:"outcome"`
	Complete  bool             `json:"complete"`
	FirstTime string           `json:"first_time_fix"` // yes no pending left_out
	Repeat    bool             `json:"repeat"`         // it was itself a repeat
	RepeatBy  string           `json:"repeat_by"`      // the later visit to the site in which a fault was found
	Failed    string           `json:"failed"`         // why it failed; "" where it did not
	Margin    *float64         `json:"least_margin_db"`
	Sampled   bool             `json:"sampled"`
}

// ErrNoVisits is returned for a month without a visit to judge.
var ErrNoVisits = errors.New("no closed job lies in it; a visit is judged once its job is closed")

// QualityInput is what a month's quality is computed from.
type QualityInput struct {
	Visits  []Visited // of the month and of FixDays around it; others do no harm
	Month   string    // "2026-11"
	Zone    *time.Location
	FixDays int     // how long a fix must hold; 0: not at all
	Lot     string  // what is sampled: "" means the month
	Sample  *Sample // drawn already; nil: it is drawn now, from Head
	Head    record.Hash
	Count   int64
	Version string
	AsOf    time.Time // decides which visits are still pending; needed
}

// NewQuality computes a month's quality. A month without a closed visit is an
// error: there is nothing to judge.
func NewQuality(in QualityInput) (Quality, error) {
	from, to, err := MonthBounds(in.Month, in.Zone)
	if err != nil {
		return Quality{}, fmt.Errorf("quality: %w", err)
	}
	if in.AsOf.IsZero() {
		return Quality{}, errors.New("quality: the as-of time is missing: it decides which visits are still pending")
	}
	if in.FixDays < 0 {
		return Quality{}, fmt.Errorf("quality: %d days: a fix must hold for 0 days or more", in.FixDays)
	}
	q := Quality{
		Schema: QualitySchema, Note: QualityNote, Product: in.Version, AsOf: in.AsOf, Month: in.Month,
		From: from, To: to, FixDays: in.FixDays,
		Journal: closeout.ChainHead{Head: in.Head.String(), Count: in.Count},
	}
	m, err := newMonth(in.Visits, q)
	if err != nil {
		return Quality{}, fmt.Errorf("quality: %w", err)
	}
	if len(m.visits) == 0 {
		return Quality{}, fmt.Errorf("quality: month %s: %w", in.Month, ErrNoVisits)
	}
	if in.Sample != nil {
		q.Sample = *in.Sample
	} else {
		q.Sample = Draw(cmp.Or(in.Lot, in.Month), in.Head, in.Count, m.labels())
	}
	q.Jobs = m.list(q.Sample)
	q.Figures = m.figures()
	q.Spreads = m.spreads()
	q.Chart = m.chart()
	return q, nil
}

// MonthBounds reads a month, "2026-11", in a zone; nil means UTC.
func MonthBounds(month string, zone *time.Location) (from, to time.Time, err error) {
	if zone == nil {
		zone = time.UTC
	}
	from, err = time.ParseInLocation("2006-01", month, zone)
	if err != nil {
		return from, to, fmt.Errorf("%q is not a month: write it as \"2026-11\"", month)
	}
	return from, from.AddDate(0, 1, 0), nil
}

// month holds the closed visits of a month and every visit by site.
type month struct {
	q      Quality
	window string
	visits []Visited
	sites  map[string][]Visited // by folded address, in order of beginning
	keys   []string             // of the month's visits; "" without an address
	first  []string             // per visit: yes no pending left_out, "" without an address
	undone []string             // by which later visit
	repeat []bool
	open   int // visits of the month that are not closed
}

func newMonth(all []Visited, q Quality) (*month, error) {
	m := &month{q: q, sites: map[string][]Visited{}}
	m.window = fmt.Sprintf("visits from %s to %s", q.From.Format(time.DateOnly), q.To.AddDate(0, 0, -1).Format(time.DateOnly))
	seen := map[string]bool{}
	for _, v := range all {
		if key := v.Closeout.Journal.ID + " " + v.Label(); !seen[key] {
			seen[key] = true
		} else {
			return nil, fmt.Errorf("there are two records of job %s: hand in the latest of each", v.Label())
		}
		if key := placeKey(v.Closeout.Site.Address); key != "" {
			m.sites[key] = append(m.sites[key], v)
		}
		switch {
		case v.Began.Before(q.From) || !v.Began.Before(q.To):
		case v.Open:
			m.open++
		default:
			m.visits = append(m.visits, v)
		}
	}
	byTime := func(a, b Visited) int {
		return cmp.Or(a.Began.Compare(b.Began), cmp.Compare(a.Closeout.Job, b.Closeout.Job), cmp.Compare(a.N, b.N), cmp.Compare(a.Whose, b.Whose))
	}
	slices.SortFunc(m.visits, byTime)
	for _, visits := range m.sites {
		slices.SortFunc(visits, byTime)
	}
	for _, v := range m.visits {
		key := placeKey(v.Closeout.Site.Address)
		first, by := m.firstTime(v, key)
		m.keys, m.first, m.undone = append(m.keys, key), append(m.first, first), append(m.undone, by)
		m.repeat = append(m.repeat, m.isRepeat(v, key))
	}
	return m, nil
}

func (m *month) labels() []string {
	out := make([]string, len(m.visits))
	for i, v := range m.visits {
		out[i] = v.Label()
	}
	return out
}

// firstTime decides whether what a visit fixed held, by the definition that
// stands at its figure.
func (m *month) firstTime(v Visited, key string) (answer, by string) {
	if v.Closeout.Outcome == closeout.NoAccess {
		return "left_out", ""
	}
	if key == "" {
		return "", ""
	}
	until := v.Ended.AddDate(0, 0, m.q.FixDays)
	if m.q.AsOf.Before(until) {
		return "pending", "" // failures too: counting them early would tilt the figure
	}
	later := m.sites[key]
	i, _ := slices.BinarySearchFunc(later, v.Ended, func(w Visited, t time.Time) int { return w.Began.Compare(t) })
	answer = "no"
	if v.Closeout.Outcome.Mended() {
		answer = "yes"
	}
	for _, w := range later[i:] {
		switch {
		case !w.Began.Before(until):
			return answer, ""
		case oneVisit(v, w) || w.Closeout.Outcome == closeout.NoAccess || w.Closeout.Outcome == closeout.NoFault || w.Closeout.Outcome == closeout.NotReproduced:
		case !w.Open:
			return "no", w.Label()
		case answer == "yes":
			answer = "pending" // an open visit has not judged yet
		}
	}
	return answer, ""
}

// oneVisit reports that two are one visit.
func oneVisit(v, w Visited) bool {
	return v.Closeout.Job == w.Closeout.Job && v.N == w.N && v.Closeout.Journal.ID == w.Closeout.Journal.ID
}

// isRepeat reports that a visit began within the days of the fix after another
// at the same address had ended. One without access begins no repeat and is none.
func (m *month) isRepeat(v Visited, key string) bool {
	if v.Closeout.Outcome == closeout.NoAccess || key == "" {
		return false
	}
	earlier := m.sites[key]
	i, _ := slices.BinarySearchFunc(earlier, v.Began, func(w Visited, t time.Time) int { return w.Began.Compare(t) })
	for _, w := range slices.Backward(earlier[:i]) {
		if w.Open || w.Closeout.Outcome == closeout.NoAccess || w.Ended.After(v.Began) {
			continue
		}
		return v.Began.Before(w.Ended.AddDate(0, 0, m.q.FixDays))
	}
	return false
}

// failed says why a visit failed, "" where it did not.
func (m *month) failed(i int) string {
	switch {
	case m.first[i] != "no":
		return ""
	case m.undone[i] != "":
		return fmt.Sprintf("a fault was found again by job %s within %d days", m.undone[i], m.q.FixDays)
	case m.visits[i].Closeout.Outcome == closeout.NoFault, m.visits[i].Closeout.Outcome == closeout.NotReproduced:
		return "no fault was found"
	}
	return "it was not fixed"
}

func (m *month) list(s Sample) []QualityJob {
	sampled := map[string]bool{}
	for _, j := range s.Jobs {
		sampled[j] = true
	}
	out := make([]QualityJob, len(m.visits))
	for i, v := range m.visits {
		c := v.Closeout
		j := QualityJob{
			Job: c.Job, Whose: v.Whose, Journal: c.Journal.ID, Visit: max(1, v.N), Began: v.Began, Ended: v.Ended, Closed: c.Closed, Outcome: c.Outcome, Complete: c.Complete,
			FirstTime: cmp.Or(m.first[i], "left_out"), Repeat: m.repeat[i], RepeatBy: m.undone[i], Failed: m.failed(i), Sampled: sampled[v.Label()],
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
func proofMargins(c closeout.Closeout) []float64 {
	last := map[string]float64{}
	var order []string
	for _, p := range c.Points {
		r := p.Last()
		if p.Point.Element != entry.Receiver || p.Point.Side == entry.ReceiverSide || p.Stale || !r.LevelMargin.Said() {
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
