package talk

import (
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/lex"
	"downlead/grammar/vocab"
)

// pointParts is a place as it was said.
type pointParts struct {
	entry.Point
	said    [4]int // the token at which each part began, for repairs; -1 where it was not said
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
	switch {
	case t.isAt(i, vocab.Element, vocab.Side, vocab.Behind, vocab.Some, vocab.Room, vocab.Numbered, vocab.Output):
		return true
	case t.isAt(i, vocab.After, vocab.Before):
		return t.isAt(i+1, vocab.Element)
	case t.isAt(i, vocab.In):
		return t.startsIn(i)
	case t.isAt(i, vocab.Symptom) && t.toks[i].Row.Say == "in and out":
		return t.isAt(i-1, vocab.Verdict, vocab.NoSignal)
	}
	return t.isSeveral(i) || t.way(i) != ""
}

// startsIn reports that "in" at token i is of a place: of a room, or the input of a part.
func (t *talker) startsIn(i int) bool {
	if t.onElement(i+1) || t.isAt(i+1, vocab.Room, vocab.Numbered, vocab.Level, vocab.Verdict, vocab.NoSignal, vocab.Soft, vocab.LevelUV, vocab.LevelMV) {
		return true
	}
	ends := i+1 >= len(t.toks) || t.isAt(i+1, vocab.And) || t.toks[i+1].Brk
	return t.isAt(i-1, vocab.Level, vocab.Verdict, vocab.NoSignal) && (ends || t.atElement(i+1))
}

// way is the side that the way of the signal at token i tells, "" where it tells none.
func (t *talker) way(i int) entry.Side {
	switch {
	case t.fedInto(i):
		return entry.DishSide
	case t.goesOut(i), t.outAt(i):
		return entry.ReceiverSide
	}
	return ""
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

// point reads a place: an element, its number, its side and its room, in any
// order, each once.
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
		side := entry.ReceiverSide
		if k.Class == vocab.Before {
			side = entry.DishSide
		}
		t.putSide(p, side)
	case vocab.Behind:
		if p.Side != "" || !t.isAt(t.i+1, vocab.Element, vocab.Room, vocab.Numbered, vocab.Some) {
			return false
		}
		t.putSide(p, entry.DishSide)
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
		return !t.leavesRoom(t.i) && t.sidePart(p, k.Means())
	case vocab.Output:
		return t.outputPart(p, k)
	case vocab.In:
		return t.inPart(p)
	case vocab.Through, vocab.Stand, vocab.Symptom:
		return t.wayPart(p)
	case vocab.Room, vocab.Numbered:
		if p.Room != "" || p.Which == whichRooms {
			return false
		}
		if t.rooms(p) {
			break
		}
		t.room(p)
	case vocab.On, vocab.At, vocab.By:
		return t.joinPart(p, k.Class)
	default:
		return false
	}
	return true
}

// sidePart takes a side by its name, or "the other side" of what was measured before.
func (t *talker) sidePart(p *pointParts, means string) bool {
	switch {
	case p.Side != "" || p.Which != "":
		return false
	case means == "other" && t.place.Side == "":
		return t.missing("which side is the other? Say: dish side, or: receiver side, and of which part")
	case means == "other":
		t.putSide(p, across(t.place.Side))
	case means == "both":
		p.Which = whichSides
		t.i++
	default:
		t.putSide(p, entry.Side(means))
	}
	return true
}

// leavesRoom reports "leaving the den, ground block …" at token i: somebody leaves the
// room, and no signal the part.
func (t *talker) leavesRoom(i int) bool {
	if !strings.HasSuffix(t.toks[i].Row.Say, " the") || !t.isAt(i+1, vocab.Room, vocab.Numbered) {
		return false
	}
	for i++; t.isAt(i, vocab.Room, vocab.Numbered, vocab.Index); i++ {
	}
	return t.isAt(i, vocab.Element) && t.toks[i].Brk
}

// outputPart takes an output and its number, or numbers.
func (t *talker) outputPart(p *pointParts, k *lex.Token) bool {
	if k.Brk && p.Element == entry.Receiver { // a receiver has no outputs: "… to the den receiver, output two to …"
		return false
	}
	if p.Side != "" && !(p.Side == entry.ReceiverSide && p.Port == 0 && p.Element != "" && t.isAt(t.i+1, vocab.Index)) {
		return false
	}
	t.putSide(p, entry.ReceiverSide)
	if t.take(vocab.Index) {
		p.Port = t.number(t.last())
	}
	t.ports(p, k)
	return true
}

// joinPart takes the little word between two parts of a place: "dish side of the splitter
// at the den", "the splitter on port two".
func (t *talker) joinPart(p *pointParts, c vocab.Class) bool {
	port := c == vocab.On && p.Element.InPath() && p.Element != "" && p.Element != entry.Receiver && t.isAt(t.i+1, vocab.Output) && t.isAt(t.i+2, vocab.Index)
	begun := p.Side != "" || p.Which == whichSides || p.Room != "" && c != vocab.On
	part := p.Element == "" && begun && t.isAt(t.i+1, vocab.Element, vocab.Room, vocab.Numbered)
	if !port && !part || c == vocab.By && p.Room == "" {
		return false
	}
	t.i++
	return true
}

// putSide puts a side where the token says it, and takes that.
func (t *talker) putSide(p *pointParts, s entry.Side) {
	p.Side, p.said[partSide] = s, t.i
	t.i++
}

// across is the other side of a part.
func across(s entry.Side) entry.Side {
	if s == entry.DishSide {
		return entry.ReceiverSide
	}
	return entry.DishSide
}

// wayPart takes the side that the way of the signal tells, "minus 50 out at the
// splitter", or both: "good in and out".
func (t *talker) wayPart(p *pointParts) bool {
	if p.Side != "" || p.Which != "" || p.Element == entry.Receiver {
		return false
	}
	if t.toks[t.i].Row.Say == "in and out" {
		p.Which = whichSides
		if t.i++; t.is(vocab.Some) && !t.toks[t.i].Brk && t.toks[t.i].Means() == string(entry.WhichBoth) {
			t.i++
		}
		return true
	}
	side := t.way(t.i)
	if side == "" || p.Element != "" && !t.goesOut(t.i) {
		return false
	}
	t.putSide(p, side)
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
		t.putSide(p, entry.DishSide)
		return true
	}
	if p.Element == "" && t.place.Element == "" && !(t.isAt(t.i-1, vocab.Level, vocab.Verdict, vocab.NoSignal) && t.isAt(t.i+1, vocab.And) && t.shows(t.i+2)) { // "minus 40 in and minus 41 out of the tap"
		return false
	}
	if t.i+1 < len(t.toks) && !t.isAt(t.i+1, vocab.Level, vocab.Verdict, vocab.NoSignal, vocab.Soft, vocab.LevelUV, vocab.LevelMV, vocab.Still, vocab.Volts, vocab.Strength, vocab.At, vocab.And) {
		return false
	}
	t.putSide(p, entry.DishSide)
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
