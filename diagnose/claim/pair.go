package claim

import (
	"fmt"
	"math"
	"slices"

	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// Pair is a point before and after the repairs on its way.
type Pair struct {
	Joint  trace.JointKey
	Signal string // slot, transponder and polarity that the readings name
	Before *trace.Observation
	After  *trace.Observation // nil: not read again
	Worked bool               // there was a repair on its way

	last int64 // the last repair on its way; 0 for none
}

// pairs makes for every signal at every joint the last reading ahead of the
// first repair on its way, and the last one behind the last; the supply by
// itself. Repairs on other branches change neither.
func pairs(c trace.Call) []Pair {
	var out []Pair
	at := map[string]int{}
	for i := range c.Observations {
		o := &c.Observations[i]
		if !trace.Judges(o.Reading) && !o.Reading.Volts.Said() {
			continue
		}
		j := c.JointOf(*o)
		signal := signalOf(o.Reading)
		k := fmt.Sprint(j, signal, trace.Judges(o.Reading)) // a voltage takes no signal's place
		n, seen := at[k]
		if !seen {
			n = len(out)
			at[k] = n
			out = append(out, Pair{Joint: j, Signal: signal})
		}
		first, last := int64(math.MaxInt64), int64(0)
		for _, r := range c.Repairs {
			if mends(r) && (beyond(c, r, *o) || !trace.Judges(o.Reading) && feeds(c, r, *o)) {
				first, last = min(first, r.Seq), max(last, r.Seq)
			}
		}
		p := &out[n]
		p.Worked, p.last = last > 0, last
		switch {
		case last == 0 || o.Seq < first:
			p.Before = o
		case o.Seq > last:
			p.After = o
		}
	}
	return out
}

// feeds reports whether a repair lies between a point and the receivers beyond
// it, from where the supply comes.
func feeds(c trace.Call, r trace.Repair, o trace.Observation) bool {
	reach := c.Path.Reach(o.Element, o.Side)
	return slices.ContainsFunc(r.Elements, func(e int) bool { return c.Path.Above(reach, e) })
}

func signalOf(r entry.Reading) string {
	if r.Slot == 0 && r.Transponder == 0 && r.Polarity == "" {
		return ""
	}
	return fmt.Sprintf("%d/%d/%s", r.Slot, r.Transponder, r.Polarity)
}

// signalWords names the signal that a reading is of; "" where it names none.
func signalWords(r entry.Reading) string {
	words := ""
	for _, w := range r.Signal() {
		words += ", " + w
	}
	return words
}

// pairClaims says of every point read on both sides of the work how it changed.
func pairClaims(c trace.Call, all []Pair) []Claim {
	var out []Claim
	for _, p := range all {
		if p.Before == nil || !p.Worked || !trace.Judges(p.Before.Reading) {
			continue
		}
		id := c.Path.Elements[p.Before.Element].ID
		point := path.PointWords(c.PointOf(*p.Before)) + signalWords(p.Before.Reading)
		if p.After == nil {
			out = append(out, Claim{Code: NotReadAgain, Subject: id, Entries: []int64{p.Before.Seq, p.last}, Text: upper(point) + ": not read again after the repair."})
			continue
		}
		k := Claim{Code: Improved, Subject: id, Entries: []int64{p.Before.Seq, p.After.Seq}}
		k.Text = fmt.Sprintf("%s: %s before, %s after.", upper(point), readingWords(c, *p.Before), readingWords(c, *p.After))
		if p.Before.Reading.Level.Said() && p.After.Reading.Level.Said() {
			k.Figures = map[string]float64{"before_dbm": p.Before.Reading.Level.Float(), "after_dbm": p.After.Reading.Level.Float()}
		}
		out = append(out, k)
	}
	return out
}

func readingWords(c trace.Call, o trace.Observation) string {
	word := map[entry.Verdict]string{entry.Pass: "pass", entry.Fail: "fail"}[trace.Counts(o.Reading, c.Settings)]
	if o.Reading.Level.Said() {
		return fmt.Sprintf("%s, %s dBm", word, o.Reading.Level)
	}
	return word
}
