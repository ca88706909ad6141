package quality

import (
	"fmt"
	"slices"
	"strings"

	"downlead/export/closeout"
	"downlead/grammar/entry"
)

// closingChecks are the checks of a whole call.
func closingChecks() []string {
	return []string{"outlet", "input_test", "dish", "mount", "cabling", "components", "grounding", "education"}
}

// counter counts one figure.
type counter struct {
	f        Figure
	excluded map[string]int
}

func (m *month) counter(name, title, definition string) *counter {
	return &counter{f: Figure{Name: name, Title: title, Definition: definition, Window: m.window, Excluded: []Exclusion{}}, excluded: map[string]int{}}
}

func (k *counter) add(yes bool) {
	k.f.Denominator++
	if yes {
		k.f.Numerator++
	}
}

func (k *counter) leaveOut(why string) { k.excluded[why]++ }

// done closes the figure: interval, exclusions, and the words in which it may be shown.
func (k *counter) done() Figure {
	f := k.f
	for why, n := range k.excluded {
		f.Excluded = append(f.Excluded, Exclusion{why, n})
	}
	slices.SortFunc(f.Excluded, func(a, b Exclusion) int { return strings.Compare(a.Why, b.Why) })
	f.Low, f.High = Wilson(f.Numerator, f.Denominator)
	between := fmt.Sprintf("95 %% interval %.1f to %.1f %%", 100*f.Low, 100*f.High)
	switch {
	case f.Denominator == 0:
		f.Shown = "nothing to count"
	case f.Denominator < leastForPercent:
		f.Shown = fmt.Sprintf("%d of %d (%s)", f.Numerator, f.Denominator, between)
	default:
		f.Shown = fmt.Sprintf("%.1f %% (%d of %d; %s)", 100*float64(f.Numerator)/float64(f.Denominator), f.Numerator, f.Denominator, between)
	}
	if f.Pending > 0 {
		f.Shown += fmt.Sprintf(", %d pending", f.Pending)
	}
	return f
}

func (m *month) figures() []Figure {
	days := m.q.FixDays
	first := m.counter("first_time_fix", fmt.Sprintf("fixed, and it held for %d days", days),
		fmt.Sprintf("the visit was closed as fixed, and no later visit within %d days at the same address found a fault; over closed visits with access whose %d days have passed, repeats among them", days, days))
	again := m.counter("repeat", fmt.Sprintf("repeats within %d days", days),
		fmt.Sprintf("the visit began within %d days after another at the same address had ended, of the same job or another; over closed visits with access and an address", days))
	whole := m.counter("complete", "nothing missing", "nothing missing when the visit ended; over closed visits with access")
	checks := m.counter("checks_done", "all checks done", "all of outlet, input test, dish, mount, cabling, components, grounding and education have a result; over closed visits with access")
	receivers := m.counter("receivers_tested", "every receiver measured", "a reading behind every receiver of the path; over closed visits with access and a receiver on the path")
	once := m.counter("first_visit_fix", fmt.Sprintf("fixed on the first visit, and it held for %d days", days),
		fmt.Sprintf("as %q, over those visits that were no repeats themselves", first.f.Title))
	all := []*counter{first, again, whole, checks, receivers, once}
	for i, v := range m.visits {
		for _, k := range []*counter{first, once} {
			m.decide(k, i)
		}
		switch {
		case v.Closeout.Outcome == closeout.NoAccess:
			for _, k := range []*counter{again, whole, checks, receivers} {
				k.leaveOut("no access")
			}
			continue
		case m.keys[i] == "":
			again.leaveOut("no address")
		default:
			again.add(m.repeat[i])
		}
		whole.add(v.Closeout.Complete)
		checks.add(hasAllChecks(v.Closeout))
		if all, any := receiversTested(v.Closeout); any {
			receivers.add(all)
		} else {
			receivers.leaveOut("no receiver on the path")
		}
	}
	for _, k := range all {
		if m.open > 0 {
			k.excluded["not closed"] = m.open
		}
	}
	return []Figure{first.done(), again.done(), whole.done(), checks.done(), receivers.done(), m.margins(), once.done()}
}

// decide counts visit i in a figure of fixes that held.
func (m *month) decide(k *counter, i int) {
	if k.f.Name == "first_visit_fix" && m.repeat[i] {
		k.leaveOut("a repeat itself")
		return
	}
	switch m.first[i] {
	case "yes", "no":
		k.add(m.first[i] == "yes")
	case "pending":
		k.f.Pending++
	case "left_out":
		k.leaveOut("no access")
	default:
		k.leaveOut("no address: a later visit cannot be seen")
	}
}

// margins counts receivers, not visits.
func (m *month) margins() Figure {
	k := m.counter("proof_above_floor", "receivers left at or above the floor", "the last reading behind a receiver is at or above the floor, and no repair came after it; over receivers with a level")
	for _, v := range m.visits {
		for _, x := range proofMargins(v.Closeout) {
			k.add(x >= 0)
		}
	}
	return k.done()
}

func hasAllChecks(c closeout.Closeout) bool {
	done := map[string]bool{}
	for _, k := range c.Checks {
		done[k.Check] = done[k.Check] || k.Verdict != ""
	}
	for _, name := range closingChecks() {
		if !done[name] {
			return false
		}
	}
	return true
}

// receiversTested reports whether every receiver of the path was read, and
// whether there is one.
func receiversTested(c closeout.Closeout) (all, any bool) {
	read := map[string]bool{}
	for _, r := range c.Readings {
		if r.Point.Element == entry.Receiver {
			read[r.ID] = true
		}
	}
	all = true
	for _, e := range c.Path {
		if e.Element == entry.Receiver && !e.Removed {
			any = true
			all = all && read[e.ID]
		}
	}
	return all, any
}

// spreads are the named intervals and the proof margin. There is no "time to
// repair" without saying from when to when.
func (m *month) spreads() []Spread {
	take := func(name, definition string, of func(closeout.Durations) int64) Spread {
		var v []float64
		missing := 0
		for _, x := range m.visits {
			if s := of(x.Closeout.Durations); s >= 0 {
				v = append(v, float64(s)/60)
			} else {
				missing++
			}
		}
		return newSpread(name, definition+"; over closed visits", "min", v, missing)
	}
	out := []Spread{
		take("report_to_clear", "from the fault's report to the first reading that proves the fix", func(d closeout.Durations) int64 { return d.ReportToClear }),
		take("arrive_to_clear", "from the arrival to the first reading that proves the fix", func(d closeout.Durations) int64 { return d.ArriveToClear }),
		take("active_repair", "from the first reading to the one that proves the fix, less breaks", func(d closeout.Durations) int64 { return d.ActiveRepair }),
		take("on_site", "from each arrival to the departure after it, breaks included", func(d closeout.Durations) int64 { return d.OnSite }),
	}
	var margins []float64
	missing := 0
	for _, v := range m.visits {
		x := proofMargins(v.Closeout)
		if len(x) == 0 {
			missing++
		}
		margins = append(margins, x...)
	}
	return append(out, newSpread("proof_margin", "level of the last reading behind each receiver, less the floor; missing counts visits without one", "dB", margins, missing))
}

// chart is the p-chart of visits whose fix did not hold, by the week they began in.
func (m *month) chart() PChart {
	var groups []Group
	for i, v := range m.visits {
		if m.first[i] != "yes" && m.first[i] != "no" {
			continue
		}
		year, week := v.Began.In(m.q.From.Location()).ISOWeek()
		label := fmt.Sprintf("%04d-W%02d", year, week)
		if len(groups) == 0 || groups[len(groups)-1].Label != label {
			groups = append(groups, Group{Label: label})
		}
		g := &groups[len(groups)-1]
		g.N++
		if m.first[i] == "no" {
			g.Bad++
		}
	}
	if groups == nil {
		groups = []Group{}
	}
	return newPChart("decided visits that were not fixed or whose fix did not hold, by ISO week; limits at three standard deviations (NIST/SEMATECH e-Handbook 6.3.3.2)", groups)
}
