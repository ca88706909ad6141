package pay

import (
	"errors"
	"fmt"
	"math/big"
)

// RatePolicy names how the regular rate is rounded.
type RatePolicy string

// The policies: the rate is rounded to the cent and half of it is not rounded
// again, as the published examples do; or nothing is rounded before the total.
const (
	CentRate  RatePolicy = "cent"
	ExactRate RatePolicy = "exact"
)

// overtimeAfter is the number of seconds in a workweek beyond which the
// premium is due: 40 hours, 29 U.S.C. 207(a)(1).
const overtimeAfter = 40 * 3600

// WeekPay is what one workweek comes to.
type WeekPay struct {
	Worked      int64  `json:"worked_s"`
	Overtime    int64  `json:"overtime_s"` // beyond 40 hours
	Straight    Money  `json:"straight_cents"`
	Bonus       Money  `json:"bonus_cents"`
	RegularRate string `json:"regular_rate"`       // dollars an hour, by the policy
	RateExact   string `json:"regular_rate_exact"` // the same as a fraction
	Premium     Money  `json:"premium_cents"`
	Total       Money  `json:"total_cents"` // Straight + Bonus + Premium
}

// earnings are what was earned in a week before any premium, in dollars.
type earnings struct {
	straight, bonus *big.Rat
	hours           int64 // the hours that a salary is for; 0: all that are worked, or no salary
}

// week applies 29 CFR 778.109: the regular rate is all remuneration for the
// week over all hours worked in it, the weighted average where there are
// several rates (778.115); each hour over 40 earns half the rate on top, since
// the straight pay already covers the hour once. A salary for all hours worked
// is straight pay like any other (778.114). One for a fixed number of hours
// gives the rate by those hours, and hours beyond them are paid at it
// (778.113).
func (e earnings) week(worked int64, policy RatePolicy) (WeekPay, error) {
	straight := e.straight
	over := hours(worked)
	if e.hours > 0 {
		rate := new(big.Rat).Quo(e.straight, big.NewRat(e.hours, 1))
		if beyond := worked - e.hours*3600; beyond > 0 {
			straight = add(straight, mul(rate, hours(beyond)))
		} else {
			over = big.NewRat(e.hours, 1)
		}
	}
	w := WeekPay{Worked: worked, Straight: cents(straight), Bonus: cents(e.bonus)}
	w.RegularRate, w.RateExact = "0.00", "0"
	if worked < 0 {
		return w, fmt.Errorf("week: %d seconds worked: a time is negative", worked)
	}
	earned := add(straight, e.bonus)
	if worked == 0 {
		w.Total = cents(earned)
		w.Bonus = w.Total - w.Straight
		return w, nil
	}
	rate := add(new(big.Rat).Quo(straight, over), new(big.Rat).Quo(e.bonus, hours(worked)))
	w.RateExact = rate.RatString()
	switch policy {
	case CentRate:
		rate = cents(rate).dollars()
	case ExactRate:
	default:
		return w, errors.New(`week: the policy of the regular rate is "cent" or "exact"`)
	}
	w.RegularRate = rate.FloatString(2)
	if policy == ExactRate {
		w.RegularRate = rate.FloatString(6)
	}
	w.Overtime = max(0, worked-overtimeAfter)
	premium := mul(mul(rate, big.NewRat(1, 2)), hours(w.Overtime))
	w.Total = cents(add(earned, premium))
	w.Premium = w.Total - w.Straight - w.Bonus // so that the printed lines add up
	return w, nil
}
