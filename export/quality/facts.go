package quality

import (
	"downlead/export/closeout"
	"downlead/grammar/entry"
)

// ChecksDone reports that every closing check has a result.
func ChecksDone(c closeout.Closeout) bool { return hasAllChecks(c) }

// ReceiversTested reports whether every receiver of the path was read, and
// whether there is one.
func ReceiversTested(c closeout.Closeout) (all, some bool) { return receiversTested(c) }

// ProofReadings returns the last reading behind each receiver that no repair
// came after and that has a level; of several at one receiver the lowest.
func ProofReadings(c closeout.Closeout) []closeout.Reading {
	last := map[string]int{}
	var out []closeout.Reading
	for _, p := range c.Points {
		r := p.Last()
		if p.Point.Element != entry.Receiver || p.Point.Side == entry.ReceiverSide || p.Stale || !r.LevelMargin.Said() {
			continue
		}
		key := p.ID + p.Name
		i, ok := last[key]
		switch {
		case !ok:
			last[key] = len(out)
			out = append(out, r)
		case r.LevelMargin.Micro() < out[i].LevelMargin.Micro():
			out[i] = r
		}
	}
	return out
}
