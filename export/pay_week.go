package export

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

// weekPay applies 29 CFR 778.109: the regular rate is all remuneration for
// the week over all hours worked in it; each hour over 40 earns half the rate
// on top, since the straight pay already covers the hour once. straight and
// bonus are dollars.
func weekPay(worked int64, straight, bonus *big.Rat, policy RatePolicy) (WeekPay, error) {
	w := WeekPay{Worked: worked, Straight: cents(straight), Bonus: cents(bonus)}
	w.RegularRate, w.RateExact = "0.00", "0"
	if worked < 0 {
		return w, fmt.Errorf("week: %d seconds worked: a time is negative", worked)
	}
	if worked == 0 {
		w.Total = cents(add(straight, bonus))
		w.Bonus = w.Total - w.Straight
		return w, nil
	}
	earned := add(straight, bonus)
	rate := new(big.Rat).Quo(earned, hours(worked))
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
