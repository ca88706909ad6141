package entry

// Missing names what has to be asked before an entry can be stored.
type Missing string

// What may be missing: nothing, the side of an element, the place itself, or what
// of a room was measured.
const (
	MissingNothing Missing = ""
	MissingSide    Missing = "side"
	MissingPoint   Missing = "point"
	MissingPart    Missing = "part" // of the room that was said
)

// Complete fills in what a person leaves unsaid and means anyway: a receiver
// is measured behind it, a wall plate and an LNB on their receiver side, "at
// the dish" is the LNB's receiver side, and a side or a slot by itself is of
// the element before. previous is the point of the reading before, or nil.
// Parse never does this: it says only what was said.
//
// What cannot be known is reported, to be asked.
func Complete(e Entry, previous *Point) (Entry, Missing) {
	if place, ok := e.(Place); ok {
		return standingAt(place, previous), MissingNothing
	}
	r, ok := e.(Reading)
	if !ok {
		return e, MissingNothing
	}
	if r.Point.Element == "" {
		if r.Point == (Point{Room: r.Point.Room}) && r.Point.Room != "" { // a room is no place of a meter
			return r, MissingPart
		}
		if previous == nil || !carries(*previous, r.Point) {
			return r, MissingPoint
		}
		r.Point = carried(r.Point, *previous)
		r.Assumed = AddNote(append([]string(nil), r.Assumed...), "element")
	}
	r.Point = settled(r.Point)
	if r.Point.Side == "" {
		return r, MissingSide
	}
	return r, MissingNothing
}

// standingAt is a place with what goes without saying.
func standingAt(p Place, previous *Point) Place {
	if p.Point.Element == "" && previous != nil && carries(*previous, p.Point) {
		p.Point = carried(p.Point, *previous)
		p.Assumed = AddNote(append([]string(nil), p.Assumed...), "element")
	}
	if p.Point.Element != "" {
		p.Point = settled(p.Point)
	}
	return p
}

// carries reports whether a point said without its element can be of the
// element of previous: an output is of what has several, and a meter is never
// between a dish and its LNB, nor beyond a receiver.
func carries(previous, p Point) bool {
	switch previous.Element {
	case "":
		return false
	case Receiver:
		return p.Port == 0 && p.Side != ReceiverSide
	case LNB, Dish:
		return p.Port == 0 && p.Side != DishSide
	}
	return p.Port == 0 || previous.Element.Forks()
}

// carried is a point said without its element, on the element of previous.
func carried(p, previous Point) Point {
	if p == (Point{}) {
		return previous
	}
	p.Element, p.Number = previous.Element, previous.Number
	if p.Room == "" {
		p.Room = previous.Room
	}
	return p
}

// settled gives a point the side that goes without saying.
func settled(p Point) Point {
	if p.Port > 0 && p.Side == "" {
		p.Side = ReceiverSide
	}
	if p.Side != "" && p.Element != Dish {
		return p
	}
	switch p.Element {
	case Dish:
		p.Element, p.Side = LNB, ReceiverSide
	case LNB, WallPlate:
		p.Side = ReceiverSide
	case Receiver:
		p.Side = DishSide
	}
	return p
}
