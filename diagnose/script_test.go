package diagnose

import (
	"fmt"
	"strings"

	"downlead/diagnose/path"
)

// drawn writes a path in one line: children of a fork in brackets, what nobody
// said after a question mark, lengths and outputs where known.
func drawn(p path.Path) string {
	var draw func(i int) string
	draw = func(i int) string {
		e := p.Elements[i]
		s := strings.ReplaceAll(e.ID, " ", "")
		if e.Assumed {
			s += "?"
		}
		if e.LengthFt > 0 {
			s += fmt.Sprintf("=%g", e.LengthFt)
		}
		if e.Room != "" {
			s += "@" + e.Room
		}
		if e.Removed {
			s += "!removed"
		}
		kids := p.Children(i)
		switch len(kids) {
		case 0:
			return s
		case 1:
			return s + " " + draw(kids[0])
		}
		var parts []string
		for _, k := range kids {
			parts = append(parts, fmt.Sprintf("%d: %s", p.Elements[k].Port, draw(k)))
		}
		return s + " [" + strings.Join(parts, " | ") + "]"
	}
	if len(p.Elements) == 0 {
		return ""
	}
	return draw(0)
}
