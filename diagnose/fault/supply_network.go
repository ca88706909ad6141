package fault

import (
	"downlead/diagnose/level"
	"downlead/diagnose/path"
	"downlead/grammar/entry"
)

// The supply runs the other way from the signal: from a receiver, or from a
// power inserter before it, along the centre conductor to the LNB and back
// along the shield. A receiver behind an inserter feeds no further than that.

// SupplyRun is the way from one feed to a point.
type SupplyRun struct {
	Feed     int   // the receiver or power inserter
	Elements []int // between the feed and the point, from the feed on
	Ohm      float64
}

// Ohms is the resistance of element i, both conductors, from the sheet of its
// cable; parts other than cable count for nothing.
func Ohms(p path.Path, t *level.Tables, i int) float64 {
	e := p.Elements[i]
	length, _ := level.RunLength(t, e)
	return level.SupplyDrop(t, e.Cable, length, 1)
}

// SupplyRuns lists the ways on which the point behind element reach is fed;
// none where nothing feeds it. absent reports the parts that were not there.
func SupplyRuns(p path.Path, t *level.Tables, reach int, absent func(int) bool) []SupplyRun {
	var out []SupplyRun
	for i, e := range p.Elements {
		if e.Element != entry.Receiver || absent(i) || i == reach || !p.Above(reach, i) {
			continue
		}
		run := SupplyRun{Feed: i}
		for k := p.Parent[i]; k != reach; k = p.Parent[k] {
			switch {
			case absent(k):
			case p.Elements[k].Element == entry.PowerInserter:
				run = SupplyRun{Feed: k}
			default:
				run.Elements = append(run.Elements, k)
				run.Ohm += Ohms(p, t, k)
			}
		}
		if !hasFeed(out, run.Feed) {
			out = append(out, run)
		}
	}
	return out
}

func hasFeed(runs []SupplyRun, feed int) bool {
	for _, r := range runs {
		if r.Feed == feed {
			return true
		}
	}
	return false
}

// DcEffect is what a fault does to the supply at its place.
type DcEffect int8

const (
	dcNone  DcEffect = iota
	DcOpen           // nothing gets beyond it
	DcShort          // nothing gets beyond it, and it pulls down what feeds it
	DcJoint          // a poor joint: the load pulls the voltage down beyond it
)

// dcShare is how often a fault has an effect on the supply.
type dcShare struct {
	Effect DcEffect
	Share  float64
}

// DcShares is how the faults of a mode divide by what they do to the supply.
func DcShares(t *level.Tables, kind entry.Element, mode string) []dcShare {
	s := t.Supply
	switch mode {
	case level.ModeOpen, level.ModeDropout:
		if kind == entry.Dish {
			return nil
		}
		return []dcShare{{DcShort, s.Short}, {dcNone, s.SignalOnly}, {DcOpen, 1 - s.Short - s.SignalOnly}}
	case level.ModeFlat, level.ModeTilt, level.ModeIntermittent:
		if kind == entry.Dish || kind == entry.LNB {
			return nil
		}
		return []dcShare{{DcJoint, s.PoorJoint}, {dcNone, 1 - s.PoorJoint}}
	case level.ModeNoPower, level.ModeNoFeed:
		return []dcShare{{DcOpen, 1}}
	}
	return nil
}
