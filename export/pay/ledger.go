package pay

import (
	"fmt"
	"math/big"
	"slices"
	"time"

	"downlead/diagnose/visit"
	"downlead/export/closeout"
	"downlead/grammar/entry"
)

// ledger sums a week's money exactly; only the final figures are rounded, so
// neither order nor a split of the work changes them.
type ledger struct {
	rates    Rates
	w        *workTime
	straight *big.Rat // by the hour
	pieces   *big.Rat // by the piece
	miles    *big.Rat
	floor    *big.Rat // what the guarantee comes to; nil where there is none
	salary   *period  // the salary that holds; nil where there is none
	other    bool     // something is paid by the hour or the piece
	bare     int64    // seconds that pay nothing by themselves
}

func newLedger(r Rates, w *workTime) *ledger {
	return &ledger{rates: r, w: w, straight: new(big.Rat), pieces: new(big.Rat), miles: new(big.Rat)}
}

// book books every job of the week, and the time without one.
func (l *ledger) book(p *Pay, works []Work) error {
	spans := map[string][]workSpan{}
	for _, s := range l.w.spans {
		spans[s.Job] = append(spans[s.Job], s)
		if err := l.time(s); err != nil {
			return fmt.Errorf("%s: %w", jobWords(s.Job), err)
		}
	}
	for i, x := range works {
		j, in, err := l.job(x, l.w.visits[i], spans[x.Job])
		if err != nil {
			return fmt.Errorf("%s: %w", jobWords(x.Job), err)
		}
		if !in || x.Job == "" {
			continue
		}
		p.Jobs = append(p.Jobs, j)
		p.Summary.Buckets = p.Summary.Buckets.plus(j.Buckets)
	}
	for _, s := range spans[""] {
		t := PayTime{What: s.Kind, From: s.Start, To: s.End, bucket: s.bucket()}
		t.Worked = t.bucket.Worked()
		p.Other = append(p.Other, t)
		p.Summary.Buckets = p.Summary.Buckets.plus(t.bucket)
	}
	return nil
}

// job books one job and reports whether any of it lies in the week.
func (l *ledger) job(x Work, visits []visit.Visit, spans []workSpan) (PayJob, bool, error) {
	j := PayJob{
		Job: x.Job, Employee: l.rates.Employee, Outcome: x.Outcome, Journal: x.Journal,
		Marks: []closeout.TimeMark{}, Piece: "0.00", MilesPaid: "0.00", Materials: []string{}, Codes: []PayCode{},
	}
	in := len(spans) > 0
	for _, v := range visits {
		if l.w.touches(v.Start(), v.End()) {
			j.Marks, in = append(j.Marks, v.Marks...), true
		}
	}
	if len(visits) == 0 {
		in = l.inside(x.begins())
	}
	for _, s := range spans {
		j.Buckets = j.Buckets.plus(s.bucket())
	}
	j.Worked = j.Buckets.Worked()
	booked, err := l.codes(&j, x, visits)
	if err != nil {
		return j, false, err
	}
	drove, err := l.drives(&j, x, visits)
	if err != nil {
		return j, false, err
	}
	l.materials(&j, x, visits)
	return j, in || booked || drove, l.withoutCode(x, visits)
}

func (l *ledger) inside(t time.Time) bool { return !t.Before(l.w.from) && t.Before(l.w.to) }

// pays finds the time that an entry is paid by, and reports whether it lies in
// the week. An entry that was logged in another week than its job's departure
// is paid with the job, and flagged in both.
func (l *ledger) pays(job, what string, entry int64, at time.Time, visits []visit.Visit) (time.Time, bool) {
	paid := paidAt(visits, at)
	in, logged := l.inside(paid), l.inside(at)
	switch {
	case in && !logged:
		l.w.flag(job, "late_entry", "%s (entry %d) was logged on %s, in another week: it is paid in the week of the job's departure, %s", what, entry, l.w.day(at), l.w.day(paid))
	case logged && !in:
		l.w.flag(job, "late_entry", "%s (entry %d) was logged in this week and is paid in that of the job's departure, %s", what, entry, l.w.day(paid))
	}
	return paid, in
}

// codes books the work codes of the job that this week pays.
func (l *ledger) codes(j *PayJob, x Work, visits []visit.Visit) (bool, error) {
	sum, any := new(big.Rat), false
	for _, k := range x.Codes {
		at, in := l.pays(x.Job, "work code "+k.Code, k.Entry, k.At, visits)
		if !in {
			continue
		}
		p, err := l.rates.at(at)
		if err != nil {
			return false, err
		}
		any = true
		line := PayCode{Code: k.Code, Units: k.Units, Amount: "0.00"}
		if p.basis == Piece {
			rate, ok := p.codes[fold(k.Code)]
			if !ok {
				return false, fmt.Errorf("work code %q (entry %d) has no rate on %s: add it to [rates.codes]", k.Code, k.Entry, l.w.day(at))
			}
			amount := mul(big.NewRat(k.Units.Micro(), closeout.Micro), rate)
			line.Rate, _ = exactDecimal(rate)
			line.Amount, _ = exactDecimal(amount)
			sum = add(sum, amount)
			l.other = true
		}
		j.Codes = append(j.Codes, line)
	}
	l.pieces = add(l.pieces, sum)
	j.Piece, _ = exactDecimal(sum)
	return any, nil
}

// withoutCode flags visits of the week that earn by the piece and have no code.
func (l *ledger) withoutCode(x Work, visits []visit.Visit) error {
	for i, v := range visits {
		if x.Job == "" || !l.inside(v.End()) {
			continue
		}
		p, err := l.rates.at(v.End())
		if err != nil {
			return err
		}
		coded := false
		for _, k := range x.Codes {
			of, _ := paidVisit(visits, k.At)
			coded = coded || of.N == visits[i].N
		}
		if p.basis == Piece && !coded {
			l.w.flag(x.Job, "no_code", "no work code is logged for the visit of %s: by the piece it pays nothing", l.w.day(v.Start()))
		}
	}
	return nil
}

// drives books the miles of the job that this week pays: a reimbursement,
// outside the regular rate (29 CFR 778.217).
func (l *ledger) drives(j *PayJob, x Work, visits []visit.Visit) (bool, error) {
	var miles entry.Decimal
	sum := new(big.Rat)
	for _, d := range x.Miles {
		at, in := l.pays(x.Job, d.Miles.String()+" miles", d.Entry, d.At, visits)
		if !in {
			continue
		}
		p, err := l.rates.at(at)
		if err != nil {
			return false, err
		}
		if p.mile == nil {
			return false, fmt.Errorf("%s miles were driven and the rates have no mile", d.Miles)
		}
		miles = closeout.Plus(miles, d.Miles)
		sum = add(sum, mul(big.NewRat(d.Miles.Micro(), closeout.Micro), p.mile))
		j.MileRate, _ = exactDecimal(p.mile)
	}
	if !miles.Said() {
		return false, nil
	}
	l.miles = add(l.miles, sum)
	j.Miles = miles.String()
	j.MilesPaid, _ = exactDecimal(sum)
	return true, nil
}

// materials lists what was used on the visits that this week pays.
func (l *ledger) materials(j *PayJob, x Work, visits []visit.Visit) {
	var used []closeout.Material
	for _, m := range x.Materials {
		if !l.inside(paidAt(visits, m.At)) {
			continue
		}
		i := slices.IndexFunc(used, func(u closeout.Material) bool {
			return u.Item == m.Material.Item && u.LengthFt.Said() == m.Material.LengthFt.Said()
		})
		if i < 0 {
			i, used = len(used), append(used, closeout.Material{Item: m.Material.Item})
		}
		used[i].Quantity += m.Material.Quantity
		used[i].LengthFt = closeout.Plus(used[i].LengthFt, m.Material.LengthFt)
	}
	if words := closeout.MaterialWords(closeout.Closeout{Materials: used}); words != nil {
		j.Materials = words
	}
}

// time books the straight pay of a stretch of time, cut where rates change.
func (l *ledger) time(s workSpan) error {
	for at := s.Start; at.Before(s.End); {
		p, err := l.rates.at(at)
		if err != nil {
			return err
		}
		end := s.End
		if next := l.rates.next(at); !next.IsZero() && next.Before(end) {
			end = next
		}
		part := s
		part.Start, part.End = at, end
		if err := l.part(p, part.bucket()); err != nil {
			return err
		}
		at = end
	}
	return nil
}

func (l *ledger) part(p period, b Buckets) error {
	if p.basis == Salary {
		if l.salary != nil && (l.salary.salary.Cmp(p.salary) != 0 || l.salary.hours != p.hours) {
			return fmt.Errorf("the salary changes within the week: a workweek stands alone and needs one")
		}
		l.salary = &p
	} else if b.Worked() > 0 {
		l.other = true
	}
	if l.salary != nil && l.other {
		return fmt.Errorf("the basis changes within the week, and a salary is paid for the whole of it: a workweek stands alone and needs one")
	}
	job, travel := hours(b.Worked()-b.Travel-b.Other), hours(b.Travel)
	switch p.basis {
	case Hourly:
		rate := p.travel
		if rate == nil {
			rate = p.hourly
		}
		l.straight = add(l.straight, add(mul(add(job, hours(b.Other)), p.hourly), mul(travel, rate)))
	case Piece:
		if p.travel != nil { // waiting and travel paid by the hour: 29 CFR 778.318
			l.straight = add(l.straight, mul(travel, p.travel))
		}
		if p.hourly != nil { // time without a job, as agreed: 29 CFR 778.318
			l.straight = add(l.straight, mul(hours(b.Other), p.hourly))
		} else {
			l.bare += b.Other
		}
		if p.guarantee != nil {
			if l.floor == nil {
				l.floor = new(big.Rat)
			}
			l.floor = add(l.floor, mul(hours(b.Worked()), p.guarantee))
		}
	}
	return nil
}

// close computes the week from what was booked.
func (l *ledger) close(p *Pay, bonus *big.Rat) error {
	if bonus == nil {
		bonus = new(big.Rat)
	}
	s := &p.Summary
	worked := s.Buckets.Worked()
	earned := earnings{straight: add(l.straight, l.pieces), bonus: bonus}
	if l.salary != nil {
		earned.straight, earned.hours = l.salary.salary, l.salary.hours
	}
	if l.floor != nil && earned.straight.Cmp(l.floor) < 0 { // 29 CFR 778.111(b)
		earned.straight, s.Guaranteed = l.floor, true
	}
	week, err := earned.week(worked, l.rates.Policy.RegularRate)
	if err != nil {
		return err
	}
	s.WeekPay = week
	s.Reimbursed = cents(l.miles)
	s.Payable = s.Total + s.Reimbursed
	l.flagWeek(worked, earned)
	return nil
}

// flagWeek flags what is odd about the week as a whole.
func (l *ledger) flagWeek(worked int64, e earnings) {
	if l.rates.Employee == "" {
		l.w.flag("", "no_employee", "the rates file names no employee: add employee, an id (29 CFR 516.2(a)(1))")
	}
	if l.bare > 0 {
		l.w.flag("", "unpaid_time", "%s without a job pay nothing by the piece: set hourly beside it (29 CFR 778.318)", minutes(time.Duration(l.bare)*time.Second))
	}
	if worked == 0 {
		return
	}
	if rate := new(big.Rat).Quo(add(e.straight, e.bonus), hours(worked)); rate.Cmp(l.rates.minimum) < 0 {
		l.w.flag("", "below_minimum", "the week comes to %s an hour, below the minimum wage of %s (29 U.S.C. 206, 29 CFR 778.5)", rate.FloatString(4), l.rates.minimum.FloatString(2))
	}
}
