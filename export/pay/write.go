package pay

import (
	"fmt"
	"io"
	"math/big"
	"strconv"
	"strings"
	"time"

	"downlead/export/closeout"
	"downlead/export/shown"
)

// JSON writes the pay record as one JSON document.
func (p Pay) JSON(w io.Writer) error { return closeout.WriteJSON(w, p) }

// payColumns are the columns of the pay table, in CSV: a row a job, a
// row a workday, a row a stretch of time without a job, then one for the week.
var payColumns = []closeout.CsvColumn{
	{Name: "row", Numeric: false},
	{Name: "employee", Numeric: false},
	{Name: "week", Numeric: false},
	{Name: "job", Numeric: false},
	{Name: "outcome", Numeric: false},
	{Name: "en_route", Numeric: false},
	{Name: "arrived", Numeric: false},
	{Name: "departed", Numeric: false},
	{Name: "productive_s", Numeric: true},
	{Name: "travel_s", Numeric: true},
	{Name: "rest_s", Numeric: true},
	{Name: "meal_paid_s", Numeric: true},
	{Name: "meal_off_s", Numeric: true},
	{Name: "off_s", Numeric: true},
	{Name: "worked_s", Numeric: true},
	{Name: "codes", Numeric: false},
	{Name: "units", Numeric: true},
	{Name: "piece_dollars", Numeric: true},
	{Name: "miles", Numeric: true},
	{Name: "mile_rate", Numeric: true},
	{Name: "miles_dollars", Numeric: true},
	{Name: "materials", Numeric: false},
	{Name: "overtime_s", Numeric: true},
	{Name: "straight_dollars", Numeric: true},
	{Name: "bonus_dollars", Numeric: true},
	{Name: "regular_rate", Numeric: true},
	{Name: "premium_dollars", Numeric: true},
	{Name: "total_dollars", Numeric: true},
	{Name: "reimbursed_dollars", Numeric: true},
	{Name: "payable_dollars", Numeric: true},
	{Name: "flags", Numeric: false},
	{Name: "note", Numeric: false},
	{Name: "other_s", Numeric: true},
	{Name: "policies", Numeric: false},
	{Name: "date", Numeric: false},
}

// CSV writes a row a job, the time without a job, the workdays and the week.
func (p Pay) CSV(w io.Writer) error {
	var rows [][]string
	for _, j := range p.Jobs {
		rows = append(rows, p.jobCells(j))
	}
	for _, t := range p.Other {
		rows = append(rows, p.otherCells(t))
	}
	for _, d := range p.Days {
		rows = append(rows, p.timeCells("day", d.Buckets, map[string]string{"date": d.Date}))
	}
	return closeout.WriteCSV(w, payColumns, append(rows, p.weekCells()))
}

// otherCells is a row of time without a job.
func (p Pay) otherCells(t PayTime) []string {
	return p.timeCells("other", t.bucket, map[string]string{
		"arrived": t.From.Format(time.RFC3339), "departed": t.To.Format(time.RFC3339), "note": string(t.What), "date": p.date(t.From),
	})
}

// timeCells is a row that has time and no money.
func (p Pay) timeCells(row string, b Buckets, more map[string]string) []string {
	cells := append([]string{row, p.Employee, p.Week, "", "", "", "", ""}, b.cells()...)
	for _, c := range payColumns[len(cells):] {
		cells = append(cells, map[string]string{"other_s": itoa(b.Other)}[c.Name])
	}
	for i, c := range payColumns {
		if v, ok := more[c.Name]; ok {
			cells[i] = v
		}
	}
	return cells
}

func itoa(n int64) string { return strconv.FormatInt(n, 10) }

func (b Buckets) cells() []string {
	return []string{itoa(b.Productive), itoa(b.Travel), itoa(b.Rest), itoa(b.MealPaid), itoa(b.MealOff), itoa(b.Off), itoa(b.Worked())}
}

func (p Pay) jobCells(j PayJob) []string {
	mark := func(name string) string { // the first of its name; of departures the last
		at := ""
		for _, m := range j.Marks {
			if m.Mark == name && (at == "" || name == "departed") {
				at = m.At.Format(time.RFC3339)
			}
		}
		return at
	}
	var codes []string
	flags := p.flagsOf(j.Job)
	units := closeout.Decimal(0)
	for _, k := range j.Codes {
		codes = append(codes, fmt.Sprintf("%s × %s", k.Code, k.Units))
		units = closeout.Plus(units, k.Units)
	}
	date := ""
	if len(j.Marks) > 0 {
		date = p.date(j.Marks[0].At)
	}
	cells := append([]string{"job", p.Employee, p.Week, j.Job, string(j.Outcome), mark("en_route"), mark("arrived"), mark("departed")}, j.Buckets.cells()...)
	cells = append(cells, strings.Join(codes, "; "), units.String(), j.Piece, j.Miles, j.MileRate, j.MilesPaid, strings.Join(j.Materials, "; "))
	return append(cells, "", "", "", "", "", "", "", "", strings.Join(flags, "; "), "", itoa(j.Buckets.Other), "", date)
}

// jobSums are the cells of the sum of the rows of jobs and of the time without.
func (p Pay) jobSums() []string {
	var units, piece, miles, paid big.Rat
	sum := func(to *big.Rat, s string) {
		if r, ok := new(big.Rat).SetString(s); ok {
			to.Add(to, r)
		}
	}
	var of Buckets
	for _, j := range p.Jobs {
		for _, k := range j.Codes {
			sum(&units, k.Units.String())
		}
		sum(&piece, j.Piece)
		sum(&miles, j.Miles)
		sum(&paid, j.MilesPaid)
		of = of.plus(j.Buckets)
	}
	for _, t := range p.Other {
		of = of.plus(t.bucket)
	}
	exact := func(r *big.Rat) string { s, _ := exactDecimal(r); return s }
	cells := append([]string{"sum", p.Employee, p.Week, "", "", "", "", ""}, of.cells()...)
	return append(cells, "", exact(&units), exact(&piece), exact(&miles), "", exact(&paid), "")
}

func (p Pay) weekCells() []string {
	s := p.Summary
	cells := append([]string{"week", p.Employee, p.Week, "", "", "", "", ""}, s.Buckets.cells()...)
	cells = append(cells, p.jobSums()[len(cells):]...)
	cells[len(cells)-2] = s.Reimbursed.String()
	return append(cells, itoa(s.Overtime), s.Straight.String(), s.Bonus.String(), s.RegularRate, s.Premium.String(),
		s.Total.String(), s.Reimbursed.String(), s.Payable.String(), strings.Join(p.flagsOf(""), "; "), p.Note, itoa(s.Buckets.Other), p.Policy.words(), p.date(p.From))
}

// date is the day of a time where the payroll office is.
func (p Pay) date(t time.Time) string { return t.In(p.From.Location()).Format(time.DateOnly) }

// flagsOf are the flags of a job in words; of "" those of the week and of the
// time without a job.
func (p Pay) flagsOf(job string) []string {
	var out []string
	for _, f := range p.Flags {
		if f.Job == job {
			out = append(out, f.Code+": "+f.Text)
		}
	}
	return out
}

// words are the policies in force, as they stand on every form.
func (p Policy) words() string {
	return fmt.Sprintf("regular rate %s; times rounded to %d min; gaps %s; first travel and last home %s; short meals %s; meals with work %s",
		p.RegularRate, p.RoundMinutes, p.Gaps, p.FirstTravel, p.ShortMeals, p.MealsWithWork)
}

// lines are the week's figures with what they mean, for sheets and terminals.
func (p Pay) lines() [][2]string {
	s := p.Summary
	hm := func(n int64) string { return fmt.Sprintf("%d:%02d:%02d", n/3600, n/60%60, n%60) }
	out := [][2]string{
		{"employee", closeout.OrDash(p.Employee)},
		{"week", fmt.Sprintf("%s, %s to %s (%s)", p.Week, p.From.Format("2006-01-02 15:04 MST"), p.To.Format("2006-01-02 15:04 MST"), p.Zone)},
		{"hours worked", hm(s.Buckets.Worked())},
		{"on site", hm(s.Buckets.Productive)},
		{"without a job", hm(s.Buckets.Other)},
		{"travel and waiting", hm(s.Buckets.Travel)},
		{"rest", hm(s.Buckets.Rest)},
		{"meals paid", hm(s.Buckets.MealPaid)},
		{"meals not paid", hm(s.Buckets.MealOff)},
		{"left out by policy", hm(s.Buckets.Off)},
		{"over 40 hours", hm(s.Overtime)},
		{"straight pay", s.Straight.String()},
		{"bonus", s.Bonus.String()},
		{"regular rate", fmt.Sprintf("%s (exactly %s; policy %s)", s.RegularRate, s.RateExact, p.Policy.RegularRate)},
		{"overtime premium", s.Premium.String()},
		{"check total", s.Total.String()},
		{"miles reimbursed", s.Reimbursed.String()},
		{"check total and miles", s.Payable.String()},
	}
	for _, d := range p.Days {
		out = append(out, [2]string{"workday " + d.Date, hm(d.Worked)})
	}
	out = append(out, [2]string{"policies in force", p.Policy.words()})
	if p.Policy.RoundMinutes > 0 {
		out = append(out, [2]string{"rounding of times", fmt.Sprintf("to %d min; it moved hours worked by %+d s", p.Policy.RoundMinutes, s.Drift)})
	}
	if s.Guaranteed {
		out = append(out, [2]string{"guarantee", "the hourly guarantee was more than the pieces came to (29 CFR 778.111(b))"})
	}
	return append(out, [2]string{"note", p.Note})
}

// Text writes the pay record for a terminal.
func (p Pay) Text(w io.Writer) error {
	p = shown.Of(p)
	var b strings.Builder
	fmt.Fprintf(&b, "Pay of %s, employee %s\n", p.Week, closeout.OrDash(p.Employee))
	rows := [][]string{{"job", "outcome", "worked", "codes", "pieces", "miles", "miles paid"}}
	for _, j := range p.Jobs {
		var codes []string
		for _, k := range j.Codes {
			codes = append(codes, fmt.Sprintf("%s × %s", k.Code, k.Units))
		}
		rows = append(rows, []string{j.Job, closeout.OutcomeWord(j.Outcome), closeout.Length(j.Worked), strings.Join(codes, ", "), j.Piece, j.Miles, j.MilesPaid})
	}
	for _, t := range p.Other {
		rows = append(rows, []string{"-", string(t.What), closeout.Length(t.Worked), t.From.In(p.From.Location()).Format("2006-01-02 15:04"), "", "", ""})
	}
	closeout.Columns(&b, rows)
	b.WriteString("\n")
	for _, l := range p.lines() {
		fmt.Fprintf(&b, "%-22s %s\n", l[0], l[1])
	}
	for _, f := range p.Flags {
		about := "the week"
		if f.Job != "" {
			about = "job " + f.Job
		}
		fmt.Fprintf(&b, "%-22s %s: %s\n", "look at "+closeout.Plain(f.Code), about, f.Text)
	}
	_, err := io.WriteString(w, b.String())
	return err
}
