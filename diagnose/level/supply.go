package level

import (
	"math"

	"downlead/diagnose/trace"
)

// The supply a receiver puts on the coax, at its own connector, volts:
// EN 61319-1 (from memory). Vertical or right-hand polarisation takes the low
// state, horizontal or left-hand the high one.
const (
	SupplyLowMin, SupplyLowMax   = 12.5, 14.0
	SupplyHighMin, SupplyHighMax = 17.0, 19.0
)

// LNBCurrent is what an LNB with its switch draws, in A. Common practice.
const LNBCurrent = 0.25

// SupplyDrop returns the direct voltage lost over a run of cable, in V: out
// along the centre conductor and back along the shield. A nil t means the
// built-in tables; an unknown cable counts as rg6.
func SupplyDrop(t *Tables, cable string, lengthFt, amperes float64) float64 {
	t = TablesOr(t)
	c, ok := t.Cable[cable]
	if !ok {
		c = t.Cable["rg6"]
	}
	return amperes * (c.CentreOhm + c.ShieldOhm) * lengthFt / 1000
}

// SupplyAt returns the voltage to expect at the observation's point when the
// receiver on its branch supplies volts, in V.
func SupplyAt(c trace.Call, t *Tables, o trace.Observation, volts float64) float64 {
	t = TablesOr(t)
	reach := c.Path.Reach(o.Element, o.Side)
	receiver := -1
	for _, r := range c.Path.Receivers() {
		for _, i := range c.Path.Branch(r) {
			if i == reach && receiver < 0 {
				receiver = r
			}
		}
	}
	if receiver < 0 {
		return volts
	}
	for i := receiver; i >= 0 && i != reach; i = c.Path.Parent[i] {
		e := c.Path.Elements[i]
		length, _ := RunLength(t, e)
		volts -= SupplyDrop(t, e.Cable, length, LNBCurrent)
	}
	return math.Max(volts, 0)
}
