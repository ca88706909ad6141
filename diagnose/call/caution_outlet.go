package call

import "strings"

// OutletPattern is what a three-lamp receptacle tester shows, by name.
type OutletPattern struct {
	Name    string // as it is said: "open ground"
	Safe    bool   // whether work may go on at this outlet
	Meaning string
}

// OutletPatterns returns the patterns that a three-lamp receptacle tester can
// show (common practice, no source).
func OutletPatterns() []OutletPattern {
	return []OutletPattern{
		{"correct", true, "hot, neutral and ground are where they should be, as far as the tester can see"},
		{"open ground", false, "the ground is not connected: a fault in the equipment can make its case live"},
		{"open neutral", false, "the neutral is not connected: nothing works, and the wiring beyond may be live"},
		{"open hot", false, "the hot wire is not connected: the outlet is dead"},
		{"hot and neutral reversed", false, "hot and neutral are exchanged: parts that should be harmless are live"},
		{"hot and ground reversed", false, "hot and ground are exchanged: the case of what is plugged in can be live"},
	}
}

// OutletBlind says what a three-lamp receptacle tester cannot see (common
// practice, no source).
const OutletBlind = "A three-lamp tester cannot see a poor ground, ground and neutral exchanged, " +
	"a ground joined to the neutral at the outlet, two hot wires, or several faults at once."

// OutletPatternOf returns the pattern that a remark names. "hot neutral
// reversed" and "reversed polarity" are the same as said in full.
func OutletPatternOf(remark string) (OutletPattern, bool) {
	words := strings.ToLower(remark)
	has := func(all ...string) bool {
		for _, w := range all {
			if !strings.Contains(words, w) {
				return false
			}
		}
		return true
	}
	name := ""
	switch {
	case has("revers", "ground"):
		name = "hot and ground reversed"
	case has("revers"):
		name = "hot and neutral reversed"
	case has("open", "ground"), has("no ground"):
		name = "open ground"
	case has("open", "neutral"), has("no neutral"):
		name = "open neutral"
	case has("open", "hot"), has("no hot"), has("dead"):
		name = "open hot"
	case has("correct"):
		name = "correct"
	}
	for _, p := range OutletPatterns() {
		if p.Name == name {
			return p, true
		}
	}
	return OutletPattern{}, false
}

// OutletText says what a failing outlet means and what to do.
func OutletText(remark string) string {
	text := "The outlet is unsafe"
	if p, ok := OutletPatternOf(remark); ok {
		text += ", " + p.Name + ": " + p.Meaning
	} else if remark != "" {
		text += ": " + remark
	}
	return text + ". Do not use it and do not repair it: tell the customer, and leave it to a licensed electrician."
}
