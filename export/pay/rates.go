package pay

import (
	_ "embed"
	"errors"
	"fmt"
	"io"
	"math/big"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/BurntSushi/toml"
)

// RatesExample is a rates file with every setting explained.
//
//go:embed rates.example.toml
var RatesExample string

// Rates are what a technician is paid by, read from a TOML file.
type Rates struct {
	Employee string // an id; names and anything more are not wanted (29 CFR 516.2 asks the employer for the rest)
	Zone     *time.Location
	Start    time.Duration // the workweek's start, after Monday 00:00
	Policy   Policy
	periods  []period
	bonuses  map[string]*big.Rat // by week label, dollars
	minimum  *big.Rat            // wage, dollars an hour
}

// Policy names the choices that change a figure. All are printed with it.
type Policy struct {
	RegularRate   RatePolicy `json:"regular_rate" toml:"regular_rate"`
	RoundMinutes  int        `json:"round_minutes" toml:"round_minutes"`     // 0: times are not rounded
	Gaps          string     `json:"gaps" toml:"gaps"`                       // unmarked time between two jobs of one day: "work" or "off"
	FirstTravel   string     `json:"first_travel" toml:"first_travel"`       // travel to the day's first job and home from the last: "work" or "off" (29 CFR 785.35)
	ShortMeals    string     `json:"short_meals" toml:"short_meals"`         // over 20 and under 30 minutes: "work" or "off"
	MealsWithWork string     `json:"meals_with_work" toml:"meals_with_work"` // something was logged inside: "work" or "off"
}

// Basis is what straight pay is reckoned by.
type Basis string

// The bases: by the hour, by the piece (work codes), or a salary for all
// hours of a week, however many (29 CFR 778.114).
const (
	Hourly Basis = "hourly"
	Piece  Basis = "piece"
	Salary Basis = "salary"
)

// period is a set of rates that holds from a day on. Amounts are dollars.
type period struct {
	from      time.Time
	until     time.Time // first instant it no longer holds; zero: until the next
	basis     Basis
	hourly    *big.Rat // an hour of work; nil where none is set
	travel    *big.Rat // an hour of travel and waiting; nil: as hourly, and nothing by the piece
	guarantee *big.Rat // least for an hour by the piece; nil: none
	salary    *big.Rat
	hours     int64 // that the salary is for (29 CFR 778.113); 0: all that are worked (778.114)
	mile      *big.Rat
	codes     map[string]*big.Rat
	order     int
}

// ratesFile is the file's own form. Amounts are strings, as a TOML number
// with a point is a float.
type ratesFile struct {
	Employee  string      `toml:"employee"`
	Zone      string      `toml:"zone"`
	WeekStart string      `toml:"week_start"`
	Policy    Policy      `toml:"policy"`
	Rates     []rateTable `toml:"rates"`
	Minimum   string      `toml:"minimum_wage"`
	Bonus     []struct {
		Week   string `toml:"week"`
		Amount string `toml:"amount"`
	} `toml:"bonus"`
}

type rateTable struct {
	From      string            `toml:"from"`
	Until     string            `toml:"until"` // last day; absent: until the next table
	Basis     Basis             `toml:"basis"`
	Hourly    string            `toml:"hourly"`
	Travel    string            `toml:"travel"`
	Guarantee string            `toml:"guarantee"`
	Salary    string            `toml:"salary"`
	SalaryFor string            `toml:"salary_for"`
	Mile      string            `toml:"mile"`
	Codes     map[string]string `toml:"codes"`
}

// federalMinimum is the minimum wage, dollars an hour: 29 U.S.C. 206(a)(1)(C).
// Many states have a higher one.
const federalMinimum = "7.25"

// ReadRates reads and checks a rates file. All that is wrong with it comes in
// one error.
func ReadRates(r io.Reader) (Rates, error) {
	f := ratesFile{
		Zone: "UTC", WeekStart: "monday 00:00", Minimum: federalMinimum,
		Policy: Policy{RegularRate: CentRate, Gaps: "work", FirstTravel: "work", ShortMeals: "work", MealsWithWork: "work"},
	}
	meta, err := toml.NewDecoder(r).Decode(&f)
	if err != nil {
		return Rates{}, fmt.Errorf("rates file: %w", err)
	}
	var errs []error
	for _, k := range meta.Undecoded() {
		errs = append(errs, fmt.Errorf("%s is not a setting", k))
	}
	out := Rates{Employee: f.Employee, Policy: f.Policy, bonuses: map[string]*big.Rat{}}
	if out.Zone, err = time.LoadLocation(f.Zone); err != nil {
		errs = append(errs, fmt.Errorf("zone %q is not known: write it as \"America/Denver\"", f.Zone))
	}
	if out.Start, err = parseWeekStart(f.WeekStart); err != nil {
		errs = append(errs, err)
	}
	if out.minimum, err = parseDollars(f.Minimum); err != nil {
		errs = append(errs, fmt.Errorf("minimum_wage: %w", err))
	}
	errs = append(errs, f.Policy.check()...)
	for i, t := range f.Rates {
		p, err := t.read(out.Zone)
		if err != nil {
			errs = append(errs, fmt.Errorf("rates %d: %w", i+1, err))
		}
		p.order = i
		out.periods = append(out.periods, p)
	}
	if len(f.Rates) == 0 {
		errs = append(errs, errors.New("there is no [[rates]] table"))
	}
	for _, b := range f.Bonus {
		amount, err := parseDollars(b.Amount)
		if _, _, e := parseWeek(b.Week); err != nil || e != nil {
			errs = append(errs, fmt.Errorf("bonus: %w", errors.Join(err, e)))
			continue
		}
		if old, ok := out.bonuses[b.Week]; ok {
			amount = add(amount, old)
		}
		out.bonuses[b.Week] = amount
	}
	slices.SortStableFunc(out.periods, func(a, b period) int { return a.from.Compare(b.from) })
	for i := 1; i < len(out.periods); i++ {
		if a, b := out.periods[i-1], out.periods[i]; a.from.Equal(b.from) {
			errs = append(errs, fmt.Errorf("rates %d and %d both begin on %s", a.order+1, b.order+1, a.from.Format(time.DateOnly)))
		} else if a.until.After(b.from) {
			errs = append(errs, fmt.Errorf("rates %d last beyond %s, when rates %d begin", a.order+1, b.from.Format(time.DateOnly), b.order+1))
		}
	}
	if len(errs) > 0 {
		return Rates{}, fmt.Errorf("rates file: %w", errors.Join(errs...))
	}
	return out, nil
}

func (p Policy) check() []error {
	var errs []error
	if p.RegularRate != CentRate && p.RegularRate != ExactRate {
		errs = append(errs, fmt.Errorf("policy regular_rate is %q: it is \"cent\" or \"exact\"", p.RegularRate))
	}
	if p.RoundMinutes < 0 || p.RoundMinutes > 15 || p.RoundMinutes > 0 && 60%p.RoundMinutes != 0 {
		errs = append(errs, fmt.Errorf("policy round_minutes is %d: it is 0, or a part of an hour up to 15 (29 CFR 785.48)", p.RoundMinutes))
	}
	for _, x := range [][2]string{{"gaps", p.Gaps}, {"first_travel", p.FirstTravel}, {"short_meals", p.ShortMeals}, {"meals_with_work", p.MealsWithWork}} {
		if x[1] != "work" && x[1] != "off" {
			errs = append(errs, fmt.Errorf("policy %s is %q: it is \"work\" or \"off\"", x[0], x[1]))
		}
	}
	return errs
}

// read turns one table into a period.
func (t rateTable) read(zone *time.Location) (period, error) {
	if zone == nil {
		zone = time.UTC
	}
	p := period{basis: t.Basis, codes: map[string]*big.Rat{}}
	var errs []error
	var err error
	if p.from, err = time.ParseInLocation(time.DateOnly, t.From, zone); err != nil {
		errs = append(errs, fmt.Errorf("from %q is not a day: write it as \"2026-01-01\"", t.From))
	}
	if t.Until != "" {
		if p.until, err = time.ParseInLocation(time.DateOnly, t.Until, zone); err != nil || p.until.Before(p.from) {
			errs = append(errs, fmt.Errorf("until %q is not a day on or after from: write it as \"2026-12-31\"", t.Until))
		}
		p.until = p.until.AddDate(0, 0, 1)
	}
	for _, x := range []struct {
		name, s string
		to      **big.Rat
	}{{"hourly", t.Hourly, &p.hourly}, {"travel", t.Travel, &p.travel}, {"guarantee", t.Guarantee, &p.guarantee}, {"salary", t.Salary, &p.salary}, {"mile", t.Mile, &p.mile}} {
		if x.s == "" {
			continue
		}
		if *x.to, err = parseDollars(x.s); err != nil {
			errs = append(errs, fmt.Errorf("%s: %w", x.name, err))
		}
	}
	for code, s := range t.Codes {
		if p.codes[fold(code)], err = parseDollars(s); err != nil {
			errs = append(errs, fmt.Errorf("code %s: %w", code, err))
		}
	}
	return p, errors.Join(append(errs, t.fits(&p)...)...)
}

// fits checks that a table has what its basis needs, and nothing that the
// basis would leave unused.
func (t rateTable) fits(p *period) []error {
	var errs []error
	switch {
	case t.Basis != Hourly && t.Basis != Piece && t.Basis != Salary:
		errs = append(errs, fmt.Errorf("basis is %q: it is \"hourly\", \"piece\" or \"salary\"", t.Basis))
	case t.Basis == Hourly && t.Hourly == "":
		errs = append(errs, errors.New("basis hourly needs hourly"))
	case t.Basis == Piece && len(t.Codes) == 0:
		errs = append(errs, errors.New("basis piece needs codes"))
	case t.Basis == Salary && t.Salary == "":
		errs = append(errs, errors.New("basis salary needs salary"))
	}
	if (t.Basis == Hourly || t.Basis == Salary) && len(t.Codes) > 0 {
		errs = append(errs, fmt.Errorf("basis %[1]q and [rates.codes] do not go together, as codes pay by the piece: "+
			"take one of them away, or make basis \"piece\" (with hourly for the time without a job)", t.Basis))
	}
	if t.SalaryFor != "" && t.Basis != Salary {
		errs = append(errs, fmt.Errorf("salary_for goes with basis \"salary\", not with %q", t.Basis))
	}
	if t.SalaryFor != "" && t.SalaryFor != "all" {
		n, err := strconv.ParseInt(t.SalaryFor, 10, 64)
		if err != nil || n < 1 || n > 168 {
			errs = append(errs, fmt.Errorf("salary_for is %q: it is \"all\", for all hours worked, or a number of hours a week, as \"40\"", t.SalaryFor))
		}
		p.hours = n
	}
	return errs
}

// fold makes codes compare whatever their case and spaces.
func fold(code string) string { return strings.ToLower(strings.Join(strings.Fields(code), " ")) }

// at returns the rates that hold at a time.
func (r Rates) at(t time.Time) (period, error) {
	for _, p := range slices.Backward(r.periods) {
		if t.Before(p.from) {
			continue
		}
		if !p.until.IsZero() && !t.Before(p.until) {
			break
		}
		return p, nil
	}
	return period{}, fmt.Errorf("the rates file has no rates for %s: add a [[rates]] table that covers it", t.In(r.Zone).Format(time.DateOnly))
}

// next returns when the rates after t change, or the zero time.
func (r Rates) next(t time.Time) time.Time {
	for _, p := range r.periods {
		if p.from.After(t) {
			return p.from
		}
		if p.until.After(t) {
			return p.until
		}
	}
	return time.Time{}
}
