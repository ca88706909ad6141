package talk

import (
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/lex"
	"downlead/grammar/vocab"
)

// point reads a place: an element, its number, its side and its room, in any
// order, each once. from says where each part began, for repairs.
type pointParts struct {
	entry.Point
	lo      int // byte of the first part
	said    [4]int
	plural  bool
	none    bool     // "neither receiver": what is said is not so of any
	ports   []int    // of whichPorts
	each    bool     // "both": what is said is so of each
	inRooms []string // of whichRooms
}

const (
	partElement = iota
	partNumber
	partSide
	partRoom
)

// startsPlace reports that a place starts at token i.
func (t *talker) startsPlace(i int) bool {
	return t.isSeveral(i) || t.fedInto(i) || t.goesOut(i) || t.outAt(i) || t.isAt(i, vocab.Symptom) && t.toks[i].Row.Say == "in and out" && t.isAt(i-1, vocab.Verdict, vocab.NoSignal) || t.isAt(i, vocab.After, vocab.Before) && t.isAt(i+1, vocab.Element) || t.isAt(i, vocab.Element, vocab.Side, vocab.Behind, vocab.Some, vocab.Room, vocab.Numbered) || t.isAt(i, vocab.Output) ||
		t.isAt(i, vocab.In) && (t.onElement(i+1) || t.isAt(i-1, vocab.Level, vocab.Verdict, vocab.NoSignal) && (i+1 >= len(t.toks) || t.isAt(i+1, vocab.And) || t.toks[i+1].Brk || t.atElement(i+1)) || t.isAt(i+1, vocab.Room, vocab.Numbered) || t.isAt(i+1, vocab.Level, vocab.Verdict, vocab.NoSignal, vocab.Soft, vocab.LevelUV, vocab.LevelMV))
}

// fedInto reports "into the ground block" at token i, behind what was measured. What
// goes into an LNB comes from the receiver.
func (t *talker) fedInto(i int) bool {
	return t.isAt(i, vocab.Through) && strings.HasSuffix(t.toks[i].Row.Say, "into") && t.isAt(i-1, vocab.Level, vocab.LevelUV, vocab.LevelMV, vocab.Verdict, vocab.NoSignal) &&
		t.isAt(i+1, vocab.Element) && t.toks[i+1].Means() != string(entry.LNB) && t.toks[i+1].Means() != string(entry.Dish)
}

// goesOut reports "going out" at token i, between a part and what was measured there:
// of channels it is a symptom.
func (t *talker) goesOut(i int) bool {
	return t.isAt(i, vocab.Symptom) && (t.toks[i].Row.Say == "going out" || t.toks[i].Row.Say == "goes out") && !t.toks[i].Brk &&
		t.isAt(i-1, vocab.Element, vocab.Index, vocab.Level, vocab.Room, vocab.And) && t.isAt(i+1, vocab.Level, vocab.LevelUV, vocab.LevelMV)
}

// outAt reports "out at" at token i where what goes in was told before it: "minus 39 in
// and minus 50 out at the splitter". By itself it is where somebody stands.
func (t *talker) outAt(i int) bool {
	if !t.isAt(i, vocab.Stand) || t.toks[i].Row.Say != "out at" || !t.isAt(i-1, vocab.Level, vocab.LevelUV, vocab.LevelMV, vocab.Verdict, vocab.NoSignal) || !t.isAt(i+1, vocab.Element) || len(t.entries) == 0 {
		return false
	}
	before, ok := t.entries[len(t.entries)-1].(entry.Reading)
	return ok && before.Point == (entry.Point{Side: entry.DishSide})
}

// atElement reports "at the splitter" at token i.
func (t *talker) atElement(i int) bool {
	return t.isAt(i, vocab.At) && t.isAt(i+1, vocab.Element) && t.toks[i+1].Means() != string(entry.Receiver)
}

// onElement reports "on the diplexer" at token i.
func (t *talker) onElement(i int) bool {
	return t.isAt(i, vocab.On) && t.isAt(i+1, vocab.Element) && t.toks[i+1].Means() != string(entry.Receiver)
}

// isSeveral reports "the three receivers are all": a number of receivers, and
// that it is of all of them.
func (t *talker) isSeveral(i int) bool {
	return t.isAt(i, vocab.Count, vocab.Figure, vocab.Digit) && t.isAt(i+1, vocab.Element) && t.toks[i+1].Row.Plural && t.toks[i+1].Means() == string(entry.Receiver) &&
		t.isAt(i+2, vocab.Some) && t.toks[i+2].Row.Say == "all"
}

func (t *talker) point() (pointParts, bool) {
	var p pointParts
	start := t.i
	p.said = [4]int{-1, -1, -1, -1}
	for t.i < len(t.toks) {
		k := &t.toks[t.i]
		if t.i > start && k.Brk && !t.continues(&p) {
			break
		}
		if !t.pointPart(&p, k) {
			break
		}
	}
	if t.i == start {
		return p, false
	}
	p.lo = t.toks[start].Lo
	return p, true
}

// continues reports that the token after a comma can only be of the place
// before it: "ground block, dish side".
func (t *talker) continues(p *pointParts) bool {
	switch {
	case t.is(vocab.Side, vocab.Output):
		return p.Side == ""
	case t.is(vocab.Behind): // "in the kitchen, behind the receiver"
		return p.Side == "" && p.Element == "" && p.Room != ""
	case t.is(vocab.Element):
		return p.Element == "" && p.Side == ""
	case t.is(vocab.In, vocab.Room, vocab.Numbered):
		return p.Room == "" && p.Element != "" && !t.isAt(t.i+1, vocab.Element) && !t.isAt(t.i+2, vocab.Element)
	}
	return false
}

// pointPart takes one part of a place.
func (t *talker) pointPart(p *pointParts, k *lex.Token) bool {
	switch k.Class {
	case vocab.Count, vocab.Figure, vocab.Digit:
		if p.Which != "" || p.Element != "" || !t.isSeveral(t.i) {
			return false
		}
		p.Which, p.Element, p.said[partElement] = entry.WhichAll+entry.Which(" "+k.Value.String()), entry.Receiver, t.i+1
		t.i += 3
	case vocab.After, vocab.Before: // "nothing after the splitter"
		if p.Side != "" || p.Element != "" || p.Which != "" || !t.isAt(t.i+1, vocab.Element) {
			return false
		}
		p.Side, p.said[partSide] = entry.ReceiverSide, t.i
		if k.Class == vocab.Before {
			p.Side = entry.DishSide
		}
		t.i++
	case vocab.Behind:
		if p.Side != "" || !t.isAt(t.i+1, vocab.Element, vocab.Room, vocab.Numbered, vocab.Some) {
			return false
		}
		p.Side, p.said[partSide] = entry.DishSide, t.i
		t.i++
	case vocab.Some:
		if p.Which != "" || p.Element != "" {
			return false
		}
		return t.some(p)
	case vocab.Element:
		if p.Element != "" || k.Row == nil {
			return false
		}
		t.element(p)
	case vocab.Side:
		if p.Side != "" || p.Which != "" {
			return false
		}
		if k.Means() == "other" {
			if t.place.Side == "" {
				return t.missing("which side is the other? Say: dish side, or: receiver side, and of which part")
			}
			p.Side = entry.DishSide
			if t.place.Side == entry.DishSide {
				p.Side = entry.ReceiverSide
			}
			p.said[partSide] = t.i
			t.i++
			break
		}
		if k.Means() == "both" {
			p.Which = whichSides
			t.i++
			break
		}
		p.Side, p.said[partSide] = entry.Side(k.Means()), t.i
		t.i++
	case vocab.Output:
		if k.Brk && p.Element == entry.Receiver { // a receiver has no outputs: "… to the den receiver, output two to …"
			return false
		}
		if p.Side != "" && !(p.Side == entry.ReceiverSide && p.Port == 0 && p.Element != "" && t.isAt(t.i+1, vocab.Index)) {
			return false
		}
		p.Side, p.said[partSide] = entry.ReceiverSide, t.i
		t.i++
		if t.take(vocab.Index) {
			p.Port = t.number(t.last())
		}
		t.ports(p, k)
	case vocab.In:
		return t.inPart(p)
	case vocab.Through: // "good signal into the ground block"
		if !t.fedInto(t.i) || p.Side != "" || p.Element != "" || p.Which != "" {
			return false
		}
		p.Side, p.said[partSide] = entry.DishSide, t.i
		t.i++
	case vocab.Stand: // "minus 50 out at the splitter"
		if !t.outAt(t.i) || p.Side != "" || p.Element != "" || p.Which != "" {
			return false
		}
		p.Side, p.said[partSide] = entry.ReceiverSide, t.i
		t.i++
	case vocab.Symptom: // "good in and out"
		if t.goesOut(t.i) && p.Side == "" && p.Which == "" && p.Element != entry.Receiver {
			p.Side, p.said[partSide] = entry.ReceiverSide, t.i
			t.i++
			break
		}
		if k.Row.Say != "in and out" || p.Element == entry.Receiver || p.Side != "" || p.Which != "" {
			return false
		}
		p.Which = whichSides
		if t.i++; t.is(vocab.Some) && !t.toks[t.i].Brk && t.toks[t.i].Means() == string(entry.WhichBoth) {
			t.i++
		}
	case vocab.Room, vocab.Numbered:
		if p.Room != "" || p.Which == whichRooms {
			return false
		}
		if t.rooms(p) {
			break
		}
		t.room(p)
	case vocab.On, vocab.At, vocab.By:
		if k.Class == vocab.By && p.Room == "" {
			return false
		}
		if k.Class == vocab.On && p.Element.InPath() && p.Element != "" && p.Element != entry.Receiver && t.isAt(t.i+1, vocab.Output) && t.isAt(t.i+2, vocab.Index) {
			t.i++ // "the splitter on port two"
			break
		}
		if p.Element != "" || p.Side == "" && p.Which != whichSides && !(p.Room != "" && k.Class != vocab.On) || !t.isAt(t.i+1, vocab.Element, vocab.Room, vocab.Numbered) {
			return false
		}
		t.i++
	default:
		return false
	}
	return true
}

// Choices of several sides or outputs. They never leave the reading that they
// are of: it becomes one a place.
const (
	whichRooms entry.Which = "rooms"
	whichSides entry.Which = "sides"
	whichPorts entry.Which = "ports"
)

// ports takes further numbers after "outputs one".
func (t *talker) ports(p *pointParts, k *lex.Token) {
	if p.Port == 0 || p.Which != "" || k.Row == nil || !k.Row.Plural {
		return
	}
	numbers := []int{p.Port}
	for {
		i := t.i
		if t.isAt(i, vocab.And) {
			i++
		} else if i >= len(t.toks) || !t.toks[i].Brk {
			break
		}
		if !t.isAt(i, vocab.Index, vocab.Count, vocab.Figure, vocab.Digit) {
			break
		}
		numbers = append(numbers, t.number(&t.toks[i]))
		t.i = i + 1
	}
	if len(numbers) > 1 {
		p.Which, p.ports = whichPorts, numbers
		p.each = t.takeBoth(len(numbers))
	}
}

// rooms takes two rooms of one kind of part: "kitchen and den receivers".
func (t *talker) rooms(p *pointParts) bool {
	if p.Element != "" || p.Which != "" || !t.isAt(t.i, vocab.Room, vocab.Numbered) || !t.isAt(t.i+1, vocab.And) || !t.isAt(t.i+2, vocab.Room, vocab.Numbered) || !t.isAt(t.i+3, vocab.Element) || !t.toks[t.i+3].Row.Plural {
		return false
	}
	p.Which, p.inRooms = whichRooms, []string{t.toks[t.i].Means(), t.toks[t.i+2].Means()}
	p.Element, p.said[partElement] = entry.Element(t.toks[t.i+3].Means()), t.i+3
	if t.i += 4; t.is(vocab.Some) && t.toks[t.i].Means() == string(entry.WhichBoth) {
		t.i++
	}
	return true
}

func (t *talker) room(p *pointParts) {
	k := &t.toks[t.i]
	p.Room, p.said[partRoom] = k.Means(), t.i
	t.i++
	if (p.Room == "upstairs" || p.Room == "downstairs") && t.is(vocab.In) && t.isAt(t.i+1, vocab.Room, vocab.Numbered) { // "upstairs in the bedroom"
		t.i++
	}
	if (p.Room == "upstairs" || p.Room == "downstairs" || p.Room == "basement") && t.is(vocab.Room, vocab.Numbered) && !t.toks[t.i].Brk { // "the upstairs bedroom"
		k = &t.toks[t.i]
		p.Room = entry.Join(p.Room, k.Means())
		t.i++
	}
	if k.Class == vocab.Numbered && t.take(vocab.Index) {
		p.Room = entry.Join(p.Room, t.last().Value.String())
	}
}

// inPart takes "in the kitchen", or "in" for the input.
func (t *talker) inPart(p *pointParts) bool {
	if t.isAt(t.i+1, vocab.Room, vocab.Numbered) {
		if p.Room != "" {
			return false
		}
		t.i++
		t.room(p)
		return true
	}
	if p.Side != "" || p.Element == entry.Receiver {
		return false
	}
	if p.Element == "" && (t.onElement(t.i+1) || t.isAt(t.i-1, vocab.Level, vocab.Verdict, vocab.NoSignal) && t.atElement(t.i+1)) { // "in on the diplexer"
		p.Side, p.said[partSide] = entry.DishSide, t.i
		t.i++
		return true
	}
	if p.Element == "" && t.place.Element == "" && !(t.isAt(t.i-1, vocab.Level, vocab.Verdict, vocab.NoSignal) && t.isAt(t.i+1, vocab.And) && t.shows(t.i+2)) { // "minus 40 in and minus 41 out of the tap"
		return false
	}
	if t.i+1 < len(t.toks) && !t.isAt(t.i+1, vocab.Level, vocab.Verdict, vocab.NoSignal, vocab.Soft, vocab.LevelUV, vocab.LevelMV, vocab.Still, vocab.Volts, vocab.Strength, vocab.At, vocab.And) {
		return false
	}
	p.Side, p.said[partSide] = entry.DishSide, t.i
	t.i++
	return true
}

// some takes "both", "all", "all four", "the other".
func (t *talker) some(p *pointParts) bool {
	k := &t.toks[t.i]
	i := t.i + 1
	if j := i; t.isAt(j, vocab.Output) || t.isAt(j, vocab.Figure, vocab.Count, vocab.Digit) && t.isAt(j+1, vocab.Output) { // "both outputs"
		return t.missing("which outputs? Say their numbers, such as: splitter outputs one and two good")
	}
	which := entry.Which(k.Means())
	if which == entry.WhichOthers && t.place.Side != "" && p.Side == "" && k.Row.Say == "other" && t.isAt(t.i-1, vocab.On, vocab.At) && (i >= len(t.toks) || t.isAt(i, vocab.And) || t.toks[i].Brk) { // "minus 41 on the other"
		p.Side, p.said[partSide] = entry.DishSide, t.i
		if t.place.Side == entry.DishSide {
			p.Side = entry.ReceiverSide
		}
		t.i++
		return true
	}
	if which == entry.WhichAll && t.isAt(i, vocab.Figure, vocab.Count, vocab.Digit) {
		which += entry.Which(" " + t.toks[i].Value.String())
		i++
	}
	if which == entry.WhichOthers && t.isAt(i, vocab.Figure, vocab.Count, vocab.Digit) {
		which += entry.Which(" " + t.toks[i].Value.String())
		i++
	}
	if t.isAt(i, vocab.Room, vocab.Numbered) || !t.isAt(i, vocab.Element) || entry.Element(t.toks[i].Means()) != entry.Receiver {
		return false
	}
	switch which {
	case "neither":
		which, p.none = entry.WhichBoth, true
	case "none":
		which, p.none = entry.WhichAll, true
	}
	if which == entry.WhichOthers && !t.toks[i].Row.Plural && i == t.i+1 {
		which += " 1"
	}
	p.Which, t.i = which, i
	if t.isAt(i, vocab.Element) && t.toks[i].Row.Plural && t.isAt(i+1, vocab.Some) && t.toks[i+1].Row.Say == "all" && !t.toks[i+1].Brk { // "the other receivers all pass"
		t.toks = append(t.toks[:i+1:i+1], t.toks[i+2:]...)
	}
	return true
}

// element takes an element and the number, or numbers, after it.
func (t *talker) element(p *pointParts) {
	k := &t.toks[t.i]
	p.Element, p.said[partElement], p.plural = entry.Element(k.Means()), t.i, k.Row.Plural
	t.i++
	if !t.take(vocab.Index) {
		return
	}
	p.Number, p.said[partNumber] = t.number(t.last()), t.i-1
	if p.Element != entry.Receiver && !p.plural {
		return
	}
	numbers := []int{p.Number}
	for {
		i := t.i
		joined := t.isAt(i, vocab.And)
		if joined {
			i++
		}
		if t.isAt(i, vocab.Element) && joined && t.toks[i].Means() == string(entry.Receiver) && t.isAt(i+1, vocab.Index) && !p.plural {
			i++
		} else if !p.plural && !joined {
			break
		}
		if !t.isAt(i, vocab.Index, vocab.Count, vocab.Figure, vocab.Digit) || !joined && !t.toks[i].Brk || !p.plural && t.isAt(i+1, vocab.Element, vocab.Item, vocab.Cable) {
			break
		}
		numbers = append(numbers, t.number(&t.toks[i]))
		t.i = i + 1
	}
	if len(numbers) > 1 {
		p.Number, p.Which = 0, entry.WhichOf(numbers)
	}
	p.each = t.takeBoth(len(numbers))
}

// takeBoth takes a "both" or "all" behind n numbers: "receivers one and two
// both".
func (t *talker) takeBoth(n int) bool {
	if n == 2 && t.is(vocab.Some) && !t.toks[t.i].Brk && t.toks[t.i].Means() == string(entry.WhichBoth) ||
		n > 2 && t.is(vocab.Some) && t.toks[t.i].Row.Say == "all" {
		t.i++
		return true
	}
	return false
}
