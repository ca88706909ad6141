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

// where says where the fault is: one answer of the verdicts, the levels and
// the supply. What explains why a point fails is said in place of the bracket,
// which is its effect.
func where(p *call.Progress, d Diagnosis) []Claim {
	if len(d.Brackets) == 0 {
		return nil
	}
	var out []Claim
	for _, explain := range []func(*call.Progress, Diagnosis) (Claim, bool){supplyLost, explained, overruled, weakAhead} {
		if c, ok := explain(p, d); ok {
			out = append(out, c)
			break
		}
	}
	for _, b := range d.Brackets[:min(len(d.Brackets), 2)] {
		if len(out) > 0 && out[0].Code != Bracketed {
			break
		}
		c := Claim{Code: Bracketed, Subject: job, Text: d.hedged(b, b.Text), Entries: bracketEntries(p, b)}
		if len(b.Elements) == 1 {
			c.Subject = b.Elements[0]
		}
		out = append(out, c)
	}
	for _, s := range d.likely(p.Call, p.Spans) {
		out = append(out, Claim{
			Code: Suspected, Subject: s.ID, Figures: map[string]float64{"p": s.P}, Entries: evidence(p.Call),
			Text: fmt.Sprintf("%s: %s.", upper(partsWords([]string{s.ID}, p.Call.Path)), oddsWith(s.P)),
		})
	}
	return out
}

// Where says where the fault is, what explains the rest first; empty while
// nothing fails.
func (d Diagnosis) Where() []string {
	var out []string
	for _, c := range d.Claims {
		switch c.Code {
		case SupplyLost, Explains, WeakAhead, Bracketed:
			out = append(out, c.Text)
		}
	}
	if len(out) == 0 { // made by hand, or read back from a form without claims
		for _, b := range d.Brackets {
			out = append(out, b.Text)
		}
	}
	return out
}

// surely is how likely a part must be at fault to be called the fault.
const surely = 0.8

// weakAhead returns the claim that the level is low already at the point that
// still passes, where the odds lie ahead of it and not in the bracket.
func weakAhead(p *call.Progress, d Diagnosis) (Claim, bool) {
	b := d.Brackets[0]
	if b.Pass == nil || d.chanceOf(b.Elements) > 0.5 {
		return Claim{}, false
	}
	at := func(o trace.Observation) bool {
		return p.Call.PointOf(o) == *b.Pass && o.Round == p.Call.Round(p.Call.JointOf(o)) &&
			o.Reading.Level.Said() && trace.Counts(o.Reading, p.Call.Settings) == entry.Pass
	}
	i := len(p.Call.Observations) - 1
	for i >= 0 && !at(p.Call.Observations[i]) {
		i--
	}
	if i < 0 {
		return Claim{}, false
	}
	o := p.Call.Observations[i] // what was read there before does not say how weak it is
	var ahead []string
	for _, e := range p.Call.Path.Branch(p.Call.Path.Reach(o.Element, o.Side)) {
		ahead = append(ahead, p.Call.Path.Elements[e].ID)
	}
	mean, _ := level.ExpectedLevel(p.Call, d.tables, o)
	short := mean - o.Reading.Level.Float()
	if short < thinDB || d.chanceOf(ahead) < 0.5 {
		return Claim{}, false
	}
	return Claim{
		Code: WeakAhead, Subject: job, Entries: append(bracketEntries(p, b), o.Seq), Figures: map[string]float64{"short_db": trace.Hundredths(short)},
		Text: fmt.Sprintf("It passes %s, but about %.0f dB too weak: the fault is likely ahead of there.", path.AtPoint(*b.Pass), short),
	}, true
}

// supplyLost returns the claim that the supply gets lost between two points,
// where the step is to mend what lies between them or the fault likely is there.
// It is no answer where all that fails lies nearer the dish: of what a meter is
// put before, nothing beyond counts.
func supplyLost(p *call.Progress, d Diagnosis) (Claim, bool) {
	volts := standingVolts(p.Call)
	for _, o := range volts {
		fed, ok := lastFed(p.Call, volts, o)
		if o.Reading.Volts.Float() >= noSupply || !ok {
			continue
		}
		from, to := p.Call.Path.Reach(o.Element, o.Side), p.Call.Path.Reach(fed.Element, fed.Side)
		var between []string
		explains := false
		for _, e := range p.Call.Path.Branch(to) {
			if e != from && p.Call.Path.Above(from, e) {
				between = append(between, p.Call.Path.Elements[e].ID)
				explains = explains || slices.ContainsFunc(p.Spans, func(s trace.Span) bool { return p.Call.Path.Above(e, s.Fail.Reach) })
			}
		}
		if !explains {
			continue
		}
		if d.Next == nil || d.Next.Act == next.ActRepair && !slices.Contains(between, d.Next.ID) || d.Next.Act != next.ActRepair && d.chanceOf(between) < surely {
			continue
		}
		c := Claim{
			Code: SupplyLost, Subject: job, Entries: []int64{fed.Seq, o.Seq},
			Text: fmt.Sprintf("%s V %s and %s V %s: the supply is lost between the two.",
				fed.Reading.Volts, path.AtPoint(p.Call.PointOf(fed)), o.Reading.Volts, path.AtPoint(p.Call.PointOf(o))),
		}
		if d.Next.Act == next.ActRepair {
			c.Subject = d.Next.ID
		}
		return c, true
	}
	return Claim{}, false
}

// overruled returns the claim that a stretch beyond the fail nearest the dish
// loses too much, and that the figure of that fail does not bear it out: the
// word and the odds would send one to two different parts.
func overruled(p *call.Progress, d Diagnosis) (Claim, bool) {
	n, b := d.Next, d.Brackets[0]
	if n == nil || n.Act != next.ActRepair || slices.Contains(b.Elements, n.ID) || d.chance(n.ID) < surely {
		return Claim{}, false
	}
	for _, s := range d.stretches {
		to := trace.Counts(s.To.Reading, p.Call.Settings)
		if to != entry.Fail || s.Excess <= 2*s.SD || !slices.Contains(s.Elements, p.Call.Path.Index(n.ID)) {
			continue
		}
		for _, f := range p.Call.Spots() {
			if f.Stale || p.Call.PointOfSpot(f) != b.Fail {
				continue
			}
			said, why := saidAgainst(p.Call, f, entry.Fail)
			if why == "" || said.Seq == s.To.Seq {
				continue
			}
			what := stretchLoses(p.Call, s)
			return Claim{
				Code: Explains, Subject: n.ID, Figures: map[string]float64{"excess_db": trace.Hundredths(s.Excess)},
				Entries: []int64{s.From.Seq, s.To.Seq, said.Seq},
				Text: fmt.Sprintf("%s %.0f dB too much, and it fails %s. Fail was said %s too, but %s.", what, s.Excess,
					path.AtPoint(p.Call.PointOf(s.To)), path.AtPoint(b.Fail), why),
			}, true
		}
	}
	return Claim{}, false
}

// stretchLoses begins a sentence about what a stretch loses.
func stretchLoses(c trace.Call, s level.Stretch) string {
	if len(s.Elements) == 1 {
		return upper(c.Path.The(s.Elements[0])) + " loses"
	}
	return "The stretch " + stretchWords(c.PointOf(s.From), c.PointOf(s.To)) + " loses"
}

// byVerdict begins what the verdicts say and the odds do not bear out.
const byVerdict = "By pass and fail the fault "

// hedged says what the verdicts alone say where the odds do not bear it out:
// one part that is not likely enough, or a stretch that most likely holds no
// fault.
func (d Diagnosis) hedged(b trace.Bracket, text string) string {
	if p := d.chanceOf(b.Elements); p >= surely || len(b.Elements) > 1 && (p >= 0.5 || d.unweighed()) {
		return text
	}
	if where, _, ok := strings.Cut(text, ", which "); ok && strings.HasPrefix(text, "Fault is likely in ") {
		text = where
	}
	if _, shared, ok := strings.Cut(text, " share, "); ok && strings.HasPrefix(text, "Fault is likely in what") {
		text = "Fault is likely in " + strings.TrimPrefix(shared, "from ") // who shares it would make the sentence too long
		if strings.HasPrefix(shared, "from ") {
			text = "Fault is likely " + shared
		}
	}
	return strings.NewReplacer("The fault is", byVerdict+"is", "Fault is", byVerdict+"is",
		"One fault in what they share explains all of it; look there first", byVerdict+"is in what they share").Replace(text)
}

// unweighed reports that no odds are known: the diagnosis is only outlined.
func (d Diagnosis) unweighed() bool { return d.marginals == nil && len(d.Suspects) == 0 }

// bracketEntries are the readings at the two ends of a bracket that count now.
func bracketEntries(p *call.Progress, b trace.Bracket) []int64 {
	var out []int64
	for _, s := range p.Call.Spots() {
		at := p.Call.PointOfSpot(s)
		if !s.Stale && (at == b.Fail || b.Pass != nil && at == *b.Pass) {
			out = append(out, judging(s.Now)...)
		}
	}
	slices.Sort(out)
	return out
}

// judging lists those readings that say something of the signal.
func judging(obs []trace.Observation) []int64 {
	var out []int64
	for _, o := range obs {
		if trace.Judges(o.Reading) {
			out = append(out, o.Seq)
		}
	}
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
	what, therefore, subject := stretchLoses(p.Call, s), "so", job
	if parts := s.Elements; len(parts) == 1 {
		therefore, subject = "that is why", p.Call.Path.Elements[parts[0]].ID
	}
	return Claim{
		Code: Explains, Subject: subject, Figures: map[string]float64{"excess_db": trace.Hundredths(most)},
		Entries: []int64{s.From.Seq, s.To.Seq, fail.Seq},
		Text:    fmt.Sprintf("%s %.0f dB too much: %s it fails %s.", what, most, therefore, path.AtPoint(p.Call.PointOfSpot(span.Fail))),
	}, true
}
