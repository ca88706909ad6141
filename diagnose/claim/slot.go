package claim

import (
	"fmt"
	"slices"

	"downlead/diagnose/call"
	"downlead/diagnose/next"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// slotAlone is the step where one slot fails behind a point at which another
// passes: on coax that they share, only the aim, the slot's LNB and a
// multiswitch tell them apart. The odds know nothing of slots, so it is no
// answer where they name a part.
func slotAlone(p *call.Progress, d Diagnosis, planned *next.Next) *next.Next {
	if len(p.Spans) == 0 || planned != nil && planned.Act == next.ActRepair && d.chance(planned.ID) >= surely {
		return nil
	}
	c, fail := p.Call, p.Spans[0].Fail
	slot := failingSlot(c, fail)
	if slot == 0 || atSlot(c, c.Path.Index("lnb 1"), slot) == entry.Pass {
		return nil
	}
	again := fmt.Sprintf("then read slot %d again %s", slot, path.AtPoint(c.PointOfSpot(fail)))
	alone := fmt.Sprintf("slot %d alone fails, on coax that another shares", slot)
	way := c.Path.Branch(fail.Reach)
	for i, e := range slices.Backward(way) {
		if c.Path.Elements[e].Element != entry.Multiswitch || c.Path.Elements[e].Removed || i == 0 {
			continue
		}
		at := c.Path.Point(e, entry.DishSide)
		switch atSlot(c, way[i-1], slot) {
		case entry.Pass:
			why := fmt.Sprintf("slot %d passes at its dish side, and fails beyond it", slot)
			return &next.Next{
				Act: next.ActStep, Code: next.WhySlot, ID: c.Path.Elements[e].ID, Why: why,
				Text: fmt.Sprintf("See to %s: %s. %s.", c.Path.The(e), why, upper(again)),
			}
		case "":
			return &next.Next{
				Act: next.ActRead, Read: []string{next.ReadLevel}, Code: next.WhySlot, Point: at, ID: c.Path.Elements[e].ID, Why: alone,
				Minutes: d.tables.Minutes.OtherRoom + d.tables.Minutes.Measure,
				Text:    fmt.Sprintf("Next: read slot %d %s: %s.", slot, path.AtPoint(at), alone),
			}
		}
	}
	return &next.Next{
		Act: next.ActStep, Code: next.WhySlot, ID: c.Path.Elements[0].ID, Why: alone,
		Text: fmt.Sprintf("See to the aim and the skew for slot %d, and to its LNB, %s.", slot, again),
	}
}

// failingSlot is the only slot that fails at a point, where another one passes
// there or beyond it; 0 for none.
func failingSlot(c trace.Call, fail trace.Spot) int {
	slot := 0
	for _, o := range fail.Now {
		switch r := o.Reading; {
		case trace.Counts(r, c.Settings) != entry.Fail:
		case r.Slot == 0 || slot > 0 && r.Slot != slot:
			return 0
		default:
			slot = r.Slot
		}
	}
	other := func(o trace.Observation) bool {
		return o.Reading.Slot > 0 && o.Reading.Slot != slot && trace.Counts(o.Reading, c.Settings) == entry.Pass
	}
	for _, s := range c.Spots() {
		if !s.Stale && c.Path.Above(fail.Reach, s.Reach) && slices.ContainsFunc(s.Now, other) {
			return slot
		}
	}
	return 0
}

// atSlot is what stands of a slot at the receiver side of an element; "" where
// it was not read there.
func atSlot(c trace.Call, e, slot int) entry.Verdict {
	for _, s := range c.Spots() {
		if s.Stale || s.Reach != e {
			continue
		}
		for _, o := range s.Now {
			if v := trace.Counts(o.Reading, c.Settings); o.Reading.Slot == slot && v != "" {
				return v
			}
		}
	}
	return ""
}
