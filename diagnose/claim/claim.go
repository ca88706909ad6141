package claim

import (
	"fmt"
	"slices"
	"strings"

	"downlead/diagnose/call"
	"downlead/diagnose/next"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// Claim is one thing said of a job, with the entries that it rests on. Every
// sentence about a job that is spoken, shown or printed is the text of one, or
// made of several. Its JSON form is a contract.
type Claim struct {
	Code    string             `json:"code"`
	Subject string             `json:"subject"`           // an element's id, or "job"
	Figures map[string]float64 `json:"figures,omitempty"` // dB, dBm or a probability, by name
	Entries []int64            `json:"entries"`           // seqs of the records it rests on
	Text    string             `json:"text"`
}

// The codes of claims, beside the outcomes.
const (
	Passes       = "passes"         // a receiver passes behind it, read after the last repair on its way
	Fails        = "fails"          // a receiver fails behind it
	Unread       = "unread"         // a receiver of the path was not read
	NotReadAgain = "not_read_again" // read, but not since a repair on its way
	TestPassed   = "own_test_passes"
	TestFailed   = "own_test_fails"
	Improved     = "before_after" // a point read on both sides of all repairs on its way
	Bracketed    = "bracket"      // where the fault is, by verdicts
	Explains     = "excess_explains"
	WeakAhead    = "weak_ahead"  // the level is low already where it still passes
	SupplyLost   = "supply_lost" // volts at one point and none at the next
	Suspected    = "suspect"
	Seen         = "seen" // something was seen at a part that has not been replaced since
	Disagree     = "disagree"
	Proven       = "repair_proven"
	Together     = "repairs_proven_together"
	Helped       = "repair_helped"
	Lapsed       = "repair_lapsed" // it passed after it, and fails again
	NotShown     = "repair_not_shown"
)

// on is the subject of claims about the whole job.
const job = "job"

// claims makes every claim that a diagnosis bears out, in the order in which
// one would tell them.
func claims(p *call.Progress, d Diagnosis) []Claim {
	var out []Claim
	out = append(out, Claim{Code: d.Outcome.Code, Subject: job, Entries: d.Outcome.Entries, Text: d.Outcome.Text})
	out = append(out, receivers(p)...)
	for _, r := range d.Repairs {
		out = append(out, r.claim(p.Call))
	}
	out = append(out, pairClaims(p.Call, d.Pairs)...)
	out = append(out, where(p, d)...)
	out = append(out, seen(p.Call)...)
	out = append(out, swaps(p)...)
	for _, x := range d.Contradictions {
		out = append(out, Claim{Code: Disagree, Subject: job, Entries: x.Entries, Text: x.Text})
	}
	for _, f := range d.Findings {
		out = append(out, Claim{Code: f.Code, Subject: job, Entries: f.Entries, Text: f.Text})
	}
	if n := d.Next; n != nil && d.Outcome.Code == Open {
		out = append(out, Claim{Code: "next", Subject: subjectOf(n.ID), Entries: evidence(p.Call), Text: n.Text})
	}
	for i := range out {
		e := slices.Clone(out[i].Entries)
		slices.Sort(e)
		out[i].Entries = orEmpty(slices.Compact(e))
	}
	return out
}

func subjectOf(id string) string {
	if id == "" {
		return job
	}
	return id
}

// judged lists the readings that say something of the signal.
func judged(c trace.Call) []int64 {
	var out []int64
	for _, o := range c.Observations {
		if trace.Judges(o.Reading) {
			out = append(out, o.Seq)
		}
	}
	return out
}

// evidence lists everything that the odds are weighed from.
func evidence(c trace.Call) []int64 {
	out := seqs(c.Observations)
	for _, s := range c.Sightings {
		out = append(out, s.Seq)
	}
	for _, s := range c.Symptoms {
		out = append(out, s.Seq)
	}
	for _, s := range c.Swaps {
		out = append(out, s.Seq)
	}
	return out
}

// seen says again what was seen, of parts that are still there.
func seen(c trace.Call) []Claim {
	var out []Claim
	for _, s := range c.Sightings {
		replaced := slices.ContainsFunc(s.Elements, func(e int) bool { return s.Versions[e] != c.Versions[e] })
		i := slices.IndexFunc(c.Records, func(r record.Record) bool { return r.Seq == s.Seq })
		if replaced || i < 0 {
			continue
		}
		k := Claim{Code: Seen, Subject: job, Entries: []int64{s.Seq}, Text: "Seen: " + entry.Say(c.Records[i].Entry) + "."}
		if len(s.Elements) == 1 {
			k.Subject = c.Path.Elements[s.Elements[0]].ID
		}
		out = append(out, k)
	}
	return out
}

// receivers says of every receiver of the path how it stands now.
func receivers(p *call.Progress) []Claim {
	var out []Claim
	for _, r := range p.Call.Path.Receivers() {
		name, id := receiverName(p.Call.Path, r), p.Call.Path.Elements[r].ID
		s, ok := p.Behind(r)
		c := Claim{Subject: id}
		switch {
		case !ok:
			c.Code, c.Text = Unread, upper(name)+" is not read yet."
		case s.Stale:
			c.Code, c.Entries = NotReadAgain, []int64{s.Last().Seq}
			for _, q := range p.Call.Repairs {
				if q.Seq > s.Last().Seq && p.Call.OnWay(q, trace.JointKey{Reach: r}) {
					c.Entries = append(c.Entries, q.Seq)
				}
			}
			c.Text = fmt.Sprintf("%s was not read again after the repair.", upper(name))
		case s.Verdict == entry.Pass:
			c.Code, c.Entries, c.Text = Passes, judging(s.Now), upper(name)+" passes"+levelWords(s)+"."
			if _, why := saidAgainst(p.Call, s, entry.Pass); why != "" {
				c.Text = upper(name) + " was said to pass, but " + why + "."
			}
			if left := s.LeftWords(); left != "" {
				c.Text = strings.TrimSuffix(c.Text, ".") + "; it was not read again" + left + " after the repair."
			}
		default:
			c.Code, c.Entries, c.Text = Fails, judging(s.Now), upper(name)+" fails"+levelWords(s)+"."
		}
		if o, leveled := s.Level(); ok && leveled {
			c.Figures = map[string]float64{"level_dbm": o.Reading.Level.Float()}
		}
		out = append(out, c)
		if t, counts := p.InputTest(r); counts {
			k := Claim{Code: TestPassed, Subject: id, Entries: []int64{t.Seq}, Text: upper(name) + " passes its own test."}
			if t.Verdict == entry.Fail {
				k.Code, k.Text = TestFailed, upper(name)+" fails its own test."
			}
			out = append(out, k)
		}
	}
	return out
}

// saidAgainst returns the reading of a spot whose numbers do not bear out the
// verdict that was said of it, and why; "" where they do.
func saidAgainst(c trace.Call, s trace.Spot, said entry.Verdict) (o trace.Observation, why string) {
	for _, o := range s.Now {
		if v, why := trace.VerdictOf(o.Reading, c.Settings); v != "" && v != said && o.Reading.Verdict == said {
			return o, why
		}
	}
	return o, ""
}

func seqs(obs []trace.Observation) []int64 {
	var out []int64
	for _, o := range obs {
		out = append(out, o.Seq)
	}
	return out
}

func levelWords(s trace.Spot) string {
	if o, ok := s.Level(); ok {
		return fmt.Sprintf(", %s dBm", o.Reading.Level)
	}
	return ""
}

// receiverName names a receiver in a sentence: by its number where there are
// several, by its room where it has one.
func receiverName(p path.Path, r int) string {
	e := p.Elements[r]
	switch {
	case len(p.Receivers()) == 1:
		return "the receiver"
	case e.Room != "" && !slices.ContainsFunc(p.Receivers(), func(o int) bool { return o != r && p.Elements[o].Room == e.Room }):
		return "the " + e.Room + " receiver"
	}
	return "receiver " + path.Numeral(max(p.Number(r), 1))
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// oddsWith says a probability in words and as a figure.
func oddsWith(p float64) string { return fmt.Sprintf("%s (%s)", next.OddsWords(p), next.Percent(p)) }

// standingWords says which receivers pass, fail and are not read, in one
// sentence.
func standingWords(p *call.Progress) string {
	var pass, fail, unread, again, against, tests []string
	for _, r := range p.Call.Path.Receivers() {
		name := receiverName(p.Call.Path, r)
		switch s, ok := p.Behind(r); {
		case !ok:
			unread = append(unread, name)
		case s.Stale:
			again = append(again, name)
		case s.Verdict == entry.Pass:
			if _, why := saidAgainst(p.Call, s, entry.Pass); why != "" {
				against = append(against, name+" was said to pass, but "+why)
				continue
			}
			if p.NotTheCoax(r) {
				tests = append(tests, name)
				continue
			}
			if left := s.LeftWords(); left != "" {
				against = append(against, name+" passes, and is not read again"+left+" yet")
				continue
			}
			pass = append(pass, name)
		default:
			fail = append(fail, name)
		}
	}
	var parts []string
	add := func(names []string, one, many string) {
		if len(names) > 0 {
			parts = append(parts, path.List(names, "and")+plural2(len(names), one, many))
		}
	}
	add(pass, " passes", " pass")
	add(fail, " fails", " fail")
	add(tests, " fails its own test, though the signal behind it passes", " fail their own tests, though the signal behind them passes")
	parts = append(parts, against...)
	if len(pass)+len(fail)+len(against)+len(tests) > 0 {
		add(unread, " is not read yet", " are not read yet")
		add(again, " is not read again yet", " are not read again yet")
	}
	return path.Sentence(upper(strings.Join(parts, "; ")))
}
