package export

import (
	"fmt"
	"math/big"
	"time"
)

// ledger sums a week's money exactly; only the final figures are rounded, so
// neither order nor a split of the work changes them.
type ledger struct {
	rates    Rates
	straight *big.Rat // by the hour
	pieces   *big.Rat // by the piece
	miles    *big.Rat
	floor    *big.Rat // what the guarantee comes to; nil where there is none
	salary   *big.Rat
	basis    Basis
}

// job books one job and reports whether any of it lies in the week.
func (l *ledger) job(c Closeout, spans []workSpan, from, to time.Time) (PayJob, bool, error) {
	inside := func(t time.Time) bool { return !t.Before(from) && t.Before(to) }
	j := PayJob{Job: c.Job, Outcome: c.Outcome, Marks: c.Times, Journal: c.Journal, Piece: "0.00", MilesPaid: "0.00", Materials: materialWords(c), Codes: []PayCode{}}
	if j.Marks == nil {
		j.Marks = []TimeMark{}
	}
	if j.Materials == nil {
		j.Materials = []string{}
	}
	for _, s := range spans {
		j.Buckets = j.Buckets.plus(s.bucket())
		if err := l.time(s); err != nil {
			return j, false, err
		}
	}
	j.Worked = j.Buckets.Worked()
	if err := l.codes(&j, c, inside); err != nil {
		return j, false, err
	}
	// Codes and miles belong to the week of the job's first time.
	at, ok := begins(c)
	if ok && inside(at) && c.Miles.Said() {
		p, err := l.rates.at(at)
		if err != nil {
			return j, false, err
		}
		j.Miles = c.Miles.String()
		if p.mile == nil {
			return j, false, fmt.Errorf("%s miles were driven and the rates have no mile", c.Miles)
		}
		paid := mul(big.NewRat(c.Miles.Micro(), micro), p.mile)
		l.miles = add(l.miles, paid)
		j.MileRate, _ = exactDecimal(p.mile)
		j.MilesPaid, _ = exactDecimal(paid)
	}
	return j, len(spans) > 0 || ok && inside(at), nil
}

func (l *ledger) codes(j *PayJob, c Closeout, inside func(time.Time) bool) error {
	sum := new(big.Rat)
	for _, k := range c.Codes {
		if !inside(k.At) {
			continue
		}
		p, err := l.rates.at(k.At)
		if err != nil {
			return err
		}
		line := PayCode{Code: k.Code, Units: k.Units, Amount: "0.00"}
		if p.basis == Piece {
			rate, ok := p.codes[fold(k.Code)]
			if !ok {
				return fmt.Errorf("work code %q (entry %d) has no rate on %s: add it to [rates.codes]", k.Code, k.Entry, k.At.In(l.rates.Zone).Format(time.DateOnly))
			}
			amount := mul(big.NewRat(k.Units.Micro(), micro), rate)
			line.Rate, _ = exactDecimal(rate)
			line.Amount, _ = exactDecimal(amount)
			sum = add(sum, amount)
		}
		j.Codes = append(j.Codes, line)
	}
	l.pieces = add(l.pieces, sum)
	j.Piece, _ = exactDecimal(sum)
	return nil
}

// time books the straight pay of a stretch of time, cut where rates change.
func (l *ledger) time(s workSpan) error {
	for at := s.start; at.Before(s.end); {
		p, err := l.rates.at(at)
		if err != nil {
			return err
		}
		end := s.end
		if next := l.rates.next(at); !next.IsZero() && next.Before(end) {
			end = next
		}
		part := s
		part.start, part.end = at, end
		if err := l.part(p, part.bucket()); err != nil {
			return err
		}
		at = end
	}
	return nil
}

func (l *ledger) part(p period, b Buckets) error {
	if l.basis != "" && l.basis != p.basis || l.salary != nil && l.salary.Cmp(p.salary) != 0 {
		return fmt.Errorf("the basis or the salary changes within the week: a workweek stands alone and needs one")
	}
	l.basis = p.basis
	other, travel := hours(b.Worked()-b.Travel), hours(b.Travel)
	switch p.basis {
	case Hourly:
		rate := p.travel
		if rate == nil {
			rate = p.hourly
		}
		l.straight = add(l.straight, add(mul(other, p.hourly), mul(travel, rate)))
	case Piece:
		if p.travel != nil { // waiting and travel paid by the hour: 29 CFR 778.318
			l.straight = add(l.straight, mul(travel, p.travel))
		}
		if p.guarantee != nil {
			if l.floor == nil {
				l.floor = new(big.Rat)
			}
			l.floor = add(l.floor, mul(hours(b.Worked()), p.guarantee))
		}
	case Salary:
		l.salary = p.salary
	}
	return nil
}

// close computes the week from what was booked.
func (l *ledger) close(p *Pay, bonus *big.Rat) error {
	if bonus == nil {
		bonus = new(big.Rat)
	}
	straight := add(l.straight, l.pieces)
	if l.salary != nil {
		straight = l.salary
	}
	s := &p.Summary
	if l.floor != nil && straight.Cmp(l.floor) < 0 { // 29 CFR 778.111(b)
		straight, s.Guaranteed = l.floor, true
	}
	week, err := weekPay(s.Buckets.Worked(), straight, bonus, l.rates.Policy.RegularRate)
	if err != nil {
		return err
	}
	s.WeekPay = week
	s.Reimbursed = cents(l.miles)
	s.Payable = s.Total + s.Reimbursed
	return nil
}
