package pay

import (
	"fmt"
	"io"
	"strings"

	"downlead/export/closeout"
	"downlead/export/figure"
	"downlead/export/shown"
)

// Leaf is the week for the review page.
func (p Pay) Leaf() (figure.Leaf, error) {
	p = shown.Of(p)
	days, err := figure.NewDrawing("Hours worked, by workday", func(b *strings.Builder) error { return p.DaysSVG(b) })
	if err != nil {
		return figure.Leaf{}, err
	}
	week := figure.Table{Title: "The week", Head: []string{"what", "value"}}
	for _, l := range p.lines() {
		if !strings.HasPrefix(l[0], "workday ") && l[0] != "note" {
			week.Rows = append(week.Rows, []string{l[0], l[1]})
		}
	}
	jobs := figure.Table{Title: "Jobs", Head: []string{"job", "outcome", "worked", "codes", "pieces, $", "miles", "miles, $"}, Empty: "No job lies in the week."}
	for _, j := range p.Jobs {
		var codes []string
		for _, k := range j.Codes {
			codes = append(codes, fmt.Sprintf("%s × %s", k.Code, k.Units))
		}
		jobs.Rows = append(jobs.Rows, []string{j.Job, closeout.OutcomeWord(j.Outcome), closeout.Length(j.Worked), strings.Join(codes, ", "), j.Piece, j.Miles, j.MilesPaid})
	}
	hours := figure.Table{Title: "Workdays", Head: []string{"workday", "worked", "on site", "without a job", "travel and waiting", "rest and paid meals", "not paid"}}
	for _, d := range p.Days {
		b := d.Buckets
		row := []string{d.Date}
		for _, n := range []int64{d.Worked, b.Productive, b.Other, b.Travel, b.Rest + b.MealPaid, b.MealOff + b.Off} {
			row = append(row, hourMinutes(n))
		}
		hours.Rows = append(hours.Rows, row)
	}
	look := figure.Table{Title: "Look at", Head: []string{"about", "what", "why"}, Empty: "Nothing is odd."}
	for _, f := range p.Flags {
		about := "the week"
		if f.Job != "" {
			about = "job " + f.Job
		}
		look.Rows = append(look.Rows, []string{about, closeout.Plain(f.Code), f.Text})
	}
	return figure.Leaf{Drawings: []figure.Drawing{days}, Tables: []figure.Table{week, hours, jobs, look}, Notes: []string{p.Note}}, nil
}

func hourMinutes(seconds int64) string { return fmt.Sprintf("%d:%02d", seconds/3600, seconds/60%60) }

// DaysSVG draws the hours of each workday by what they were spent on. Told
// apart by pattern of place and by words as well as by colour.
func (p Pay) DaysSVG(w io.Writer) error {
	const width, row, left, top = 188.0, 7.0, 26.0, 8.0 // millimetres
	most := int64(8 * 3600)
	for _, d := range p.Days {
		most = max(most, d.Worked)
	}
	s := &figure.Svg{}
	at := func(n int64) float64 { return left + float64(n)/float64(most)*(width-left-18) }
	kinds := []struct {
		name string
		fill figure.Rgb
		of   func(Buckets) int64
	}{
		{"on site", figure.Blue, func(b Buckets) int64 { return b.Productive }},
		{"travel and waiting", figure.Pale, func(b Buckets) int64 { return b.Travel }},
		{"without a job", figure.Gray, func(b Buckets) int64 { return b.Other }},
		{"rest and paid meals", figure.White, func(b Buckets) int64 { return b.Rest + b.MealPaid }},
	}
	x := left
	for _, k := range kinds {
		s.Rect(x, 1.5, 3, 3, 0.2, figure.Black, k.fill)
		s.Text(x+4, 4.2, 7, false, figure.Left, figure.Black, k.name)
		x += 8 + s.TextWidth(7, false, k.name)
	}
	var desc []string
	for i, d := range p.Days {
		y := top + row*float64(i)
		s.Text(0, y+4.6, 7.5, false, figure.Left, figure.Black, d.Date)
		from := int64(0)
		for _, k := range kinds {
			n := k.of(d.Buckets)
			if n > 0 {
				s.Rect(at(from), y+1, at(from+n)-at(from), row-2, 0.2, figure.Black, k.fill)
			}
			from += n
		}
		s.Text(at(from)+1.5, y+4.6, 7.5, false, figure.Left, figure.Black, hourMinutes(d.Worked))
		desc = append(desc, d.Date+": "+hourMinutes(d.Worked))
	}
	return s.WriteTo(w, width, top+row*float64(len(p.Days))+1, "Hours worked in "+p.Week, strings.Join(desc, ". "))
}
