package closeout

import (
	"fmt"
	"strings"
	"time"

	"downlead/grammar/entry"
)

func CauseLine(k Cause) string {
	t := k.Text
	if t != "" {
		t = strings.ToUpper(t[:1]) + t[1:]
	}
	gain := ""
	if k.Gain.Said() {
		gain = fmt.Sprintf(", %s dB gained", k.Gain)
		if k.Gain.Sign() < 0 {
			gain = fmt.Sprintf(", %s dB lost", k.Gain.Neg())
		}
	}
	if k.Claim != "" {
		return k.Claim
	}
	switch k.State {
	case Proven:
		return fmt.Sprintf("%s. Proven: %s went from fail to pass%s (entries %d and %d).", t, k.Point, gain, k.Before, k.After)
	case Improved:
		return fmt.Sprintf("%s. It helped but was not all: %s still failed%s (entries %d and %d).", t, k.Point, gain, k.Before, k.After)
	case NoChange:
		return fmt.Sprintf("%s. No fault proven there: %s did not change from fail to pass%s (entries %d and %d).", t, k.Point, gain, k.Before, k.After)
	}
	return t + ". Not proven: no point was read both before and after it."
}

// Again shows the reading after a repair.
func Again(p BeforeAfter) Cell {
	switch {
	case p.After == nil && !p.Stale:
		return Txt("no work on its way")
	case p.After == nil && p.Between != nil:
		c := Show(p.Between)
		c.Text += ", before the last repair"
		return c
	case p.After == nil:
		return Txt("not read again")
	}
	return Show(p.After)
}

// Clock formats a time of the job, with its day where that is not the day on
// which the job began.
func (c Closeout) Clock(t time.Time) string {
	if first, ok := Begins(c); ok && c.Date(&first, time.DateOnly) != c.Date(&t, time.DateOnly) {
		return c.Date(&t, "Mon 2 Jan 15:04")
	}
	return c.Date(&t, "15:04")
}

// Margin returns the margins as they stand now, in words.
func Margin(p BeforeAfter) string {
	if p.Stale {
		return "not known since the repair"
	}
	r := p.Last()
	var parts []string
	if r.LevelMargin.Said() {
		parts = append(parts, signed(r.LevelMargin)+" dB")
	}
	if r.StrengthMargin.Said() {
		parts = append(parts, signed(r.StrengthMargin)+" strength")
	}
	return strings.Join(parts, ", ")
}

// OpenWords puts what is open into lines, and the reason by itself where it
// is the same for all that have one.
func (c Closeout) OpenWords() (why string, lines []string) {
	reasons := map[string]bool{}
	for _, o := range c.Open {
		if o.Why != "" {
			reasons[o.Why] = true
			why = o.Why
		}
	}
	if len(reasons) > 1 {
		why = ""
	}
	for _, o := range c.Open {
		t := Plain(o.What)
		if o.Detail != "" {
			t += ": " + o.Detail
		}
		if o.Why != "" && why == "" {
			t += " (reason given: " + o.Why + ")"
		}
		lines = append(lines, t)
	}
	return why, lines
}

// OutcomeLine says how the call ended, in a sentence; "" while it is open, and
// of a record that has no claims.
func (c Closeout) OutcomeLine() string {
	for _, k := range c.Claims {
		if k.Code == string(c.Outcome) && c.Closed != nil {
			return k.Text
		}
	}
	return ""
}

// ProofLines say for every receiver that failed at first how it stands now.
func (c Closeout) ProofLines() []string {
	var out []string
	for _, p := range c.Points {
		if p.Before == nil || p.Before.Verdict != entry.Fail || p.Point.Element != entry.Receiver {
			continue
		}
		name := p.Name
		if p.What != "" {
			name += ", " + p.What
		}
		now := "Proof: not read again"
		switch {
		case p.After == nil && !p.Stale:
			now = "Proof: none, nothing was mended on its way"
		case p.After == nil && p.Between != nil:
			now = "Proof: not read since the last repair; before it, " + Show(p.Between).Text
		case p.After != nil:
			label := "Proof: "
			if p.After.Verdict == entry.Fail {
				label = "Read again, and no proof: "
			}
			now = label + strings.Join([]string{Show(p.After).Text, Margin(p)}, ", margin ")
		}
		out = append(out, fmt.Sprintf("Baseline %s: %s. %s.", name, Show(p.Before).Text, strings.TrimSuffix(now, ", margin ")))
	}
	return out
}

// Show puts a reading's values into one cell.
func Show(r *Reading) Cell {
	if r == nil {
		return Txt("not read")
	}
	parts := []string{VerdictWord(r.Verdict)}
	if r.Verdict == "" && r.Volts.Said() {
		parts = nil // the supply alone is judged by nobody
	}
	if r.NoSignal {
		parts = append(parts, "no signal")
	}
	add := func(d entry.Decimal, format string) {
		if d.Said() {
			parts = append(parts, fmt.Sprintf(format, d))
		}
	}
	add(r.Level, "%s dBm")
	add(r.Strength, "strength %s")
	add(r.MER, "MER %s dB")
	add(r.Volts, "%s V")
	if r.Judged != "" && r.Judged != r.Verdict {
		parts = append(parts, "by the numbers "+VerdictWord(r.Judged))
	}
	return Judged(r.Verdict, strings.Join(parts, ", "))
}

// Length puts seconds into "1 h 05 min".
func Length(seconds int64) string {
	if seconds < 0 {
		return "not known"
	}
	m := (seconds + 30) / 60
	if m < 60 {
		return fmt.Sprintf("%d min", m)
	}
	return fmt.Sprintf("%d h %02d min", m/60, m%60)
}

func OrDash(s string) string {
	if s == "" {
		return "—"
	}
	return s
}

func MaterialWords(c Closeout) []string {
	var out []string
	for _, m := range c.Materials {
		switch {
		case m.LengthFt.Said():
			out = append(out, strings.TrimSpace(fmt.Sprintf("%s ft %s %s", m.LengthFt, Plain(m.Item), strings.ToUpper(m.Cable))))
		default:
			out = append(out, fmt.Sprintf("%d × %s", max(1, m.Quantity), Plain(m.Item)))
		}
	}
	return out
}

// Begins is the time that decides which week a job's miles belong to.
func Begins(c Closeout) (time.Time, bool) {
	switch {
	case len(c.Times) > 0:
		return c.Times[0].At, true
	case c.Opened != nil:
		return *c.Opened, true
	}
	return time.Time{}, false
}

// Cell is one cell of a table; a verdict gets its mark before the text.
type Cell struct {
	Text    string
	Verdict *entry.Verdict
	Bold    bool
}

func Txt(s string) Cell { return Cell{Text: s} }

func Judged(v entry.Verdict, s string) Cell { return Cell{Text: s, Verdict: &v} }

// Date formats a time as it stood on the technician's clock.
func (c Closeout) Date(t *time.Time, layout string) string {
	if t == nil {
		return "not logged"
	}
	if loc, err := time.LoadLocation(c.Zone); err == nil && c.Zone != "" {
		return t.In(loc).Format(layout)
	}
	return t.Format(layout)
}

func signed(d entry.Decimal) string {
	if d.Sign() > 0 {
		return "+" + d.String()
	}
	return d.String()
}
