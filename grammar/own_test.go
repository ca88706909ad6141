package grammar

import (
	"encoding/json"
	"math/rand/v2"
	"testing"

	"downlead/grammar/lex"
)

// owned are phrases as people say them, beyond those of testdata: the first
// column is what is said, the second what it means, as Say words it.
func owned() [][2]string {
	return [][2]string{
		{"in on the diplexer is minus 43 and out is minus 45", "diplexer dish side, minus forty three; diplexer receiver side, minus forty five"},
		{"falls apart into squares in the wind", "pixelates when it is windy"},
		{"wiped the fitting clean", "cleaned fitting, clean"},
		{"we're over by the multiswitch", "standing at the multi switch"},
		{"I'm on the wrong job, it's 7102", "wrong job, it is seven one zero two"},
		{"mount's solid, mount pass", "mount pass"},
		{"garage TV is not working", "receiver in the garage, fail"},
		{"the ground block's dish side is dead", "ground block dish side, fail, no signal"},
		{"multiswitch out three good, out four nothing", "multi switch output three, pass; multi switch output four, fail, no signal"},
		{"receiver two, still no signal", "receiver two, still no signal"},
		{"wall plate minus 51, I mean minus 41", "wall plate, minus forty one, minus 51, I mean minus 41"},
		{"rusty connector at the tap", "fitting is corroded at the tap, rusty"},
		{"moisture in the fitting behind receiver one", "fitting is wet behind receiver one, moisture"},
		{"LNB is loose", "L N B is loose"},
		{"jumper has a kink", "jumper is kinked"},
		{"cable is nicked near the downspout", "cable is cut, nicked, near the downspout"},
		{"a branch is blocking the dish", "dish is blocked, branch"},
		{"channels missing on the den box when it's windy", "missing channels when it is windy on receiver in the den"},
		{"den TV freezes at night", "freezes at night on receiver in the den"},
		{"dried and taped the connectors at the ground block", "cleaned fitting at ground block; sealed fitting at ground block"},
		{"swapped receiver one and receiver three", "swapped receiver one with receiver three"},
		{"relocated receiver two to output three", "moved receiver two to output three"},
		{"took the barrel out again", "removed barrel, again"},
		{"snugged up the bolts", "tightened mount"},
		{"finished lunch at one fifteen", "back from lunch at 13:15"},
		{"left at a quarter to four", "leaving at 15:45"},
		{"leaving was at eleven twenty", "leaving was at 11:20"},
		{"job 3310", "back to job three three one zero"},
		{"I need a hand", "needs a second technician"},
		{"rescheduled for next Tuesday at nine", "rescheduled next Tuesday at nine"},
		{"customer declined education", "education not applicable customer declined"},
		{"both passed input tests", "input test pass at both receivers"},
		{"that's 14 Birch Court", "site 14 Birch Court"},
		{"wait, 12 to 12:20", "lunch was at 12:00; back from lunch was at 12:20"},
		{"ground block dish side minus 40 good, other side minus 53 bad", "ground block dish side, pass, minus forty; ground block receiver side, fail, minus fifty three"},
		{"can't get anything past the splitter", "splitter receiver side, fail, no signal"},
		{"luckily the wall plate passes, minus 44", "wall plate, pass, minus forty four, luckily"},
		{"bedroom is dead too", "receiver in the bedroom, fail, no signal, too"},
		{"splitter minus 41 in and minus 52 out", "splitter dish side, minus forty one; splitter receiver side, minus fifty two"},
		{"went over the repair with the homeowner", "education done went over the repair with the homeowner"},
		{"lunch noon to twelve thirty", "lunch at 12:00; back from lunch at 12:30"},
		{"dish is solid, mast plumb", "dish pass; mount pass plumb"},
		{"40 feet of RG11 from the LNB to the multiswitch", "cable from L N B to multi switch is forty feet of R G eleven"},
	}
}

func TestOwned(t *testing.T) { understood(t, owned()) }

// TestNothingTaken: what is no statement of the technician's is never taken.
func TestNothingTaken(t *testing.T) {
	p := newParser(t)
	for _, said := range []string{
		"the neighbor's dish is loose", "was the mount loose", "we didn't seal the fitting", "never cleaned the LNB", "there had been water in the fitting",
		"they say the cable is cut", "I will swap receivers one and two", "going to bypass the splitter", "has the cable been cut", "no water in the fitting",
		"fitting isn't corroded", "if it rains it freezes", "the last tech moved receiver two", "almost left at eleven", "need four more fittings",
		"could you reset the kitchen box", "the wall plate would pass", "maybe the mount is loose", "replace the splitter", "about minus forty at the wall plate",
		"wall plate minus forty or so", "not at the wall plate", "don't go back to job 4412", "the dish was good yesterday", "why is receiver two dead",
	} {
		if entries, err := p.Parse(said); err == nil {
			t.Errorf("%q is taken for %s", said, encoded(t, entries))
		}
	}
}

// TestEveryWordCounts: no word of a phrase can be left out, or be another,
// without a change of what it means, but for those that change nothing.
func TestEveryWordCounts(t *testing.T) {
	p := newParser(t)
	r := rand.New(rand.NewPCG(8, 8))
	strangers := []string{"bananas", "yesterday", "not", "moved", "loose", "if", "seven", "kitchen", "splitter", "was", "they", "quickly", "maybe"}
	meaning := func(phrase string) string {
		entries, err := p.Parse(phrase)
		if err != nil {
			return "none"
		}
		b, err := json.Marshal(encoded(t, entries))
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	for _, c := range owned() {
		words := lex.Split(c[0])
		whole := meaning(c[0])
		for i, w := range words {
			if i > 0 && words[i-1].Hi == w.Lo || i+1 < len(words) && words[i+1].Lo == w.Hi || emptyWord(w.Text) {
				continue
			}
			without := c[0][:w.Lo] + c[0][w.Hi:]
			if meaning(without) == whole {
				t.Errorf("%q means the same without %q", c[0], w.Text)
			}
			other := strangers[r.IntN(len(strangers))]
			if other == w.Text {
				continue
			}
			if changed := c[0][:w.Lo] + other + c[0][w.Hi:]; meaning(changed) == whole {
				t.Errorf("%q means the same as %q", changed, c[0])
			}
		}
	}
}

// emptyWord reports that a word is one of those that change nothing, a
// joining that another word says too, or the first half of a part that people
// name by the second.
func emptyWord(w string) bool {
	switch w {
	case "the", "a", "is", "i", "it", "receiver", "of", "and", "at", "up", "to", "from", "in", "for", "on", "has", "tv", "ground", "wall":
		return true
	}
	return false
}
