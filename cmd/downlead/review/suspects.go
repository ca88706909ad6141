package review

import (
	"downlead/diagnose/claim"
	"downlead/diagnose/next"
)

type suspectData struct {
	What, Odds string
	Bar        int // odds in hundredths
}

// suspects lists the parts that are suspected, the likeliest first, each with
// the way in which it likeliest failed.
func suspects(d claim.Diagnosis, names namer) []suspectData {
	var out []suspectData
	for _, s := range d.Suspected() {
		what := names.element(s.ID)
		if m := claim.ModeWords(s.Mode); m != "" {
			what += " (" + m + ")"
		}
		out = append(out, suspectData{What: what, Odds: next.Percent(s.P), Bar: int(100 * s.P)})
	}
	return out
}
