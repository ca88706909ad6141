package pay

import (
	"errors"
	"fmt"
	"time"

	"downlead/diagnose/visit"
	"downlead/export/closeout"
	"downlead/grammar/entry"
)

// PaySchema names the version of the JSON form of a Pay.
const PaySchema = "downlead/pay/1"

// PayNote stands on every pay record.
const PayNote = "Check figures under 29 CFR parts 778 and 785, not wages due: state law and the payroll office decide."

// ErrNoJobs is returned for a week or a month in which no job lies.
var ErrNoJobs = errors.New("no job lies in it")

// Pay is the record that a week is paid from: what each job took, and what
// the week comes to by the rates file.
type Pay struct {
	Schema     string    `json:"schema"`
	Note       string    `json:"note"`
	Product    string    `json:"product"`
	AsOf       time.Time `json:"as_of"`
	Technician string    `json:"technician,omitempty"` // the name in the journal
	Employee   string    `json:"employee"`
	Week       string    `json:"week"`
	From       time.Time `json:"from"`
	To         time.Time `json:"to"` // 168 hours after From, not part of the week
	Zone       string    `json:"zone"`
	Policy     Policy    `json:"policy"`

	Jobs    []PayJob  `json:"jobs"`
	Other   []PayTime `json:"other"` // time without a job
	Days    []PayDay  `json:"days"`  // the hours of each workday (29 CFR 516.2(a)(7))
	Summary PayWeek   `json:"summary"`
	Flags   []PayFlag `json:"flags"`
}

// Buckets are seconds by what they were spent on. Rest is a pause of up to 20
// minutes; a meal is paid where it was short or worked in, by the policy.
type Buckets struct {
	Productive int64 `json:"productive_s"`
	Travel     int64 `json:"travel_s"` // and waiting between jobs
	Rest       int64 `json:"rest_s"`
	MealPaid   int64 `json:"meal_paid_s"`
	MealOff    int64 `json:"meal_off_s"`
	Off        int64 `json:"off_s"`   // travel and gaps that the policy leaves out
	Other      int64 `json:"other_s"` // time without a job: the shop, a meeting, training
}

// Worked is what counts as hours worked.
func (b Buckets) Worked() int64 { return b.Productive + b.Travel + b.Rest + b.MealPaid + b.Other }

func (b Buckets) plus(c Buckets) Buckets {
	return Buckets{
		b.Productive + c.Productive, b.Travel + c.Travel, b.Rest + c.Rest, b.MealPaid + c.MealPaid,
		b.MealOff + c.MealOff, b.Off + c.Off, b.Other + c.Other,
	}
}

// PayTime is a stretch of time without a job.
type PayTime struct {
	What   visit.Kind `json:"what"` // shop meeting training, or travel break gap between them
	From   time.Time  `json:"from"`
	To     time.Time  `json:"to"`
	Worked int64      `json:"worked_s"`
	bucket Buckets
}

// PayDay is one workday: one of the seven consecutive 24-hour periods of the
// workweek (29 CFR 778.105).
type PayDay struct {
	Date    string    `json:"date"` // of its beginning
	From    time.Time `json:"from"`
	Buckets Buckets   `json:"buckets"`
	Worked  int64     `json:"worked_s"`
}

// PayJob is one job's part of the week.
type PayJob struct {
	Job       string              `json:"job"`
	Employee  string              `json:"employee"`
	Outcome   closeout.Outcome    `json:"outcome"`
	Marks     []closeout.TimeMark `json:"times"` // of the visits that touch the week
	Buckets   Buckets             `json:"buckets"`
	Worked    int64               `json:"worked_s"`
	Codes     []PayCode           `json:"codes"`
	Piece     string              `json:"piece_dollars"` // exact
	Miles     string              `json:"miles"`
	MileRate  string              `json:"mile_rate"`
	MilesPaid string              `json:"miles_dollars"` // exact; a reimbursement, outside the regular rate (29 CFR 778.217)
	Materials []string            `json:"materials"`
	Journal   closeout.ChainHead  `json:"journal"`
}

// PayCode is a work code with what it pays; Rate is "" where it pays nothing by the piece.
type PayCode struct {
	Code   string        `json:"code"`
	Units  entry.Decimal `json:"units"`
	Rate   string        `json:"rate"`
	Amount string        `json:"amount"` // exact dollars
}

// PayWeek is the week's sum.
type PayWeek struct {
	Buckets Buckets `json:"buckets"`
	WeekPay
	Reimbursed Money `json:"reimbursed_cents"`
	Payable    Money `json:"payable_cents"` // Total and Reimbursed
	Guaranteed bool  `json:"guaranteed"`    // the guarantee was more than the pieces came to
	Drift      int64 `json:"drift_s"`       // hours worked by rounded times less by true times
}

// PayFlag is something that a person should look at before paying.
type PayFlag struct {
	Job  string `json:"job"`
	Code string `json:"code"`
	Text string `json:"text"`
}

// PayInput is what a week's pay is computed from.
type PayInput struct {
	Works   []Work // any number; those outside the week are left out
	Rates   Rates
	Week    string // "2026-W47"
	Version string
	AsOf    time.Time // the zero time means the week's end
}

// NewPay computes a week's pay. What makes a figure impossible is an error and
// names the job: a time of the week before the one it must follow, a code
// without a rate, a day without rates. What is only odd becomes a flag.
func NewPay(in PayInput) (Pay, error) {
	p, err := newPay(in)
	if err != nil {
		return Pay{}, fmt.Errorf("pay: %w", err)
	}
	return p, nil
}

func newPay(in PayInput) (Pay, error) {
	from, to, err := in.Rates.WeekBounds(in.Week)
	if err != nil {
		return Pay{}, err
	}
	if in.AsOf.IsZero() {
		in.AsOf = to
	}
	p := Pay{
		Schema: PaySchema, Note: PayNote, Product: in.Version, AsOf: in.AsOf, Employee: in.Rates.Employee,
		Week: in.Week, From: from, To: to, Zone: in.Rates.Zone.String(), Policy: in.Rates.Policy,
		Jobs: []PayJob{}, Other: []PayTime{}, Days: []PayDay{}, Flags: []PayFlag{},
	}
	works := inOrder(in.Works)
	if err := twice(works); err != nil {
		return Pay{}, err
	}
	w := newWorkTime(in.Rates, works, from, to)
	var errs []error
	for _, x := range works {
		errs = append(errs, w.backwards(x))
	}
	if err := errors.Join(errs...); err != nil {
		return Pay{}, err
	}
	l := newLedger(in.Rates, w)
	if err := l.book(&p, works); err != nil {
		return Pay{}, err
	}
	if len(p.Jobs) == 0 && len(p.Other) == 0 {
		return Pay{}, fmt.Errorf("week %s, %s to %s: %w", in.Week, from.Format(time.DateTime), to.Format(time.DateTime), ErrNoJobs)
	}
	p.Days = w.days()
	if err := l.close(&p, in.Rates.bonuses[in.Week]); err != nil {
		return Pay{}, err
	}
	p.Summary.Drift = w.drift
	p.Flags = append(p.Flags, w.flags...)
	return p, nil
}

// twice refuses two records of one job: it would be counted twice.
func twice(works []Work) error {
	seen := map[string]bool{}
	for _, x := range works {
		if seen[x.Job] {
			return fmt.Errorf("there are two records of %s: hand in the latest of each", jobWords(x.Job))
		}
		seen[x.Job] = true
	}
	return nil
}

// days sums the time of each workday.
func (w *workTime) days() []PayDay {
	out := make([]PayDay, 7)
	k := 0
	for i := range out {
		d := &out[i]
		d.From = w.from.Add(time.Duration(i) * 24 * time.Hour)
		d.Date = w.day(d.From)
		end := d.From.Add(24 * time.Hour)
		for ; k < len(w.spans) && w.spans[k].Start.Before(end); k++ {
			s, _ := w.spans[k].within(d.From, end)
			d.Buckets = d.Buckets.plus(s.bucket())
			if w.spans[k].End.After(end) {
				break // the rest of it is the next day's
			}
		}
		d.Worked = d.Buckets.Worked()
	}
	return out
}
