package grammar

import (
	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// Topic is what can be said of one kind of entry.
type Topic struct {
	Kind     entry.Kind `json:"kind"`
	Examples []string   `json:"examples"`
}

// Guide lists the kinds of entry that can be said, with examples that all
// parse to that kind.
func Guide() []Topic {
	return []Topic{
		{entry.KindJob, []string{"start job four four one two", "complaint channels missing when it rains", "close job", "reopen job", "back to job 4412", "wrong job, it is 4413"}},
		{entry.KindSite, []string{"site 12 quarry lane", "location 35.1 north 100.2 west", "reported at eight ten"}},
		{entry.KindPath, []string{
			"path dish, L N B, sixty feet, ground block, forty feet, wall plate, six foot jumper, receiver one",
			"cable from ground block to wall plate is forty feet of R G six",
			"barrel between ground block and wall plate", "two way splitter after the ground block",
			"receiver two on splitter output two, kitchen, fifty feet",
		}},
		{entry.KindSetting, []string{"threshold seventy five", "threshold seventy for slot one ten", "floor minus fifty", "outside temperature ninety", "raining"}},
		{entry.KindReading, []string{
			"ground block dish side, pass, minus forty one", "receiver side fail minus fifty three",
			"behind receiver two, pass, minus forty six, strength seventy nine", "pass, minus forty one at the kitchen wall plate",
			"wall plate fail, minus fifty two point five on transponder twenty one", "splitter output two no signal",
			"slot one nineteen odd, minus forty seven, M E R nine point five", "ground block dish side eighteen point one volts",
			"ground block dish side pass minus forty one, receiver side fail minus fifty four",
		}},
		{entry.KindAction, []string{
			"replaced ground block", "re-terminated fitting at wall plate", "re-aimed dish", "swapped receivers one and two", "moved receiver three to output four", "bypassed the splitter with a barrel", "put the old LNB back", "tightened fittings at ground block dish side",
			"replaced thirty feet of cable between ground block and wall plate",
		}},
		{entry.KindMaterial, []string{"used two fittings and a barrel", "sixty feet of cable"}},
		{entry.KindCheck, []string{
			"outlet pass", "outlet fail open ground", "input test pass receiver two", "dish pass", "mount fail loose foot", "cabling pass",
			"components pass", "grounding fail corroded clamp", "education done", "education not applicable",
		}},
		{entry.KindTime, []string{"on the road", "arrived", "got here at ten fifteen", "lunch from twelve to twelve thirty", "lunch", "back from lunch", "leaving", "customer not home"}},
		{entry.KindMiles, []string{"drove twelve miles"}},
		{entry.KindCode, []string{"work code seven", "work code trouble call, two units"}},
		{entry.KindSighting, []string{"water in the fitting at the wall plate", "the mount is loose", "chewed cable at the ground block", "trees in the way"}},
		{entry.KindSymptom, []string{"freezes in the afternoon", "pixelating when it rains", "no picture on receiver two", "comes and goes"}},
		{entry.KindPlace, []string{"standing at the dish", "I'm at the kitchen wall plate"}},
		{entry.KindOutcome, []string{"no fault found", "rescheduled for Thursday", "needs a second technician"}},
		{entry.KindConsent, []string{"recording is fine", "no recording", "stop recording"}},
		{entry.KindNote, []string{"note dog in the yard, call before entering"}},
		{entry.KindCorrection, []string{
			"scratch that", "scratch the last two", "correct that, minus forty three", "make that fail", "that was the wall plate",
			"entry twelve was minus forty", "confirm entry twelve",
		}},
		{entry.KindQuestion, []string{
			"what next", "where is the fault", "read back", "what is missing", "margin at the wall plate", "where do I aim for slot one nineteen",
			"explain it to the customer", "what happened here before", "how was the day", "what can I say",
		}},
		{entry.KindControl, []string{"pause", "resume", "repeat", "louder", "softer", "slower", "faster", "stop listening"}},
	}
}

// Row is one line of the vocabulary: words that can be said, and what they mean.
type Row struct {
	Class         string `json:"class"`   // what the words are to the grammar: "Element", "Verdict" …
	Phrase        string `json:"phrase"`  // lower case, one space between words
	Meaning       string `json:"meaning"` // the value in the machine form; the class where that says it all
	Spoken        bool   `json:"spoken"`  // false: typed only
	Own           bool   `json:"own,omitempty"`
	Pronunciation string `json:"pronunciation,omitempty"`
}

// Vocabulary returns the vocabulary table, own words included, in the table's
// order.
func (p *Parser) Vocabulary() []Row {
	out := make([]Row, 0, len(p.lexicon.Rows))
	for _, r := range p.lexicon.Rows {
		meaning := r.Means
		if r.Class >= vocab.Zero && r.Class <= vocab.Tens {
			meaning = entry.Whole(int64(r.Num)).String()
		}
		out = append(out, Row{
			Class: r.Class.String(), Phrase: r.Say, Meaning: entry.OrElse(meaning, r.Class.String()),
			Spoken: r.Spoken, Own: r.Own, Pronunciation: r.Pron,
		})
	}
	return out
}
