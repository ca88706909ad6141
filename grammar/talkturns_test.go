package grammar

import "testing"

// TestDoneInAnyOrder: a verb and its particle stand in any order, a part may be
// said to be there now, and what was wrong may lead to what was done.
func TestDoneInAnyOrder(t *testing.T) {
	understood(t, [][2]string{
		{"chucked a new LNB on it", "replaced L N B"},
		{"popped a new wall plate in", "replaced wall plate"},
		{"new splitter's in", "replaced splitter"},
		{"got a new LNB on", "replaced L N B"},
		{"new fitting on at the ground block", "replaced fitting at ground block"},
		{"LNB's swapped", "replaced L N B"},
		{"made a new fitting for the wall plate", "replaced fitting at wall plate"},
		{"put a different LNB on", "replaced L N B"},
		{"replaced two fittings at the ground block and one at the wall plate", "replaced two fittings at ground block; replaced one fitting at wall plate"},
		{"cut the end off and put a new fitting on at the wall plate", "replaced fitting at wall plate with fitting"},
		{"took the splitter out and put a barrel in its place", "replaced splitter with barrel"},
		{"pulled the splitter out, put a barrel in its place", "replaced splitter with barrel"},
		{"pulled the old splitter, put in a new one", "replaced splitter, old"},
		{"took the barrel out and put the splitter back in", "removed barrel; restored splitter"},
		{"took the old splitter out and put a new LNB on", "removed splitter, old; replaced L N B"},
		{"cut the splitter out of the line", "removed splitter"},
		{"splitter was bad, swapped it out", "replaced splitter, splitter was bad"},
		{"LNB was bad so I replaced it", "replaced L N B, LNB was bad"},
		{"found a bad splitter and replaced it", "replaced splitter, found a bad splitter"},
		{"fitting was corroded so I replaced it", "fitting is corroded; replaced fitting"},
		{"dish was off so I re-aimed it", "re aimed dish, dish was off"},
		{"re-terminated at the wall plate", "re terminated fitting at wall plate"},
		{"reterminated the dish side of the ground block", "re terminated fitting at ground block dish side"},
		{"dialed the dish back in", "re aimed dish"},
		{"jumped the splitter out", "bypassed splitter"},
		{"turned receiver two back on", "plugged in receiver two"},
		{"cranked the mount bolts down", "tightened mount"},
		{"gave the fitting a quarter turn", "tightened fitting"},
		{"plugged in all the receivers", "plugged in receiver, all"},
		{"went back to the old LNB, put it back on", "restored L N B, old"},
		{"old LNB's back on", "restored L N B, old"},
		{"splitter's back in", "restored splitter"},
		{"switched back to the old LNB", "restored L N B, old"},
		{"moved the cable off the downspout, rerouted it under the eave", "rerouted cable, off the downspout, under the eave"},
		{"lopped a couple of branches off", "trimmed dish, couple of branches off"},
		{"cut the branches back", "trimmed dish, branches, back"},
		{"took some branches down", "trimmed dish, some branches, down"},
		{"branches have been cut back", "trimmed dish, branches, cut back"},
		{"took two feet off the cable", "trimmed two feet of cable"},
		{"cleared the snow off the dish", "cleaned dish, snow, off the dish"},
	})
	refused(t,
		"put a barrel in its place", "new LNB's on order", "new splitter in the truck", "new splitter in tomorrow", "need a new splitter in", "new splitter going in", "customer wants a new LNB on",
		"splitter's out", "barrel's back out", "splitter was bad last year, replaced it", "splitter might be bad, replaced it", "splitter was bad so I'll replace it", "LNB was bad so he replaced it",
		"last guy took the splitter out and put a barrel in its place", "should've put a barrel in its place", "took the splitter out but didn't put a barrel in its place",
		"branches need cutting back", "neighbor cut the branches back", "cut the branches", "will cut the branches back", "branches not trimmed", "customer will get the branches trimmed",
		"turned the dish off", "turned the receiver on its side", "dialed the number", "moved the cable", "moved the truck off the driveway", "one at the wall plate",
		"put a new one on", "ran a new one", "need to put the old LNB back on", "old LNB's back on the truck", "old LNB was back on",
	)
}

// TestTurnsOfACall: times, checks, what the customer was shown, and the office's
// words, as people say them.
func TestTurnsOfACall(t *testing.T) {
	understood(t, [][2]string{
		{"we've been here since nine", "arrived at 09:00"},
		{"got here about ten past nine", "arrived at 09:10"},
		{"done with lunch, back on it", "back from lunch"},
		{"I'm done here, heading out", "leaving"},
		{"they've rescheduled for next Tuesday", "rescheduled next Tuesday"},
		{"closing checks, dish good, mount good, cabling good, grounding good", "dish pass; mount pass; cabling pass; grounding pass"},
		{"dish, mount, cabling, components, grounding all good", "dish pass; mount pass; cabling pass; components pass; grounding pass"},
		{"dish inspection passed", "dish pass"},
		{"mount's wonky, fail", "mount fail wonky"},
		{"plug socket failed, no ground", "outlet fail no ground"},
		{"everything on components is okay", "components pass"},
		{"he had no interest in the education", "education not applicable he had no interest in"},
		{"let the owner know a bad splitter was the trouble", "education done let the owner know a bad splitter was the trouble"},
		{"did the education with the wife", "education done did the education with the wife"},
		{"I needed 25 feet of cable for that", "used twenty five feet of cable"},
		{"used about sixty feet of cable", "used sixty feet of cable"},
		{"burned four fittings", "used four fittings"},
		{"used a ground clamp", "used one ground clamp"},
		{"code this one as work code four, one unit", "work code four, one units"},
		{"scrub that", "scratch that"},
		{"ditch that last reading", "scratch that"},
		{"wait, scratch that", "scratch that"},
	})
	refused(t,
		"heading out", "headed out", "we're heading out", "back on it", "back to it", "arriving at ten", "leaving at eleven", "will be there at ten", "been here twice",
		"they rescheduled last week", "rescheduled from last Tuesday", "might reschedule for Friday", "not rescheduled", "moved it to output three",
		"closing checks", "closing checks good", "mount's not checked, fail the next one", "mount's wonky", "everything on components", "grounding not checked",
		"he had no interest", "told the customer I'd be late", "let the owner know I'll be back", "let the customer know we're here", "will let the owner know a bad splitter was the trouble",
		"did the education help", "need 25 feet of cable for that", "I'll need 25 feet of cable for that", "needed a new LNB", "could use four fittings", "didn't use four fittings",
		"code it", "code this one later", "don't code it seven", "should be code four", "scrub the dish", "ditch that splitter", "forget about the wall plate",
	)
}
