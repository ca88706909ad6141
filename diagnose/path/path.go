package path

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"downlead/grammar/entry"
)

// Place is somewhere a meter can be put. There is one for every joint of the
// path: the two sides of a joint are the same to a meter.
type Place struct {
	Element int // index into Path.Elements
	Side    entry.Side
	Port    int // the output, where the element has several; else 0
}

// Index returns the index of the element with the id, or -1.
func (p Path) Index(id string) int {
	return slices.IndexFunc(p.Elements, func(e PathElement) bool { return e.ID == id })
}

// Children returns the elements that hang directly on element i, by output.
func (p Path) Children(i int) []int {
	var out []int
	for c, parent := range p.Parent {
		if parent == i {
			out = append(out, c)
		}
	}
	slices.SortStableFunc(out, func(a, b int) int { return cmp.Compare(p.Elements[a].Port, p.Elements[b].Port) })
	return out
}

// Branch returns the elements from the dish to element i, both included.
func (p Path) Branch(i int) []int {
	var out []int
	for ; i >= 0; i = p.Parent[i] {
		out = append(out, i)
	}
	slices.Reverse(out)
	return out
}

// Above reports whether element a is i or lies between the dish and i.
func (p Path) Above(a, i int) bool {
	for ; i >= 0; i = p.Parent[i] {
		if i == a {
			return true
		}
	}
	return false
}

// Reach returns the last element whose loss a meter at the place sees: the
// element itself on its receiver side, the one before it on its dish side.
func (p Path) Reach(i int, side entry.Side) int {
	if side == entry.DishSide && p.Parent[i] >= 0 {
		return p.Parent[i]
	}
	return i
}

// Receivers returns the receivers still in the path.
func (p Path) Receivers() []int {
	var out []int
	for i, e := range p.Elements {
		if e.Element == entry.Receiver && !e.Removed {
			out = append(out, i)
		}
	}
	return out
}

// Find returns the elements that a point as said may mean; more than one is
// ambiguous. There is no coax to part at the dish itself, so a point at the
// dish means the LNB. A room fits an element in it, or whose receivers are
// all in it, and, when none is, one whose room nobody knows.
func (p Path) Find(pt entry.Point) []int {
	want := pt.Element
	if want == entry.Dish {
		want = entry.LNB
	}
	var exact, unknown []int
	for i, e := range p.Elements {
		if e.Element != want || e.Removed || pt.Number > 0 && p.Number(i) != pt.Number {
			continue
		}
		switch room := p.roomOf(i); {
		case pt.Room == "" || room == pt.Room:
			exact = append(exact, i)
		case room == "" && !p.elsewhere(i, pt.Room):
			unknown = append(unknown, i)
		}
	}
	if len(exact) > 0 {
		return exact
	}
	return unknown
}

// elsewhere reports whether an element leads to receivers, and to none of
// those that are in a room.
func (p Path) elsewhere(i int, room string) bool {
	leads, there := false, false
	for _, r := range p.Receivers() {
		in := p.Elements[r].Room == room
		there = there || in
		if p.Above(i, r) {
			if in {
				return false
			}
			leads = true
		}
	}
	return leads && there
}

// Number returns the number in an element's id.
func (p Path) Number(i int) int {
	_, n, _ := strings.Cut(p.Elements[i].ID, " ")
	k, _ := strconv.Atoi(n)
	return k
}

func (p Path) roomOf(i int) string {
	if p.Elements[i].Room != "" {
		return p.Elements[i].Room
	}
	room := ""
	for _, r := range p.Receivers() {
		switch at := p.Elements[r].Room; {
		case !p.Above(i, r) || at == room:
		case room != "" || at == "":
			return ""
		default:
			room = at
		}
	}
	return room
}

// Point returns a side of element i in the words of the job: its number only
// where the path has several of the kind.
func (p Path) Point(i int, side entry.Side) entry.Point {
	e := p.Elements[i]
	pt := entry.Point{Element: e.Element, Side: side}
	if perReceiver(e.Element) {
		pt.Room = e.Room
	}
	if p.several(i) {
		pt.Number = p.Number(i)
	}
	return pt
}

// several reports whether the path has more than one element of i's kind.
func (p Path) several(i int) bool {
	for j, e := range p.Elements {
		if j != i && e.Element == p.Elements[i].Element {
			return true
		}
	}
	return p.Number(i) != 1
}

// PointAt returns a place as a point, with its output where there are several.
func (p Path) PointAt(pl Place) entry.Point {
	pt := p.Point(pl.Element, pl.Side)
	pt.Port = pl.Port
	return pt
}

// Points returns every place a meter can be put, from the dish outwards, one
// for each joint. Behind a receiver is the receiver's dish side; elsewhere a
// part with two fixed ends is named before a cable.
func (p Path) Points() []Place {
	var out []Place
	for i, e := range p.Elements {
		if e.Removed || e.Element == entry.Dish {
			continue
		}
		if i > 0 && e.Element != entry.LNB {
			if up, ok := p.joint(i); ok {
				out = append(out, up)
			}
		}
		if e.Element != entry.Receiver && len(p.live(i)) == 0 {
			out = append(out, Place{Element: i, Side: entry.ReceiverSide})
		}
	}
	return out
}

// joint names the place where element i meets the one before it.
func (p Path) joint(i int) (Place, bool) {
	up := p.Parent[i]
	port := p.Elements[i].Port
	for up >= 0 && p.Elements[up].Removed {
		if p.Elements[up].Port > 0 {
			port = p.Elements[up].Port
		}
		up = p.Parent[up]
	}
	if up < 0 || p.Elements[up].Element == entry.Dish {
		return Place{}, false
	}
	if p.Elements[i].Element == entry.Receiver || IsRun(p.Elements[up].Element) && !IsRun(p.Elements[i].Element) {
		return Place{Element: i, Side: entry.DishSide}, true
	}
	if !p.Multi(up) {
		port = 0
	}
	return Place{Element: up, Side: entry.ReceiverSide, Port: port}, true
}

// Multi reports whether an element has several outputs.
func (p Path) Multi(i int) bool {
	return Forks(p.Elements[i].Element) || len(p.live(i)) > 1
}

// live returns what hangs on element i now, past parts that were taken out.
func (p Path) live(i int) []int {
	var out []int
	for _, c := range p.Children(i) {
		if p.Elements[c].Removed {
			out = append(out, p.live(c)...)
			continue
		}
		out = append(out, c)
	}
	return out
}

// Path is the tree from the dish to every receiver. Elements stand so that a
// parent comes before its children; Parent[i] is the index of the element on
// the dish side of element i, or -1 for the dish. A part that was taken out
// stays in the tree, marked Removed, because readings were taken through it.
type Path struct {
	Elements []PathElement
	Parent   []int
}

// PathElement is one element of the rebuilt path.
type PathElement struct {
	ID       string        `json:"id"` // "ground_block 1"
	Element  entry.Element `json:"element"`
	Parent   string        `json:"parent,omitempty"`
	Port     int           `json:"port,omitempty"` // the parent's output it hangs on
	Room     string        `json:"room,omitempty"`
	LengthFt float64       `json:"length_ft,omitempty"`
	Cable    string        `json:"cable,omitempty"`
	Ways     int           `json:"ways,omitempty"`
	SaidWays int           `json:"-"`                 // as somebody said them; 0 where they are counted
	Assumed  bool          `json:"assumed,omitempty"` // nobody said so: the usual order has it there
	Removed  bool          `json:"removed,omitempty"` // taken out on this call
}
