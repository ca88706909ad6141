package diagnose

import (
	"math"

	"downlead/grammar"
)

// stand is where a technician stands to reach an element.
type stand struct {
	zone    string
	room    int // which room: the first receiver that the element feeds
	element int
}

// standAt is where the element is reached. What hangs on the receiver side of
// a wall plate is in its room, whatever its kind.
func (m *model) standAt(element int) stand {
	path := m.call.Path
	s := stand{zone: m.tables.Zone[string(path.Elements[element].Element)], room: -1, element: element}
	for up := element; up >= 0; up = path.Parent[up] {
		if path.Elements[up].Element == grammar.WallPlate {
			s.zone = zoneRoom
		}
	}
	for _, r := range path.Receivers() {
		if path.Above(element, r) {
			s.room = r
			break
		}
	}
	return s
}

// minutes is what moving from one stand to another costs.
func (t *Tables) minutes(from, to stand) float64 {
	switch {
	case from.element == to.element:
		return t.Minutes.SamePlace
	case from.zone == to.zone && from.zone == zoneRoom && from.room != to.room:
		return t.Minutes.OtherRoom
	case from.zone == to.zone:
		return t.Minutes.SameZone
	case from.zone != zoneRoof && to.zone != zoneRoof:
		return t.Minutes.RoomOutside
	case from.zone != zoneRoom && to.zone != zoneRoom:
		return t.Minutes.OutsideRoof
	}
	return t.Minutes.RoomRoof
}

// here is where the technician stands: where the options say, else where the
// last reading was taken, else behind the first receiver.
func (m *model) here(o Options) stand {
	c := m.call
	if o.At != nil {
		if found := c.Path.Find(*o.At); len(found) > 0 {
			return m.standAt(found[0])
		}
	}
	if n := len(c.Observations); n > 0 {
		return m.standAt(c.Observations[n-1].Element)
	}
	if r := c.Path.Receivers(); len(r) > 0 {
		return m.standAt(r[0])
	}
	return stand{zone: zoneRoom, room: -1, element: -1}
}

// unsafe is why nobody goes to a stand in this weather; "" when it is fit.
func (m *model) unsafe(s stand) string {
	if s.zone != zoneRoof {
		return ""
	}
	return badOnRoof(m.call.Settings.Weather)
}

// cost is what reading at a stand costs in minutes, the way there left out;
// +Inf where it is not safe to go.
func (m *model) cost(s stand) float64 {
	if m.unsafe(s) != "" {
		return math.Inf(1)
	}
	return m.tables.Minutes.Measure
}
