package pay

import (
	"reflect"
	"strings"
	"testing"
)

func TestReadRatesRefuses(t *testing.T) {
	tests := []struct{ name, toml, want string }{
		{"not TOML", "a = ", "rates file"},
		{"nothing", "", "no [[rates]] table"},
		{"a float", strings.Replace(hourly12, `"12.00"`, "12.00", 1), "rates file"},
		{"not an amount", strings.Replace(hourly12, "12.00", "twelve", 1), `hourly: "twelve" is not an amount`},
		{"a negative amount", strings.Replace(hourly12, "12.00", "-12", 1), "not an amount"},
		{"a fraction", strings.Replace(hourly12, "12.00", "1/3", 1), "not an amount"},
		{"an unknown setting", hourly12 + "holiday = \"yes\"\n", "rates.holiday is not a setting"},
		{"an unknown zone", strings.Replace(hourly12, "America/Denver", "Mars/Base", 1), `zone "Mars/Base" is not known`},
		{"a bad start", strings.Replace(hourly12, "monday 00:00", "someday", 1), "week_start"},
		{"a bad day", strings.Replace(hourly12, "2020-01-01", "2020-13-01", 1), "is not a day"},
		{"a bad basis", strings.Replace(hourly12, `"hourly"`, `"tips"`, 1), `basis is "tips"`},
		{"no hourly", "[[rates]]\nfrom = \"2020-01-01\"\nbasis = \"hourly\"\n", "basis hourly needs hourly"},
		{"a bad policy", "[policy]\nregular_rate = \"up\"\n" + "[[rates]]\nfrom = \"2020-01-01\"\nbasis = \"salary\"\nsalary = \"1\"\n", "policy regular_rate"},
		{"a bad rounding", "[policy]\nround_minutes = 7\n" + "[[rates]]\nfrom = \"2020-01-01\"\nbasis = \"salary\"\nsalary = \"1\"\n", "policy round_minutes"},
		{"twice the same day", hourly12 + "[[rates]]\nfrom = \"2020-01-01\"\nbasis = \"hourly\"\nhourly = \"13\"\n", "both begin on 2020-01-01"},
		{"overlapping", "[[rates]]\nfrom = \"2020-01-01\"\nuntil = \"2020-12-31\"\nbasis = \"hourly\"\nhourly = \"13\"\n[[rates]]\nfrom = \"2020-06-01\"\nbasis = \"hourly\"\nhourly = \"13\"\n", "last beyond 2020-06-01"},
		{"hourly with codes", hourly12 + "[rates.codes]\n\"7\" = \"40\"\n", `basis "hourly" and [rates.codes] do not go together`},
		{"a salary with codes", "[[rates]]\nfrom = \"2020-01-01\"\nbasis = \"salary\"\nsalary = \"1\"\n[rates.codes]\n\"7\" = \"40\"\n", `basis "salary" and [rates.codes] do not go together`},
		{"a salary for no hours", "[[rates]]\nfrom = \"2020-01-01\"\nbasis = \"salary\"\nsalary = \"1\"\nsalary_for = \"some\"\n", `salary_for is "some"`},
		{"hours of no salary", hourly12 + "salary_for = \"40\"\n", "salary_for goes with basis"},
		{"a minimum wage that is none", "minimum_wage = \"low\"\n" + hourly12, "minimum_wage"},
		{"a bonus for no week", hourly12 + "[[bonus]]\nweek = \"soon\"\namount = \"1\"\n", "not a week"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if _, err := ReadRates(strings.NewReader(tt.toml)); err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("got %v, want %q", err, tt.want)
			}
		})
	}
}

// TestRatesAreDated: a rate holds from its day on, within a job too.
func TestRatesAreDated(t *testing.T) {
	w := newWorker(t)
	w.job("1", "arrived 2026-11-17 22:00", "departed 2026-11-18 02:00")
	p, err := w.pay(hourly12+"[[rates]]\nfrom = \"2026-11-18\"\nbasis = \"hourly\"\nhourly = \"15.00\"\n", "2026-W47")
	if err != nil || p.Summary.Straight != 2*1200+2*1500 {
		t.Errorf("straight %s, %v", p.Summary.Straight, err)
	}
}

// TestRatesExample: the example is read, and every setting there is stands in it.
func TestRatesExample(t *testing.T) {
	r := MakeRates(t, RatesExample)
	if r.Employee == "" || len(r.periods) != 3 || len(r.bonuses) != 1 {
		t.Errorf("%+v", r)
	}
	for _, typ := range []reflect.Type{reflect.TypeFor[ratesFile](), reflect.TypeFor[Policy](), reflect.TypeFor[rateTable]()} {
		for i := range typ.NumField() {
			if tag := typ.Field(i).Tag.Get("toml"); tag != "salary" && !strings.Contains(RatesExample, tag) {
				t.Errorf("%s is not in the example", tag)
			}
		}
	}
}
