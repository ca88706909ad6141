package talk

import (
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/lex"
	"downlead/grammar/vocab"
)

// checked reads a check in any order: "the input test passes on the bedroom
// box", "receiver one fails the input test", "customer refused education".
func (t *talker) checked() bool {
	var c entry.Check
	t.checkLead(&c)
	also := t.checkList()
	for t.i < len(t.toks) {
		k := &t.toks[t.i]
		if k.Brk && c.Check != "" && c.Verdict != "" && t.startsCheck() { // "dish is solid, mast plumb"
			break
		}
		switch {
		case t.is(vocab.And) && c.Check != "" && c.Verdict == "" && len(also) == 0 && t.isAt(t.i+1, vocab.Verdict, vocab.Looked): // "ran the input test and it passed"
			t.i++
		case t.is(vocab.Remark) && k.Means() == "wired" && c.Check == "outlet" && (c.Verdict == "" || c.Verdict == entry.Pass),
			t.is(vocab.Remark) && k.Means() == "sound" && (c.Check == "mount" || c.Check == "dish") && (c.Verdict == "" || c.Verdict == entry.Pass):
			c.Verdict, c.Remark = entry.Pass, entry.List(c.Remark, k.Row.Say)
			t.i++
		case t.is(vocab.Remark) && k.Means() == "outlet" && c.Check == "" && c.Verdict == "" && t.isAt(t.i+1, vocab.At, vocab.On, vocab.In) && t.isAt(t.i+2, vocab.Check) && t.toks[t.i+2].Means() == "outlet": // "open ground at the outlet"
			c.Check, c.Verdict, c.Remark = "outlet", entry.Fail, entry.List(c.Remark, k.Row.Say)
			t.i += 3
		case t.is(vocab.Remark) && k.Means() == "tidy" && (c.Check == "cabling" || c.Check == "components" || c.Check == "grounding") && (c.Verdict == "" || c.Verdict == entry.Pass): // "cabling is neat and clean"
			c.Verdict, c.Remark = entry.Pass, entry.List(c.Remark, k.Row.Say)
			t.i++
		case t.is(vocab.Been) && c.Check != "" && t.isAt(t.i+1, vocab.Done): // "education's been done"
			t.i++
		case t.is(vocab.Time) && k.Means() == "training" && c.Check == "" && c.Verdict == entry.NotApplicable: // "customer didn't want the training"
			c.Check, c.Remark = "education", entry.List(c.Remark, k.Row.Say)
			t.i++
		case t.is(vocab.Some) && k.Means() != string(entry.WhichOthers) && (len(also) > 0 || k.Row.Say == "all" && (c.Check == "components" || c.Check == "cabling")) && c.Check != "" && c.Verdict == "":
			t.i++
		case t.is(vocab.At, vocab.On, vocab.In) && c.Check == "" && c.Verdict != "" && t.isAt(t.i+1, vocab.Check, vocab.InputTest): // "power's good at the outlet"
			t.i++
		case t.is(vocab.Some) && k.Means() == string(entry.WhichAll) && c.Check == "" && c.Verdict == "" && c.Point == nil && t.isAt(t.i+1, vocab.Figure, vocab.Count, vocab.Digit) && t.isAt(t.i+2, vocab.Verdict) && t.isAt(t.i+3, vocab.InputTest): // "all three passed the input test"
			c.Point = &entry.Point{Element: entry.Receiver, Which: entry.WhichAll + entry.Which(" "+t.toks[t.i+1].Value.String())}
			t.i += 2
		case t.is(vocab.Verdict) && k.Brk && string(c.Verdict) == k.Means() && c.Remark != "" && (t.i+1 >= len(t.toks) || t.toks[t.i+1].Brk): // "mount's tight now, pass"
			t.i++
		case t.is(vocab.Some) && c.Check == "" && c.Verdict == "" && c.Point == nil && t.isAt(t.i+1, vocab.Verdict) && t.isAt(t.i+2, vocab.InputTest): // "both passed the input test"
			c.Point = &entry.Point{Element: entry.Receiver, Which: entry.Which(k.Means())}
			t.i++
		case t.is(vocab.Check, vocab.InputTest) && c.Check == "":
			c.Check = k.Means()
			t.i++
		case t.is(vocab.Element, vocab.Check) && c.Check == "" && t.isAt(t.i+1, vocab.Looked) && (k.Class == vocab.Check || k.Means() == string(entry.Dish) || k.Means() == string(entry.Mount)) && strings.HasPrefix(t.toks[t.i+1].Row.Say, "inspection"): // "dish inspection passed"
			c.Check = k.Means()
			t.i += 2
		case t.is(vocab.Element) && (k.Means() == string(entry.Mount)) && c.Check == "":
			c.Check = string(entry.Mount)
			t.i++
		case t.is(vocab.Element) && k.Means() == string(entry.Dish) && c.Check == "" && (c.Verdict == "" && t.isAt(t.i+1, vocab.Verdict, vocab.Done, vocab.NA) || c.Verdict == "" && t.isAt(t.i+1, vocab.Looked, vocab.Condition, vocab.Unknown) && t.isAt(t.i+2, vocab.Verdict) && (t.isAt(t.i+1, vocab.Looked) || t.toks[t.i+2].Brk) || c.Verdict != "" && t.i+1 == len(t.toks)):
			c.Check = string(entry.Dish)
			t.i++
		case t.is(vocab.Verdict, vocab.Done, vocab.NA) && c.Verdict == "":
			c.Verdict = entry.Verdict(k.Means())
			t.i++
		case t.is(vocab.Not) && t.isAt(t.i+1, vocab.Verdict) && t.toks[t.i+1].Means() == string(entry.Pass) && c.Verdict == "":
			c.Verdict = entry.Fail
			t.i += 2
		case t.is(vocab.Remark, vocab.NoSignal) && k.Means() != "wired" && k.Means() != "sound" && c.Check == "outlet" && c.Verdict == "":
			c.Verdict, c.Remark = entry.Fail, entry.List(c.Remark, k.Row.Say)
			t.i++
		case t.is(vocab.Volts) && c.Check == "outlet": // "outlet reads 119 volts, pass"
			c.Remark = entry.List(c.Remark, k.Value.String()+" volts")
			t.i++
		case t.is(vocab.Looked) && c.Check != "" && t.isAt(t.i+1, vocab.Verdict, vocab.Degree): // "outlet checks good"
			t.i++
		case t.is(vocab.Condition) && c.Check != "" && c.Verdict == "" && t.isAt(t.i+1, vocab.Verdict) && t.toks[t.i+1].Means() == string(entry.Fail): // "mount's loose, fail"
			c.Verdict, c.Remark = entry.Fail, entry.List(c.Remark, k.Row.Say)
			t.i += 2
		case t.is(vocab.Degree) && t.isAt(t.i+1, vocab.Verdict):
			c.Remark = entry.List(c.Remark, k.Row.Say)
			t.i++
		case t.is(vocab.Refused) && c.Verdict == "":
			c.Verdict, c.Remark = entry.NotApplicable, entry.List(c.Remark, k.Row.Say)
			t.i++
		case t.is(vocab.Still):
			c.Remark = entry.List(c.Remark, k.Row.Say)
			t.i++
		case t.is(vocab.Looked) && c.Check == "" && c.Verdict == "" && c.Point == nil:
			t.i++
		case t.is(vocab.Looked) && c.Check != "" && c.Verdict != "" && strings.HasPrefix(k.Row.Say, "on "): // "dish looks good on the inspection"
			c.Remark = entry.List(c.Remark, k.Row.Say)
			t.i++
		case c.Check != "" && c.Verdict == "" && c.Point == nil && !k.Brk && t.reasonFirst(&c): // "mount's wonky, fail"
		case t.is(vocab.Some) && c.Check == "" && k.Means() == string(entry.WhichBoth) && t.isAt(t.i+1, vocab.Check) && t.toks[t.i+1].Row.Plural: // "both outlets good"
			c.Remark = entry.List(c.Remark, k.Row.Say)
			t.i++
		case c.Check == "input_test" && c.Verdict != "" && c.Point == nil && (t.is(vocab.Some) || t.is(vocab.On) && t.isAt(t.i+1, vocab.Some)) && t.ofReceivers(&c):
		case t.is(vocab.NA) && c.Verdict == entry.NotApplicable: // "declined the training, so not applicable"
			t.i++
		case c.Check == "outlet" && c.Verdict != "" && c.Point == nil && t.is(vocab.In, vocab.At, vocab.On) && t.isAt(t.i+1, vocab.Some) && isRooms(t.words(t.i+2, len(t.toks))):
			return t.missing("in which rooms? Say each, such as: kitchen outlet pass, bedroom outlet pass")
		case t.is(vocab.And) && c.Check == "outlet" && c.Verdict != "" && c.Point != nil && c.Point.Room != "" && t.alsoIn(&c): // "in the kitchen and the bedroom"
		case (t.is(vocab.On, vocab.At, vocab.In, vocab.Element, vocab.Room, vocab.Numbered, vocab.Behind) || t.is(vocab.Some) && !(c.Verdict != "" && t.isAt(t.i+1, vocab.Unknown))) && c.Point == nil:
			t.take(vocab.On, vocab.At)
			p, ok := t.point()
			if ok && p.Element == entry.Receiver && p.Which == "" && p.plural && c.Check == "input_test" && c.Verdict != "" {
				return t.missing("which receivers were tested? Say both, all, the others, or their numbers")
			}
			if !ok || p.none || p.Which != "" && p.Element != entry.Receiver || p.Which == "" && p.plural || p.Element != "" && p.Element != entry.Receiver {
				return false
			}
			c.Point = &p.Point
		default:
			return t.checks(&c, also)
		}
	}
	return t.checks(&c, also)
}

// isRooms reports a word for rooms none of which is named.
func isRooms(w string) bool {
	switch strings.ToLower(w) {
	case "rooms", "bedrooms", "places", "spots":
		return true
	}
	return false
}

// alsoIn takes one more room of a check that came out as in the one before it.
func (t *talker) alsoIn(c *entry.Check) bool {
	from := t.i
	t.i++
	p, ok := t.point()
	if !ok || p.Element != "" || p.Room == "" || p.Which != "" || !t.atEnd() {
		t.i = from
		return false
	}
	t.entries = append(t.entries, *c)
	c.Point = &p.Point
	return true
}

// didIt reports words that say that the check behind them was done.
func didIt(said string) bool {
	switch strings.ToLower(said) {
	case "did", "did the", "finished", "finished the", "completed", "completed the", "did some":
		return true
	}
	return false
}

// reasonFirst takes why a check fails, or passes, in words of no other meaning,
// where the result follows behind a comma.
func (t *talker) reasonFirst(c *entry.Check) bool {
	i := t.i
	for i < len(t.toks) && i-t.i < mostReasonWords && (i == t.i || !t.toks[i].Brk) && t.isAt(i, vocab.Unknown, vocab.Symptom, vocab.Soft, vocab.Condition, vocab.Degree, vocab.Old) {
		i++
	}
	said := t.words(t.i, i)
	if i == t.i || !t.isAt(i, vocab.Verdict) || !t.toks[i].Brk || i+1 < len(t.toks) && !t.toks[i+1].Brk || lex.Turns(said) || strays(said) {
		return false
	}
	c.Verdict, c.Remark = entry.Verdict(t.toks[i].Means()), entry.List(c.Remark, said)
	t.i = i + 1
	return true
}

// mostReasonWords is how many words say why a check fails before its result.
const mostReasonWords = 4

// startsCheck reports that the name of a check starts here.
func (t *talker) startsCheck() bool {
	return t.is(vocab.Check, vocab.InputTest) || t.is(vocab.Element) && (t.toks[t.i].Means() == string(entry.Mount) || t.toks[t.i].Means() == string(entry.Dish))
}

// ofReceivers takes "both" or "all" after the result of an input test: there are
// no others but receivers that it could be of.
func (t *talker) ofReceivers(c *entry.Check) bool {
	from := t.i
	t.take(vocab.On)
	which := entry.Which(t.toks[t.i].Means())
	if t.i++; which == entry.WhichAll && t.take(vocab.Figure, vocab.Count, vocab.Digit) { // "on all three"
		which += entry.Which(" " + t.last().Value.String())
	}
	word, _ := which.Word()
	if t.atEnd() && (word == entry.WhichBoth || word == entry.WhichAll || word == entry.WhichOthers) {
		c.Point = &entry.Point{Element: entry.Receiver, Which: which}
		return true
	}
	t.i = from
	return false
}

// checkLead takes what may stand before the name of a check: "ran the input
// test", "no problems with the cabling".
func (t *talker) checkLead(c *entry.Check) {
	// What was done before the name of what was looked at.
	if t.is(vocab.Looked) && strings.Contains(t.toks[t.i].Row.Say, "inspection") || t.is(vocab.Looked) && strings.Contains(t.toks[t.i].Row.Say, " checks") {
		t.i++
	}
	switch {
	case t.is(vocab.Looked, vocab.Unknown, vocab.Done) && didIt(t.words(t.i, t.i+1)) && t.isAt(t.i+1, vocab.Check) && t.toks[t.i+1].Means() == "education" && t.i+2 >= len(t.toks): // "did the education"
		c.Verdict = entry.Pass
		t.i++
	case t.is(vocab.Ran) && t.toks[t.i].Row.Say == "ran" && t.isAt(t.i+1, vocab.Check, vocab.InputTest):
		t.i++
	case t.is(vocab.Unknown, vocab.Looked, vocab.Done) && t.isAt(t.i+1, vocab.Check, vocab.InputTest):
		switch t.words(t.i, t.i+1) {
		case "did", "did the", "i did", "performed", "completed":
			t.i++
		}
	case (t.is(vocab.Outcome) && t.toks[t.i].Means() == "no_fault_found" || t.is(vocab.Verdict) && t.toks[t.i].Row.Say == "no issues") && t.isAt(t.i+1, vocab.With, vocab.On, vocab.In, vocab.At) && (t.isAt(t.i+2, vocab.Check) ||
		t.isAt(t.i+2, vocab.Element) && (t.toks[t.i+2].Means() == string(entry.Mount) || t.toks[t.i+2].Means() == string(entry.Dish))):
		c.Verdict, c.Remark = entry.Pass, t.toks[t.i].Row.Say
		t.i += 2
	}
}

// checkList takes the names before the last of a list of checks: "dish, mount
// and" of "dish, mount and cabling pass".
func (t *talker) checkList() []string {
	start := t.i
	var out []string
	for {
		k := t.i
		switch {
		case t.is(vocab.Check):
		case t.is(vocab.Element) && (t.toks[k].Means() == string(entry.Mount) || t.toks[k].Means() == string(entry.Dish)):
		default:
			t.i = start
			return nil
		}
		if t.isAt(k+1, vocab.And) {
			t.i += 2
			return append(out, t.toks[k].Means())
		}
		if len(out) > 1 && t.isAt(k+1, vocab.Verdict, vocab.Some) && !t.toks[k+1].Brk { // "dish, mount, cabling all good"
			return out
		}
		if k+1 >= len(t.toks) || !t.toks[k+1].Brk {
			t.i = start
			return nil
		}
		out = append(out, t.toks[k].Means())
		t.i++
	}
}

// checks makes an entry of each check of a list with the result said for all.
func (t *talker) checks(c *entry.Check, also []string) bool {
	n := len(t.entries)
	for _, name := range also {
		if c.Point != nil || name == c.Check {
			return false
		}
		t.entries = append(t.entries, entry.Check{Check: name, Verdict: c.Verdict, Remark: c.Remark})
	}
	if len(also) > 0 && (c.Verdict == entry.Fail || !t.check(c)) || len(also) == 0 && !t.check(c) {
		return false
	}
	last := t.entries[len(t.entries)-1].(entry.Check)
	return len(also) == 0 || last.Remark == t.entries[n].(entry.Check).Remark
}

func (t *talker) check(c *entry.Check) bool {
	if c.Check == "" || c.Verdict == "" {
		return false
	}
	if c.Check == string(entry.Dish) && t.i < len(t.toks) && !t.toks[t.i].Brk && t.is(vocab.Level, vocab.Strength) {
		return false
	}
	t.remarkOf(c)
	t.entries = append(t.entries, *c)
	return true
}

// remarkOf takes the words after a check's result as its remark: to the next
// comma, where they are no statement of their own.
func (t *talker) remarkOf(c *entry.Check) {
	start, n, asides := t.i, len(t.entries), t.asides
	if start >= len(t.toks) || t.is(vocab.And) {
		return
	}
	if t.toks[start].Brk && t.clause() {
		_, seen := t.entries[n].(entry.Sighting)
		one := len(t.entries) == n+1
		t.i, t.entries, t.asides = start, t.entries[:n], asides
		if c.Verdict != entry.Fail || !seen || !one { // what is seen says why the check fails
			return
		}
	}
	t.i, t.err = start+1, nil
	for t.i < len(t.toks) && !t.toks[t.i].Brk {
		t.i++
	}
	said := t.words(start, t.i)
	for _, k := range t.toks[start:t.i] {
		if lex.IsMeasure(k.Class) && k.Class != vocab.Polarity && k.Class != vocab.For || k.Class == vocab.Action || k.Class == vocab.Time {
			t.i = start
			return
		}
	}
	if lex.Turns(said) && c.Verdict != entry.NotApplicable {
		t.i = start
		return
	}
	c.Remark = entry.List(c.Remark, said)
}
