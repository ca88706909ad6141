package diagnose

import (
	"slices"

	"downlead/grammar"
)

// Place is somewhere a meter can be put. There is one for every joint of the
// path: two sides of one joint are the same to a meter.
type Place struct {
	Element int // index into Path.Elements
	Side    grammar.Side
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

// Reach returns the last element whose loss a meter at the place sees: the
// element itself on its receiver side, the one before it on its dish side.
func (p Path) Reach(i int, side grammar.Side) int {
	if side == grammar.DishSide && p.Parent[i] >= 0 {
		return p.Parent[i]
	}
	return i
}

// Receivers returns the receivers still in the path.
func (p Path) Receivers() []int {
	var out []int
	for i, e := range p.Elements {
		if e.Element == grammar.Receiver && !e.Removed {
			out = append(out, i)
		}
	}
	return out
}
