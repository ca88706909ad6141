package level

import (
	"fmt"
	"math"

	"downlead/grammar/entry"
)

// DBuV converts a power in dBm to a voltage in dB over one microvolt, at 75
// ohm: dBm + 90 + 10*log10(75).
func DBuV(dBm float64) float64 { return dBm + 90 + 10*math.Log10(75) }

// The window of level at a system outlet, dBuV: EN 60728-1 (read in a text
// that quotes it).
const OutletMinDBuV, OutletMaxDBuV = 47, 77

// CarriersDB is how far the total power of n equal carriers stands over one
// of them, in dB.
func CarriersDB(n int) float64 { return 10 * math.Log10(float64(n)) }

// esN0 is the Es/N0 needed for quasi error-free reception, in dB:
// EN 302 307-1 Table 13, ideal (read in a text that quotes it).
var esN0 = map[string]map[string]float64{
	"QPSK": {"1/2": 1.00, "3/5": 2.23, "2/3": 3.10, "3/4": 4.03, "4/5": 4.68, "5/6": 5.18, "8/9": 6.20, "9/10": 6.42},
	"8PSK": {"3/5": 5.50, "2/3": 6.62, "3/4": 7.91, "5/6": 9.35, "8/9": 10.69, "9/10": 10.98},
}

// ebN0 is the Eb/N0 needed with DVB-S, in dB: EN 300 421 (from memory), with
// the inner code rate as a number.
var ebN0 = map[string]struct{ rate, db float64 }{
	"1/2": {1. / 2, 4.5}, "2/3": {2. / 3, 5.0}, "3/4": {3. / 4, 5.5}, "5/6": {5. / 6, 6.0}, "7/8": {7. / 8, 6.4},
}

// QualityNeeded returns the MER, as Es/N0 in dB, that a modulation ("QPSK",
// "8PSK", or "DVB-S" for its QPSK) needs at a code rate ("2/3").
func QualityNeeded(modulation, rate string) (float64, error) {
	if modulation == "DVB-S" {
		if e, ok := ebN0[rate]; ok {
			// QPSK carries 2 bits a symbol; the outer code is RS(204,188).
			return e.db + 10*math.Log10(2*e.rate*188/204), nil
		}
	} else if need, ok := esN0[modulation][rate]; ok {
		return need, nil
	}
	return 0, fmt.Errorf("no threshold is known for %s %s; use QPSK, 8PSK or DVB-S with a code rate of its standard", modulation, rate)
}

// QualityMargin returns how far the reading's MER stands over what the
// tables' signal needs, in dB; false when no MER was said.
func QualityMargin(t *Tables, r entry.Reading) (float64, bool) {
	t = TablesOr(t)
	need, err := QualityNeeded(t.Signal.Modulation, t.Signal.Rate)
	if err != nil || !r.MER.Said() {
		return 0, false
	}
	return r.MER.Float() - need, true
}
