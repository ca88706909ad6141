package quality

import (
	"fmt"
	"strings"

	"downlead/export/closeout"
	"downlead/export/figure"
	"downlead/export/shown"
)

// Leaf is the month for the review page.
func (q Quality) Leaf() (figure.Leaf, error) {
	q = shown.Of(q)
	out := figure.Leaf{Notes: []string{
		fmt.Sprintf("Sample: %s.", q.Sample.words()), "Visits to inspect: " + closeout.OrDash(strings.Join(q.Sample.Jobs, ", ")), q.Note,
	}}
	draw := func(title string, f func(*strings.Builder) error) error {
		d, err := figure.NewDrawing(title, f)
		out.Drawings = append(out.Drawings, d)
		return err
	}
	if err := draw("Figures on their 95 % intervals", func(b *strings.Builder) error { return q.IntervalsSVG(b) }); err != nil {
		return out, err
	}
	if len(q.Chart.Groups) > 0 {
		if err := draw("Visits not fixed, or not for long, by week", func(b *strings.Builder) error { return q.ChartSVG(b) }); err != nil {
			return out, err
		}
	}
	figures := figure.Table{Title: "Figures", Head: []string{"figure", "result", "left out", "what it means"}}
	for _, f := range q.Figures {
		figures.Rows = append(figures.Rows, []string{f.Title, f.Shown, f.excludedWords(), f.Definition + ". Window: " + f.Window + "."})
	}
	spreads := figure.Table{Title: "Times and margins", Head: []string{"what", "result", "what it means"}}
	for _, x := range q.Spreads {
		spreads.Rows = append(spreads.Rows, []string{closeout.Plain(x.Name), x.words(), x.Definition})
	}
	failed := figure.Table{Title: "Visits that failed", Head: []string{"job", "visit of", "closed as", "why"}, Empty: "None of those decided."}
	for _, j := range q.failedJobs() {
		failed.Rows = append(failed.Rows, []string{j.label(), j.Began.In(q.From.Location()).Format("2006-01-02 15:04"), closeout.OutcomeWord(j.Outcome), j.Failed})
	}
	out.Tables = []figure.Table{figures, spreads, failed}
	return out, nil
}
