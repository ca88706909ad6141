package closeout

import (
	"fmt"
	"strings"
	"time"

	"downlead/grammar/entry"
)

// Row is one line of a closeout in tabular form: what the CSV file, the
// database table and the Parquet file hold alike. A number that a section
// does not have is not said; so is a time that is zero.
type Row struct {
	Job     string
	Line    int    // from 1, in order, within the closeout
	Section string // job complaint open cause finding reading before after action check time duration code material miles photograph note unparsed caution explanation
	Entry   int64  // 0 where the line comes from no single entry
	At      time.Time
	Name    string // what the line is about: a point, a check, a code …
	Verdict string
	Text    string

	Technician string // whose job it is; "" when no name is set
	Journal    string // the journal's own UUID

	Level, LevelMargin, Strength, StrengthMargin, MER, Volts entry.Decimal
	Slot, Transponder                                        int // 0: not said
	Polarity                                                 string
	Quantity, LengthFt, Minutes                              entry.Decimal
}

// Rows returns the closeout as lines, in the order of the printed record.
func (c Closeout) Rows() []Row {
	b := rowBuilder{of: c}
	b.summary(c)
	b.readings(c)
	for _, a := range c.Actions {
		b.add(Row{Section: "action", Entry: a.Entry, At: a.At, Name: a.Text, Quantity: count(a.Quantity), LengthFt: a.LengthFt})
	}
	for _, s := range c.Seen {
		b.add(Row{Section: string(s.Kind), Entry: s.Entry, At: s.At, Name: s.Text, Text: s.Remark})
	}
	for _, k := range c.Checks {
		name := k.Check
		if k.Point != "" {
			name += ", " + k.Point
		}
		b.add(Row{Section: "check", Entry: k.Entry, At: k.At, Name: name, Verdict: string(k.Verdict), Text: k.Remark})
	}
	for _, t := range c.Times {
		b.add(Row{Section: "time", Entry: t.Entry, At: t.At, Name: t.Mark, Text: string(t.Source)})
	}
	b.durations(c.Durations)
	for _, k := range c.Codes {
		b.add(Row{Section: "code", Entry: k.Entry, At: k.At, Name: k.Code, Quantity: k.Units})
	}
	for _, m := range c.Materials {
		b.add(Row{Section: "material", Name: m.Item, Text: m.Cable, Quantity: count(m.Quantity), LengthFt: m.LengthFt})
	}
	if c.Miles.Said() {
		b.add(Row{Section: "miles", Name: "miles", Quantity: c.Miles})
	}
	b.words(c)
	return b.rows
}

type rowBuilder struct {
	of   Closeout
	rows []Row
}

func (b *rowBuilder) add(r Row) {
	r.Job, r.Line = b.of.Job, len(b.rows)+1
	r.Technician, r.Journal = b.of.Technician, b.of.Journal.ID
	b.rows = append(b.rows, r)
}

// count is a quantity as a number; 0 means not said.
func count(n int) entry.Decimal {
	if n == 0 {
		return entry.Decimal{}
	}
	return entry.NewDecimal(int64(n), 0)
}

func (b *rowBuilder) summary(c Closeout) {
	job := Row{Section: "job", Name: string(c.Outcome), Text: c.Site.Address}
	if c.Opened != nil {
		job.At = *c.Opened
	}
	b.add(job)
	if c.Complaint != "" {
		b.add(Row{Section: "complaint", Text: c.Complaint})
	}
	for _, o := range c.Open {
		b.add(Row{Section: "open", Name: o.What, Text: strings.TrimSuffix(o.Detail+": "+o.Why, ": ")})
	}
	for _, k := range c.Causes {
		b.add(Row{Section: "cause", Entry: k.Action, Name: k.Text, Verdict: string(k.State), Text: CauseLine(k)})
	}
	for _, x := range c.Findings {
		b.add(Row{Section: "finding", Name: x.Code, Text: x.Text})
	}
}

// readings writes every reading, and the first and the last of everything
// measured as "before" and "after".
func (b *rowBuilder) readings(c Closeout) {
	for _, r := range c.Readings {
		b.reading("reading", r)
	}
	for _, p := range c.Points {
		if p.Before != nil {
			b.reading("before", *p.Before)
		}
		if p.After != nil {
			b.reading("after", *p.After)
		}
	}
}

func (b *rowBuilder) reading(section string, r Reading) {
	text := fmt.Sprintf("repairs before it: %d", r.ActionsBefore)
	if r.NoSignal {
		text += ", no signal"
	}
	b.add(Row{
		Section: section, Entry: r.Entry, At: r.At, Name: r.Name, Verdict: string(r.Verdict), Text: text,
		Level: r.Level, LevelMargin: r.LevelMargin, Strength: r.Strength, StrengthMargin: r.StrengthMargin,
		MER: r.MER, Volts: r.Volts, Slot: r.Slot, Transponder: r.Transponder, Polarity: r.Polarity,
	})
}

func (b *rowBuilder) durations(d Durations) {
	for _, x := range []struct {
		name    string
		seconds int64
	}{
		{"travel", d.Travel},
		{"on_site", d.OnSite},
		{"breaks", d.Breaks},
		{"report_to_clear", d.ReportToClear},
		{"arrive_to_clear", d.ArriveToClear},
		{"active_repair", d.ActiveRepair},
	} {
		if x.seconds >= 0 {
			b.add(Row{Section: "duration", Name: x.name, Minutes: Decimal(x.seconds * Micro / 60)})
		}
	}
}

func (b *rowBuilder) words(c Closeout) {
	for _, p := range c.Photographs {
		b.add(Row{Section: "photograph", Entry: p.Entry, Name: p.Name, Text: p.Remark})
	}
	for _, n := range c.Notes {
		b.add(Row{Section: "note", Entry: n.Entry, At: n.At, Text: n.Text})
	}
	for _, u := range c.Unparsed {
		b.add(Row{Section: "unparsed", Entry: u.Entry, Name: u.Reason, Text: u.Text})
	}
	for _, k := range c.Cautions {
		b.add(Row{Section: "caution", Name: k.Topic, Text: k.Text})
	}
	for _, t := range c.Explanation {
		b.add(Row{Section: "explanation", Text: t})
	}
}
