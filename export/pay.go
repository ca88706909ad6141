package export

import (
	"cmp"
	"errors"
	"fmt"
	"math/big"
	"slices"
	"strings"
	"time"

	"downlead/grammar"
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
	Schema   string    `json:"schema"`
	Note     string    `json:"note"`
	Product  string    `json:"product"`
	AsOf     time.Time `json:"as_of"`
	Employee string    `json:"employee"`
	Week     string    `json:"week"`
	From     time.Time `json:"from"`
	To       time.Time `json:"to"` // 168 hours after From, not part of the week
	Zone     string    `json:"zone"`
	Policy   Policy    `json:"policy"`

	Jobs    []PayJob  `json:"jobs"`
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
	Off        int64 `json:"off_s"` // travel and gaps that the policy leaves out
}

// Worked is what counts as hours worked.
func (b Buckets) Worked() int64 { return b.Productive + b.Travel + b.Rest + b.MealPaid }

func (b Buckets) plus(c Buckets) Buckets {
	return Buckets{b.Productive + c.Productive, b.Travel + c.Travel, b.Rest + c.Rest, b.MealPaid + c.MealPaid, b.MealOff + c.MealOff, b.Off + c.Off}
}

// PayJob is one job's part of the week.
type PayJob struct {
	Job       string     `json:"job"`
	Outcome   Outcome    `json:"outcome"`
	Marks     []TimeMark `json:"times"`
	Buckets   Buckets    `json:"buckets"`
	Worked    int64      `json:"worked_s"`
	Codes     []PayCode  `json:"codes"`
	Piece     string     `json:"piece_dollars"` // exact
	Miles     string     `json:"miles"`
	MileRate  string     `json:"mile_rate"`
	MilesPaid string     `json:"miles_dollars"` // exact; a reimbursement, outside the regular rate (29 CFR 778.217)
	Materials []string   `json:"materials"`
	Journal   ChainHead  `json:"journal"`
}

// PayCode is a work code with what it pays; Rate is "" where it pays nothing by the piece.
type PayCode struct {
	Code   string          `json:"code"`
	Units  grammar.Decimal `json:"units"`
	Rate   string          `json:"rate"`
	Amount string          `json:"amount"` // exact dollars
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
	Closeouts []Closeout // any number; those outside the week are left out
	Rates     Rates
	Week      string // "2026-W47"
	Version   string
	AsOf      time.Time // the zero time means the week's end
}

// NewPay computes a week's pay. What makes a figure impossible is an error and
// names the job: a time before the one it must follow, a code without a rate,
// a day without rates. What is only odd becomes a flag.
func NewPay(in PayInput) (Pay, error) {
	from, to, err := in.Rates.weekBounds(in.Week)
	if err != nil {
		return Pay{}, fmt.Errorf("pay: %w", err)
	}
	if in.AsOf.IsZero() {
		in.AsOf = to
	}
	p := Pay{
		Schema: PaySchema, Note: PayNote, Product: in.Version, AsOf: in.AsOf, Employee: in.Rates.Employee,
		Week: in.Week, From: from, To: to, Zone: in.Rates.Zone.String(), Policy: in.Rates.Policy,
		Jobs: []PayJob{}, Flags: []PayFlag{},
	}
	jobs := inOrder(in.Closeouts)
	var errs []error
	errs = append(errs, twice(jobs))
	for _, c := range jobs {
		errs = append(errs, backwards(c))
	}
	if err := errors.Join(errs...); err != nil {
		return Pay{}, fmt.Errorf("pay: %w", err)
	}
	day := newWorkTime(in.Rates, jobs, from, to)
	p.Flags = append(p.Flags, day.flags...)
	ledger := ledger{rates: in.Rates, straight: new(big.Rat), pieces: new(big.Rat), miles: new(big.Rat)}
	for i, c := range jobs {
		j, in, err := ledger.job(c, day.jobs[i], from, to)
		if err != nil {
			return Pay{}, fmt.Errorf("pay: job %s: %w", c.Job, err)
		}
		if in {
			p.Jobs = append(p.Jobs, j)
			p.Summary.Buckets = p.Summary.Buckets.plus(j.Buckets)
		}
	}
	if len(p.Jobs) == 0 {
		return Pay{}, fmt.Errorf("pay: week %s, %s to %s: %w", in.Week, from.Format(time.DateTime), to.Format(time.DateTime), ErrNoJobs)
	}
	if err := ledger.close(&p, in.Rates.bonuses[in.Week]); err != nil {
		return Pay{}, fmt.Errorf("pay: %w", err)
	}
	p.Summary.Drift = day.drift
	return p, nil
}

// inOrder sorts jobs by their first mark, then by number, so that the order
// they come in changes nothing.
func inOrder(closeouts []Closeout) []Closeout {
	jobs := slices.Clone(closeouts)
	begin := func(c Closeout) time.Time {
		if len(c.Times) > 0 {
			return c.Times[0].At
		}
		if c.Opened != nil {
			return *c.Opened
		}
		return time.Time{}
	}
	slices.SortStableFunc(jobs, func(a, b Closeout) int {
		return cmp.Or(begin(a).Compare(begin(b)), strings.Compare(a.Job, b.Job))
	})
	return jobs
}

// twice refuses two closeouts of one job: it would be counted twice.
func twice(jobs []Closeout) error {
	seen := map[string]bool{}
	for _, c := range jobs {
		if seen[c.Job] {
			return fmt.Errorf("there are two closeouts of job %s: hand in the latest of each", c.Job)
		}
		seen[c.Job] = true
	}
	return nil
}

// backwards finds a mark that lies before the one it must follow: such a
// stretch of time would be negative.
func backwards(c Closeout) error {
	follows := map[string][]string{
		"arrived": {"en_route"}, "departed": {"arrived", "en_route"}, "break_end": {"break_start"},
	}
	bySeq := slices.Clone(c.Times)
	slices.SortFunc(bySeq, func(a, b TimeMark) int { return cmp.Compare(a.Entry, b.Entry) })
	for i, m := range bySeq {
		for k := i - 1; k >= 0; k-- {
			if slices.Contains(follows[m.Mark], bySeq[k].Mark) {
				if m.At.Before(bySeq[k].At) {
					return fmt.Errorf("job %s: %s at %s (entry %d) lies before %s at %s (entry %d): correct one of them",
						c.Job, plain(m.Mark), m.At.Format(time.DateTime), m.Entry, plain(bySeq[k].Mark), bySeq[k].At.Format(time.DateTime), bySeq[k].Entry)
				}
				break
			}
		}
	}
	return nil
}
