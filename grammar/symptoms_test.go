package grammar

import (
	"strings"
	"testing"

	"downlead/grammar/entry"
)

// What is noticed belongs to the receiver and to the time of its own clause:
// English usage, no source.
func TestSymptomsOfComplaint(t *testing.T) {
	p := newParser(t)
	for _, c := range [][2]string{
		{"the den keeps cutting out at night and the kitchen has no picture", "drops out at night; no picture"},
		{"receiver two freezes and receiver one has no picture", "freezes on receiver two; no picture on receiver one"},
		{"freezes and pixelates when it rains", "freezes when it rains; pixelates when it rains"},
		{"when it rains it freezes and drops out", "freezes when it rains; drops out when it rains"},
		{"no picture on receiver two, freezing on receiver one in the wind", "no picture on receiver two; freezes when it is windy on receiver one"},
		{"receiver one and receiver two freeze", "freezes"},
		{"receiver two drops out and freezes at night", "drops out at night on receiver two; freezes at night on receiver two"},
	} {
		var said []string
		for _, s := range p.Symptoms(c[0]) {
			said = append(said, entry.Say(s))
		}
		if got := strings.Join(said, "; "); got != c[1] {
			t.Errorf("%q: %s, want %s", c[0], got, c[1])
		}
	}
}
