package claim

import (
	"fmt"
	"slices"
	"strings"

	"downlead/diagnose/call"
	"downlead/diagnose/level"
	"downlead/diagnose/next"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// ScreenWidth is that of a terminal, in columns.
const ScreenWidth = 79

// page collects lines of text, wrapped to the width of a terminal.
type page struct{ strings.Builder }

// line adds a line; what does not fit goes on under its own beginning.
func (p *page) line(format string, a ...any) {
	text := fmt.Sprintf(format, a...)
	indent := len(text) - len(strings.TrimLeft(text, " -"))
	for len(text) > ScreenWidth {
		cut := strings.LastIndexByte(text[:ScreenWidth+1], ' ')
		if cut <= indent {
			break
		}
		p.WriteString(text[:cut] + "\n")
		text = strings.Repeat(" ", indent) + text[cut+1:]
	}
	p.WriteString(text + "\n")
}

// Explain says, in at most a screen of text, what is known, where the fault
// is, what is suspected and how strongly, why the next point is next, and what
// would change its mind.
func Explain(d Diagnosis, c trace.Call) string {
	p := &page{}
	p.known(d, c)
	for _, x := range d.Contradictions[:min(len(d.Contradictions), 1)] {
		p.line("Readings disagree: %s", x.Text)
	}
	for _, w := range d.Where() {
		p.line("%s", w)
	}
	if more := len(d.Brackets) - 2; more > 0 {
		p.line("Failing stretches beside these: %s.", path.Numeral(more))
	}
	p.suspects(d, c)
	p.next(d, c)
	p.aim(d, c)
	p.findings(d)
	return strings.TrimRight(p.String(), "\n")
}

// known lists what holds now, from the dish outwards.
func (p *page) known(d Diagnosis, c trace.Call) {
	if len(d.Points) == 0 {
		p.line("Nothing is measured yet.")
		return
	}
	const most = 5
	volts := seqs(standingVolts(c))
	now := slices.DeleteFunc(slices.Clone(d.Points), func(s level.PointState) bool {
		standing := func(seq int64) bool { return slices.Contains(volts, seq) }
		return s.Stale || s.Verdict == "" && s.Level == nil && !slices.ContainsFunc(s.Entries, standing) && voltsOnly(c, s.Entries)
	})
	shown, width := now[:min(len(now), most)], 0
	for _, s := range shown {
		width = max(width, len(path.PointWords(s.Point)))
	}
	for _, s := range shown {
		p.line("  %-*s  %s", width, path.PointWords(s.Point), stateWords(s, c))
	}
	if more := len(now) - len(shown); more > 0 {
		p.line("  and more: %s", plural(more, "point"))
	}
	if stale := len(d.Points) - len(now); stale > 0 {
		p.line("  not counted, from before a repair: %s", plural(stale, "point"))
	}
}

// voltsOnly reports whether entries are readings of the supply and nothing else.
func voltsOnly(c trace.Call, entries []int64) bool {
	for _, o := range c.Observations {
		if slices.Contains(entries, o.Seq) && (trace.Judges(o.Reading) || !o.Reading.Volts.Said()) {
			return false
		}
	}
	return len(entries) > 0
}

func stateWords(s level.PointState, c trace.Call) string {
	verdict := string(s.Verdict)
	if verdict == "" {
		verdict = "not judged"
		for _, o := range c.Observations {
			if slices.Contains(s.Entries, o.Seq) && o.Reading.Volts.Said() {
				verdict = o.Reading.Volts.String() + " V"
			}
		}
	}
	if s.Level != nil {
		verdict += fmt.Sprintf(", %s dBm", path.Trim(*s.Level))
		if s.Expected != nil {
			verdict += fmt.Sprintf(" (about %.0f expected)", *s.Expected)
		}
	}
	return verdict
}

func (p *page) suspects(d Diagnosis, c trace.Call) {
	if len(d.Suspects) == 0 || len(d.Brackets) == 0 {
		return
	}
	shown := d.Suspected()
	if len(shown) > 0 {
		p.line("Suspects:")
	}
	for _, s := range shown[:min(len(shown), 3)] {
		p.line("  %s: %s, %s", partsWords([]string{s.ID}, c.Path), oddsWith(s.P), ModeWords(s.Mode))
	}
	if top := d.Suspects[0]; len(top.Elements) > 1 && d.atOnce(top.Elements) >= 0.2 {
		p.line("  at once, %s: %s", partsWords(top.Elements, c.Path), oddsWith(d.atOnce(top.Elements)))
	}
	if d.Beyond > 0.01 {
		p.line("  more than three faults at once: %s, not looked at", next.Percent(d.Beyond))
	}
	if judgedPoints(d) < 2 && len(d.readNow[next.ReadVolts]) == 0 && len(c.Sightings) == 0 {
		p.line("  One reading is thin evidence: these are mostly how often each part fails.")
	}
}

func plural(n int, what string) string {
	if n == 1 {
		return "one " + what
	}
	return path.Numeral(n) + " " + what + "s"
}

func judgedPoints(d Diagnosis) int {
	n := 0
	for _, p := range d.Points {
		if p.Verdict != "" && !p.Stale {
			n++
		}
	}
	return n
}

// partsWords names a set of elements.
func partsWords(ids []string, p path.Path) string {
	var names []string
	for _, id := range ids {
		if i := p.Index(id); i >= 0 {
			names = append(names, p.Name(i))
			continue
		}
		names = append(names, strings.ReplaceAll(id, "_", " "))
	}
	return path.List(names, "and")
}

// next says what to do now, why, and what each result would mean.
func (p *page) next(d Diagnosis, c trace.Call) {
	if d.Next == nil || d.Phase != call.Tracing || isRepair(*d.Next) {
		text := Answer(d)
		for _, w := range d.Where() { // said above already
			text = strings.TrimPrefix(text, w+" ")
		}
		p.line("%s", text)
		return
	}
	where := path.PointWords(d.Next.Point)
	if at := endOfRun(c.Path, d.Next); at != path.AtPoint(d.Next.Point) {
		where = strings.TrimPrefix(at, "at ")
	}
	p.line("Next: %s (about %s min): %s.", where, MinutesWords(d.Next.Minutes), d.Next.Why)
	p.change(d, c)
	if d.PlanMinutes > 0 {
		p.line("  Finding the fault should take about %s more minutes of measuring.", MinutesWords(d.PlanMinutes))
	}
}

// change says what each result at the next point would mean.
func (p *page) change(d Diagnosis, c trace.Call) {
	if d.Next.Point.Element == "" || len(d.Brackets) == 0 {
		return
	}
	found := c.Path.Find(d.Next.Point)
	if len(found) != 1 {
		return
	}
	reach := c.Path.Reach(found[0], d.Next.Point.Side)
	var before, after []string
	for _, id := range d.Brackets[0].Elements {
		i := c.Path.Index(id)
		switch {
		case i < 0:
		case c.Path.Above(i, reach):
			before = append(before, c.Path.Name(i))
		default:
			after = append(after, c.Path.Name(i))
		}
	}
	if len(before) == 0 || len(after) == 0 {
		return
	}
	p.line("  A pass there leaves: %s. A fail leaves: %s.", shortList(after), shortList(before))
}

// shortList names a run of parts by its ends when it is long.
func shortList(names []string) string {
	if len(names) > 3 {
		return names[0] + " to " + names[len(names)-1]
	}
	return path.List(names, "or")
}

// aim says where the dish must look when the trace ends there, as far as the
// site and the slot are known.
func (p *page) aim(d Diagnosis, c trace.Call) {
	if len(d.Brackets) == 0 || slices.ContainsFunc(d.Brackets[0].Elements, func(id string) bool {
		i := c.Path.Index(id)
		return i < 0 || c.Path.Elements[i].Element.Rank() > entry.LNB.Rank()
	}) {
		return
	}
	lat, lon, known := c.Site()
	if slot := c.Slot(); known && slot > 0 {
		if look, err := call.LookAngle(lat, lon, -float64(slot)); err == nil {
			p.line("%s", look.Text())
		}
	}
}

// findings lists what else was found; once nothing fails, what will bring the
// technician back, left alone, comes under a heading of its own.
func (p *page) findings(d Diagnosis) {
	const most = 3
	plain, back := d.Findings, []trace.Finding(nil)
	if len(d.Brackets) == 0 {
		back = d.BringBack()
		plain = slices.DeleteFunc(slices.Clone(plain), func(f trace.Finding) bool {
			return slices.ContainsFunc(back, func(b trace.Finding) bool { return b.Code == f.Code && b.Text == f.Text })
		})
	}
	back = back[:min(len(back), most)]
	plain = plain[:min(len(plain), most-len(back))]
	for _, f := range plain {
		p.line("- %s", f.Text)
	}
	if len(back) > 0 {
		p.line("Left alone, this may bring you back:")
	}
	for _, f := range back {
		p.line("- %s", f.Text)
	}
	if more := len(d.Findings) - len(plain) - len(back); more > 0 {
		p.line("- and %s more", plural(more, "finding"))
	}
}
