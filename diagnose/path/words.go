package path

import (
	"fmt"
	"strconv"
	"strings"

	"downlead/grammar/entry"
)

// KindWords is what a technician calls an element.
func KindWords(e entry.Element) string {
	if e == entry.LNB {
		return "LNB"
	}
	return strings.ReplaceAll(string(e), "_", " ")
}

// Numeral says a small number as a word.
func Numeral(n int) string {
	words := []string{"zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}
	if n >= 0 && n < len(words) {
		return words[n]
	}
	return strconv.Itoa(n)
}

// PartWords names the part of a point: "ground block", "kitchen wall plate".
func PartWords(p entry.Point) string {
	s := KindWords(p.Element)
	if p.Room != "" {
		s = p.Room + " " + s
	}
	if p.Number > 0 && (p.Room == "" || p.Element == entry.Receiver) {
		s = KindWords(p.Element) + " " + Numeral(p.Number)
		switch p.Room {
		case "":
		case "upstairs", "downstairs":
			s += " " + p.Room
		default:
			s += " in the " + p.Room
		}
	}
	return s
}

// PointWords says where a point is: "ground block, dish side", "behind
// receiver two", "splitter output two".
func PointWords(p entry.Point) string {
	part := PartWords(p)
	switch {
	case p.Element == entry.Receiver && p.Number == 0 && p.Room == "":
		return "behind the receiver"
	case p.Element == entry.Receiver:
		return "behind " + part
	case p.Element == entry.LNB:
		return part
	case p.Port > 0:
		return part + " output " + Numeral(p.Port)
	case p.Side != "":
		return part + ", " + string(p.Side) + " side"
	}
	return part
}

// AtPoint is pointWords after a verb: "passes at the ground block, dish side".
func AtPoint(p entry.Point) string {
	switch {
	case p.Element == entry.Receiver:
		return PointWords(p)
	case p.Port > 0, p.Number > 0 && p.Room == "":
		return "at " + PointWords(p)
	}
	return "at the " + PointWords(p)
}

// TheEnd names the part of a point as one end of a stretch.
func TheEnd(p entry.Point) string {
	if p.Number > 0 && (p.Element == entry.Receiver || p.Room == "") {
		return PartWords(p)
	}
	return "the " + PartWords(p)
}

// Name is what a technician calls element i: its number only where the path
// has several, and cable by its length or its ends.
func (p Path) Name(i int) string {
	e := p.Elements[i]
	switch {
	case e.Element == entry.Cable && e.LengthFt > 0:
		return Trim(e.LengthFt) + " ft of cable after " + p.upName(i)
	case e.Element == entry.Cable:
		return "cable after " + p.upName(i)
	case e.Element == entry.Jumper:
		if r := p.Receivers(); len(r) > 1 {
			for _, k := range r {
				if p.Above(i, k) {
					return "jumper of " + p.Name(k)
				}
			}
		}
		return "jumper"
	}
	return PartWords(p.Point(i, ""))
}

// The names element i with its article: "the ground block", "wall plate two".
func (p Path) The(i int) string {
	if pt := p.Point(i, ""); !IsRun(pt.Element) && pt.Number > 0 && (pt.Room == "" || pt.Element == entry.Receiver) {
		return p.Name(i)
	}
	return "the " + p.Name(i)
}

// upName names what a cable comes from.
func (p Path) upName(i int) string {
	up := p.Parent[i]
	if up < 0 {
		return "the dish"
	}
	if p.Multi(up) && p.Elements[i].Port > 0 {
		return p.Name(up) + " output " + Numeral(p.Elements[i].Port)
	}
	return p.The(up)
}

// List joins names: "a", "a or b", "a, b or c".
func List(names []string, last string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	n := len(names) - 1
	return strings.Join(names[:n], ", ") + " " + last + " " + names[n]
}

// Clause begins in lower case.
func Clause(s string) string {
	if s == "" {
		return ""
	}
	return strings.ToLower(s[:1]) + s[1:]
}

// Sentence begins with a capital and ends with a full stop.
func Sentence(s string) string {
	if s == "" {
		return ""
	}
	return strings.ToUpper(s[:1]) + s[1:] + "."
}

// Trim prints a number without needless places.
func Trim(x float64) string { return fmt.Sprintf("%.4g", x) }
