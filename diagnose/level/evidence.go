package level

import (
	"fmt"
	"slices"
	"strings"

	"downlead/grammar/entry"
)

// EvidenceTable is how much likelier something seen or noticed is with a fault
// than without, by mode, or by element kind and mode: "dish.intermittent".
type EvidenceTable map[string]float64

// Check refuses what cannot be.
func (e EvidenceTable) Check() error {
	for name, r := range e {
		mode := name
		if kind, m, ok := strings.Cut(name, "."); ok {
			mode = m
			if !slices.Contains(elementKinds, entry.Element(kind)) {
				return fmt.Errorf("%q: there is no such element", name)
			}
		}
		if !slices.Contains(ModeNames, mode) {
			return fmt.Errorf("%q: there is no such failure mode; use one of %s", name, strings.Join(ModeNames, " "))
		}
		if !(r >= 1e-3 && r <= 1e4) {
			return fmt.Errorf("%q: a likelihood ratio is 0.001 to 10000", name)
		}
	}
	return nil
}

func (e EvidenceTable) Of(kind entry.Element, mode string) float64 {
	if r, ok := e[string(kind)+"."+mode]; ok {
		return r
	}
	if r, ok := e[mode]; ok {
		return r
	}
	return 1
}
