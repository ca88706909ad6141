package diagnose

import (
	"fmt"
	"strconv"
	"strings"

	"downlead/grammar"
)

// kindWords is what a technician calls an element.
func kindWords(e grammar.Element) string {
	if e == grammar.LNB {
		return "LNB"
	}
	return strings.ReplaceAll(string(e), "_", " ")
}

// numeral says a small number as a word.
func numeral(n int) string {
	words := []string{"zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}
	if n >= 0 && n < len(words) {
		return words[n]
	}
	return strconv.Itoa(n)
}

// partWords names the part of a point: "ground block", "kitchen wall plate".
func partWords(p grammar.Point) string {
	s := kindWords(p.Element)
	if p.Room != "" {
		s = p.Room + " " + s
	}
	if p.Number > 0 && (p.Room == "" || p.Element == grammar.Receiver) {
		s = kindWords(p.Element) + " " + numeral(p.Number)
		if p.Room != "" {
			s += " in the " + p.Room
		}
	}
	return s
}

// pointWords says where a point is: "ground block, dish side", "behind
// receiver two", "splitter output two".
func pointWords(p grammar.Point) string {
	part := partWords(p)
	switch {
	case p.Element == grammar.Receiver && p.Number == 0 && p.Room == "":
		return "behind the receiver"
	case p.Element == grammar.Receiver:
		return "behind " + part
	case p.Element == grammar.LNB:
		return part
	case p.Port > 0:
		return part + " output " + numeral(p.Port)
	case p.Side != "":
		return part + ", " + string(p.Side) + " side"
	}
	return part
}

// atPoint is pointWords after a verb: "passes at the ground block, dish side".
func atPoint(p grammar.Point) string {
	switch {
	case p.Element == grammar.Receiver:
		return pointWords(p)
	case p.Port > 0, p.Number > 0 && p.Room == "":
		return "at " + pointWords(p)
	}
	return "at the " + pointWords(p)
}

// theEnd names the part of a point as one end of a stretch.
func theEnd(p grammar.Point) string {
	if p.Number > 0 && (p.Element == grammar.Receiver || p.Room == "") {
		return partWords(p)
	}
	return "the " + partWords(p)
}

// name is what a technician calls element i: its number only where the path
// has several, and cable by its length or its ends.
func (p Path) name(i int) string {
	e := p.Elements[i]
	switch {
	case e.Element == grammar.Cable && e.LengthFt > 0:
		return trim(e.LengthFt) + " ft of cable after " + p.upName(i)
	case e.Element == grammar.Cable:
		return "cable after " + p.upName(i)
	case e.Element == grammar.Jumper:
		if r := p.Receivers(); len(r) > 1 {
			for _, k := range r {
				if p.Above(i, k) {
					return "jumper of " + p.name(k)
				}
			}
		}
		return "jumper"
	}
	return partWords(p.Point(i, ""))
}

// the names element i with its article: "the ground block", "wall plate two".
func (p Path) the(i int) string {
	if pt := p.Point(i, ""); !isRun(pt.Element) && pt.Number > 0 && pt.Room == "" {
		return p.name(i)
	}
	return "the " + p.name(i)
}

// upName names what a cable comes from.
func (p Path) upName(i int) string {
	up := p.Parent[i]
	if up < 0 {
		return "the dish"
	}
	if p.multi(up) && p.Elements[i].Port > 0 {
		return p.name(up) + " output " + numeral(p.Elements[i].Port)
	}
	return p.the(up)
}

// list joins names: "a", "a or b", "a, b or c".
func list(names []string, last string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	n := len(names) - 1
	return strings.Join(names[:n], ", ") + " " + last + " " + names[n]
}

// clause begins in lower case.
func clause(s string) string {
	if s == "" {
		return ""
	}
	return strings.ToLower(s[:1]) + s[1:]
}

// sentence begins with a capital and ends with a full stop.
func sentence(s string) string {
	if s == "" {
		return ""
	}
	return strings.ToUpper(s[:1]) + s[1:] + "."
}

// trim prints a number without needless places.
func trim(x float64) string { return fmt.Sprintf("%.4g", x) }
