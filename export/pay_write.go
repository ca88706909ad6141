package export

import (
	"fmt"
	"io"
	"math/big"
	"strconv"
	"strings"
	"time"
)

// JSON writes the pay record as one JSON document.
func (p Pay) JSON(w io.Writer) error { return writeJSON(w, p) }

// payColumns are the columns of the pay table, in CSV and on the sheet: a row
// a job, then one for the week.
var payColumns = []csvColumn{
	{"row", false},
	{"employee", false},
	{"week", false},
	{"job", false},
	{"outcome", false},
	{"en_route", false},
	{"arrived", false},
	{"departed", false},
	{"productive_s", true},
	{"travel_s", true},
	{"rest_s", true},
	{"meal_paid_s", true},
	{"meal_off_s", true},
	{"off_s", true},
	{"worked_s", true},
	{"codes", false},
	{"units", true},
	{"piece_dollars", true},
	{"miles", true},
	{"mile_rate", true},
	{"miles_dollars", true},
	{"materials", false},
	{"overtime_s", true},
	{"straight_dollars", true},
	{"bonus_dollars", true},
	{"regular_rate", true},
	{"premium_dollars", true},
	{"total_dollars", true},
	{"reimbursed_dollars", true},
	{"payable_dollars", true},
	{"flags", false},
	{"note", false},
}

// CSV writes a row a job and a row for the week.
func (p Pay) CSV(w io.Writer) error {
	rows := make([][]string, 0, len(p.Jobs)+1)
	for _, j := range p.Jobs {
		rows = append(rows, p.jobCells(j))
	}
	return writeCSV(w, payColumns, append(rows, p.weekCells()))
}

func itoa(n int64) string { return strconv.FormatInt(n, 10) }

func (b Buckets) cells() []string {
	return []string{itoa(b.Productive), itoa(b.Travel), itoa(b.Rest), itoa(b.MealPaid), itoa(b.MealOff), itoa(b.Off), itoa(b.Worked())}
}

func (p Pay) jobCells(j PayJob) []string {
	mark := func(name string) string {
		for _, m := range j.Marks {
			if m.Mark == name {
				return m.At.Format(time.RFC3339)
			}
		}
		return ""
	}
	var codes, flags []string
	units := decimal(0)
	for _, k := range j.Codes {
		codes = append(codes, fmt.Sprintf("%s × %s", k.Code, k.Units))
		units = plus(units, k.Units)
	}
	for _, f := range p.Flags {
		if f.Job == j.Job {
			flags = append(flags, f.Code+": "+f.Text)
		}
	}
	cells := append([]string{"job", p.Employee, p.Week, j.Job, string(j.Outcome), mark("en_route"), mark("arrived"), mark("departed")}, j.Buckets.cells()...)
	cells = append(cells, strings.Join(codes, "; "), units.String(), j.Piece, j.Miles, j.MileRate, j.MilesPaid, strings.Join(j.Materials, "; "))
	return append(cells, "", "", "", "", "", "", "", "", strings.Join(flags, "; "), "")
}

func (p Pay) weekCells() []string {
	s := p.Summary
	cells := append([]string{"week", p.Employee, p.Week, "", "", "", "", ""}, s.Buckets.cells()...)
	var units, piece, miles big.Rat
	sum := func(to *big.Rat, s string) {
		if r, ok := new(big.Rat).SetString(s); ok {
			to.Add(to, r)
		}
	}
	for _, j := range p.Jobs {
		for _, k := range j.Codes {
			sum(&units, k.Units.String())
		}
		sum(&piece, j.Piece)
		sum(&miles, j.Miles)
	}
	exact := func(r *big.Rat) string { s, _ := exactDecimal(r); return s }
	cells = append(cells, "", exact(&units), exact(&piece), exact(&miles), "", s.Reimbursed.String(), "")
	return append(cells, itoa(s.Overtime), s.Straight.String(), s.Bonus.String(), s.RegularRate, s.Premium.String(),
		s.Total.String(), s.Reimbursed.String(), s.Payable.String(), "", p.Note)
}

// lines are the week's figures with what they mean, for sheets and terminals.
func (p Pay) lines() [][2]string {
	s := p.Summary
	hm := func(n int64) string { return fmt.Sprintf("%d:%02d:%02d", n/3600, n/60%60, n%60) }
	out := [][2]string{
		{"week", fmt.Sprintf("%s, %s to %s (%s)", p.Week, p.From.Format("2006-01-02 15:04 MST"), p.To.Format("2006-01-02 15:04 MST"), p.Zone)},
		{"hours worked", hm(s.Buckets.Worked())},
		{"on site", hm(s.Buckets.Productive)},
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
	var b strings.Builder
	fmt.Fprintf(&b, "Pay of %s, employee %s\n", p.Week, orDash(p.Employee))
	rows := [][]string{{"job", "outcome", "worked", "codes", "pieces", "miles", "miles paid"}}
	for _, j := range p.Jobs {
		var codes []string
		for _, k := range j.Codes {
			codes = append(codes, fmt.Sprintf("%s × %s", k.Code, k.Units))
		}
		rows = append(rows, []string{j.Job, outcomeWord(j.Outcome), length(j.Worked), strings.Join(codes, ", "), j.Piece, j.Miles, j.MilesPaid})
	}
	columns(&b, rows)
	b.WriteString("\n")
	for _, l := range p.lines() {
		fmt.Fprintf(&b, "%-22s %s\n", l[0], l[1])
	}
	for _, f := range p.Flags {
		fmt.Fprintf(&b, "%-22s job %s: %s\n", "look at "+plain(f.Code), f.Job, f.Text)
	}
	_, err := io.WriteString(w, b.String())
	return err
}
