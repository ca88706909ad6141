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
	Improved     = "before_after"   // a point read on both sides of all repairs on its way
	Bracketed    = "bracket"        // where the fault is, by verdicts
	Excess       = "excess"         // a stretch that loses too much, by levels
	Explains     = "excess_explains"
	Suspected    = "suspect"
	Disagree     = "disagree"
	Proven       = "repair_proven"
	Together     = "repairs_proven_together"
	Helped       = "repair_helped"
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
			c.Text = fmt.Sprintf("%s was not read again after the repair.", upper(name))
		case s.Verdict == entry.Pass:
			c.Code, c.Entries, c.Text = Passes, seqs(s.Now), upper(name)+" passes"+levelWords(s)+"."
		default:
			c.Code, c.Entries, c.Text = Fails, seqs(s.Now), upper(name)+" fails"+levelWords(s)+"."
		}
		if o, leveled := s.Level(); ok && leveled {
			c.Figures = map[string]float64{"level_dbm": o.Reading.Level.Float()}
		}
		out = append(out, c)
	}
	return out
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
	case e.Room != "":
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

// where says where the fault is: one answer of the verdicts and the levels. A
// stretch that loses so much that without it the failing point would pass is
// said first; the bracket is then its effect.
func where(p *call.Progress, d Diagnosis) []Claim {
	var out []Claim
	if len(d.Brackets) > 0 {
		b := d.Brackets[0]
		c, ok := explained(p, d)
		if !ok {
			c = Claim{Code: Bracketed, Subject: job, Text: d.hedged(b, b.Text), Entries: bracketEntries(d, b)}
			if len(b.Elements) == 1 {
				c.Subject = b.Elements[0]
			}
		}
		out = append(out, c)
	}
	for _, s := range culprits(d.Suspects) {
		if s.p < 0.05 || len(d.Brackets) == 0 || len(out) > 4 {
			break
		}
		out = append(out, Claim{
			Code: Suspected, Subject: s.elements[0], Figures: map[string]float64{"p": s.p}, Entries: evidence(p.Call),
			Text: fmt.Sprintf("%s: %s.", upper(partsWords(s.elements, p.Call.Path)), oddsWith(s.p)),
		})
	}
	return out
}

// surely is how likely a part must be at fault to be called the fault.
const surely = 0.8

// chance is the probability that an element is among what is at fault now.
func (d Diagnosis) chance(id string) float64 {
	p := 0.0
	for _, s := range d.Suspects {
		if slices.Contains(s.Elements, id) {
			p += s.P
		}
	}
	return p
}

// hedged says what the verdicts alone say where they leave one part and the
// odds do not bear it out.
func (d Diagnosis) hedged(b trace.Bracket, text string) string {
	if len(b.Elements) != 1 || d.chance(b.Elements[0]) >= surely {
		return text
	}
	return strings.NewReplacer("The fault is", "By pass and fail it is", "Fault is likely", "By pass and fail it is likely",
		"Fault is", "By pass and fail it is", "One fault in what they share explains all of it; look there first", "By pass and fail it is in what they share").Replace(text)
}

// bracketEntries are the readings at the two ends of a bracket.
func bracketEntries(d Diagnosis, b trace.Bracket) []int64 {
	var out []int64
	for _, s := range d.Points {
		if s.Stale {
			continue
		}
		if s.Point == b.Fail || b.Pass != nil && s.Point == *b.Pass {
			out = append(out, s.Entries...)
		}
	}
	slices.Sort(out)
	return out
}

// explained returns the claim that a stretch outside the bracket loses too
// much, and that this is why the point at the bracket's end fails.
func explained(p *call.Progress, d Diagnosis) (Claim, bool) {
	if len(p.Spans) == 0 {
		return Claim{}, false
	}
	span := p.Spans[0]
	fail, leveled := span.Fail.Level()
	if !leveled {
		return Claim{}, false
	}
	best, most := -1, 0.0
	for i, s := range d.stretches {
		reach := p.Call.Path.Reach(s.To.Element, s.To.Side)
		upstream := p.Call.Path.Above(reach, span.Fail.Reach) && reach != span.Fail.Reach
		passes := trace.Counts(s.To.Reading, p.Call.Settings) == entry.Pass
		if upstream && passes && s.Excess > 2*s.SD && s.Excess > most {
			best, most = i, s.Excess
		}
	}
	if best < 0 || fail.Reading.Level.Float()+most < p.Call.Settings.FloorDBm {
		return Claim{}, false
	}
	s := d.stretches[best]
	what := stretchWords(p.Call.PointOf(s.From), p.Call.PointOf(s.To))
	subject := job
	if parts := s.Elements; len(parts) == 1 {
		what, subject = p.Call.Path.The(parts[0]), p.Call.Path.Elements[parts[0]].ID
		what = upper(what) + " loses"
	} else {
		what = "The stretch " + what + " loses"
	}
	return Claim{
		Code: Explains, Subject: subject, Figures: map[string]float64{"excess_db": trace.Hundredths(most)},
		Entries: []int64{s.From.Seq, s.To.Seq, fail.Seq},
		Text:    fmt.Sprintf("%s %.0f dB too much: that is why it fails %s.", what, most, path.AtPoint(p.Call.PointOfSpot(span.Fail))),
	}, true
}

// oddsWith says a probability in words and as a figure.
func oddsWith(p float64) string { return fmt.Sprintf("%s (%s)", next.OddsWords(p), next.Percent(p)) }

// standingWords says which receivers pass, fail and are not read, in one
// sentence.
func standingWords(p *call.Progress) string {
	var pass, fail, unread []string
	for _, r := range p.Call.Path.Receivers() {
		name := receiverName(p.Call.Path, r)
		switch s, ok := p.Behind(r); {
		case !ok || s.Stale:
			unread = append(unread, name)
		case s.Verdict == entry.Pass:
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
	if len(pass)+len(fail) > 0 {
		add(unread, " is not read yet", " are not read yet")
	}
	return path.Sentence(upper(strings.Join(parts, "; ")))
}
