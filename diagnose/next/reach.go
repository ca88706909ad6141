package next

import (
	"math"

	"downlead/diagnose/fault"
	"downlead/diagnose/level"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// stand is where a technician stands to reach an element.
type stand struct {
	zone    string
	room    int // which room: the first receiver that the element feeds
	element int
}

// standAt is where the element is reached. What hangs on the receiver side of
// a wall plate is in its room, whatever its kind.
func standAt(m *fault.Model, element int) stand {
	path := m.Call.Path
	s := stand{zone: m.Tables.Zone[string(path.Elements[element].Element)], room: -1, element: element}
	for up := element; up >= 0; up = path.Parent[up] {
		if path.Elements[up].Element == entry.WallPlate {
			s.zone = level.ZoneRoom
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

// Minutes is what moving from one stand to another costs.
func Minutes(t *level.Tables, from, to stand) float64 {
	switch {
	case from.element == to.element:
		return t.Minutes.SamePlace
	case from.zone == to.zone && from.zone == level.ZoneRoom && from.room != to.room:
		return t.Minutes.OtherRoom
	case from.zone == to.zone:
		return t.Minutes.SameZone
	case from.zone != level.ZoneRoof && to.zone != level.ZoneRoof:
		return t.Minutes.RoomOutside
	case from.zone != level.ZoneRoom && to.zone != level.ZoneRoom:
		return t.Minutes.OutsideRoof
	}
	return t.Minutes.RoomRoof
}

// here is where the technician stands: where the options say, else where the
// last reading was taken, else behind the first receiver.
func here(m *fault.Model, o level.Options) stand {
	c := m.Call
	if o.At != nil {
		if found := c.Path.Find(*o.At); len(found) > 0 {
			return standAt(m, found[0])
		}
	}
	if n := len(c.Observations); n > 0 {
		return standAt(m, c.Observations[n-1].Element)
	}
	if r := c.Path.Receivers(); len(r) > 0 {
		return standAt(m, r[0])
	}
	return stand{zone: level.ZoneRoom, room: -1, element: -1}
}

// unsafe is why nobody goes to a stand in this weather; "" when it is fit.
func unsafe(m *fault.Model, s stand) string {
	if s.zone != level.ZoneRoof {
		return ""
	}
	return trace.BadOnRoof(m.Call.Settings.Weather)
}

// Cost is what reading at a stand costs in minutes, the way there left out;
// +Inf where it is not safe to go.
func Cost(m *fault.Model, s stand) float64 {
	if unsafe(m, s) != "" {
		return math.Inf(1)
	}
	return m.Tables.Minutes.Measure
}
