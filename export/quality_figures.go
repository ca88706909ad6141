package export

import (
	"fmt"
	"slices"
	"strings"

	"downlead/grammar"
	"downlead/journal"
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

func (m *month) counter(name, definition string) *counter {
	return &counter{f: Figure{Name: name, Definition: definition, Window: m.window, Excluded: []Exclusion{}}, excluded: map[string]int{}}
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
	first := m.counter("first_time_fix", fmt.Sprintf("closed as fixed, and no later visit within %d days at the same address in which a fault was found; over closed jobs whose %d days have passed", days, days))
	again := m.counter("repeat", fmt.Sprintf("a visit that began within %d days after another job at the same address was closed; over closed jobs with an address", days))
	whole := m.counter("complete", "nothing missing when the closeout was made; over closed jobs")
	checks := m.counter("checks_done", "all of outlet, input test, dish, mount, cabling, components, grounding and education have a result; over closed jobs")
	receivers := m.counter("receivers_tested", "a reading behind every receiver of the path; over closed jobs with a receiver on the path")
	for _, k := range []*counter{first, again, whole, checks, receivers} {
		if m.open > 0 {
			k.excluded["not closed"] = m.open
		}
	}
	for i, c := range m.jobs {
		switch m.first[i] {
		case "yes", "no":
			first.add(m.first[i] == "yes")
		case "pending":
			first.f.Pending++
		case "left_out":
			first.leaveOut("no access")
		default:
			first.leaveOut("no address: a later visit cannot be seen")
		}
		if key := journal.SiteKey(c.Site.Address); key == "" {
			again.leaveOut("no address")
		} else {
			again.add(m.isRepeat(c, key))
		}
		if c.Outcome == NoAccess {
			for _, k := range []*counter{whole, checks, receivers} {
				k.leaveOut("no access")
			}
			continue
		}
		whole.add(c.Complete)
		checks.add(hasAllChecks(c))
		if all, any := receiversTested(c); any {
			receivers.add(all)
		} else {
			receivers.leaveOut("no receiver on the path")
		}
	}
	return []Figure{first.done(), again.done(), whole.done(), checks.done(), receivers.done(), m.margins()}
}

// margins counts receivers, not jobs.
func (m *month) margins() Figure {
	k := m.counter("proof_above_floor", "the last reading behind a receiver is at or above the floor, and no repair came after it; over receivers with a level")
	for _, c := range m.jobs {
		for _, x := range proofMargins(c) {
			k.add(x >= 0)
		}
	}
	return k.done()
}

func (m *month) isRepeat(c Closeout, key string) bool {
	at := visitAt(c)
	return slices.ContainsFunc(m.sites[key], func(v Closeout) bool {
		return v.Job != c.Job && v.Closed != nil && v.Closed.Before(at) && at.Before(v.Closed.AddDate(0, 0, m.q.FixDays))
	})
}

func hasAllChecks(c Closeout) bool {
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
func receiversTested(c Closeout) (all, any bool) {
	read := map[string]bool{}
	for _, r := range c.Readings {
		if r.Point.Element == grammar.Receiver {
			read[r.ID] = true
		}
	}
	all = true
	for _, e := range c.Path {
		if e.Element == grammar.Receiver && !e.Removed {
			any = true
			all = all && read[e.ID]
		}
	}
	return all, any
}

// spreads are the named intervals and the proof margin. There is no "time to
// repair" without saying from when to when.
func (m *month) spreads() []Spread {
	take := func(name, definition string, of func(Durations) int64) Spread {
		var v []float64
		missing := 0
		for _, c := range m.jobs {
			if s := of(c.Durations); s >= 0 {
				v = append(v, float64(s)/60)
			} else {
				missing++
			}
		}
		return newSpread(name, definition+"; over closed jobs", "min", v, missing)
	}
	out := []Spread{
		take("report_to_clear", "from the fault's report to the first reading that proves the fix", func(d Durations) int64 { return d.ReportToClear }),
		take("arrive_to_clear", "from the arrival to the first reading that proves the fix", func(d Durations) int64 { return d.ArriveToClear }),
		take("active_repair", "from the first reading to the one that proves the fix, less breaks", func(d Durations) int64 { return d.ActiveRepair }),
		take("on_site", "from the first arrival to the last departure, breaks included", func(d Durations) int64 { return d.OnSite }),
	}
	var margins []float64
	missing := 0
	for _, c := range m.jobs {
		x := proofMargins(c)
		if len(x) == 0 {
			missing++
		}
		margins = append(margins, x...)
	}
	return append(out, newSpread("proof_margin", "level of the last reading behind each receiver, less the floor; missing counts jobs without one", "dB", margins, missing))
}

// chart is the p-chart of jobs that were no first-time fix, by week of closing.
func (m *month) chart() PChart {
	var groups []Group
	for i, c := range m.jobs {
		if m.first[i] != "yes" && m.first[i] != "no" {
			continue
		}
		year, week := c.Closed.In(m.q.From.Location()).ISOWeek()
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
	return newPChart("decided jobs that were no first-time fix, by ISO week of closing; limits at three standard deviations (NIST/SEMATECH e-Handbook 6.3.3.2)", groups)
}
