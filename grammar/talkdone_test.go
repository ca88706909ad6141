package grammar

import "testing"

// TestDone: what was done, in the verbs of the trade's talk.
func TestDone(t *testing.T) {
	understood(t, [][2]string{
		{"stuck a barrel in at the splitter", "added barrel at splitter"},
		{"chucked a barrel on at the wall plate", "added barrel at wall plate"},
		{"slapped a barrel in between the splitter and the wall plate", "added barrel between splitter and wall plate"},
		{"tossed the old LNB and put a new one on", "replaced L N B, old"},
		{"dug out the old splitter and stuck a new one in", "replaced splitter, old"},
		{"put a barrel in instead of the splitter", "replaced splitter with barrel"},
		{"popped a new LNB on", "replaced L N B"},
		{"cut the end off the jumper and put a new fitting on", "replaced fitting at jumper with fitting"},
		{"new multiswitch, two new fittings on it", "replaced multi switch; replaced two fittings at multi switch"},
		{"went back to the old splitter", "restored splitter, old"},
		{"cranked down the mount bolts good and tight", "tightened mount, good and tight"},
		{"lopped off some limbs in front of the dish", "trimmed dish, some limbs, in front of the dish"},
		{"scrubbed the rust off the ground block", "cleaned ground block, rust"},
		{"taped and sealed the fitting", "sealed fitting, taped and sealed"},
		{"rerouted the coax away from the window", "rerouted cable, away from the window"},
		{"shifted receiver three onto output four", "moved receiver three to output four"},
		{"plumber came by and replaced the ground wire", "replaced ground wire by the plumber"},
		{"repeaked the dish, it had drifted", "re aimed dish, it had drifted"},
		{"lag bolts were loose but I tightened them", "mount is loose; tightened mount"},
		{"chopped two feet off the bad end", "trimmed two feet of cable, bad"},
	})
	refused(t,
		"don't toss the old wall plate", "I'd toss the old splitter", "gonna put a barrel in instead of the splitter", "should've repeaked the dish", "haven't repeaked the dish",
		"last tech repeaked the dish", "the previous guy stuck a barrel in at the wall plate", "electrician will come out and replace the ground wire", "electrician came out",
		"went back to the truck", "dropped a fitting", "threw a fitting", "screwed up the fitting", "turned the dish off", "had the cable cut", "cut the cable",
		"fittings were loose but I didn't tighten them", "fittings weren't loose, tightened them", "tightened them", "instead of the splitter", "maybe rerouted the coax away from the gutter",
	)
}

// TestPartsUsed: parts used, with the words of use behind them.
func TestPartsUsed(t *testing.T) {
	understood(t, [][2]string{
		{"half a dozen fittings used on this one", "used six fittings"},
		{"one wall plate off the truck", "used one wall plate"},
		{"burned through six connectors and a barrel", "used six fittings; used one barrel"},
		{"a dozen fittings from the truck", "used twelve fittings"},
	})
	refused(t,
		"thirty five feet of cable gone", "need half a dozen fittings", "out of fittings", "get one wall plate off the truck", "no fittings off the truck", "burned through the cable",
		"two fittings left on the truck",
	)
}

// TestNoticed: what the people of the house notice, when it keeps on.
func TestNoticed(t *testing.T) {
	understood(t, [][2]string{
		{"keeps locking up at night", "freezes at night"},
		{"goes all blocky when it rains", "pixelates when it rains"},
		{"den TV keeps going black when it's windy", "drops out when it is windy on receiver in the den"},
	})
	refused(t, "it doesn't freeze up at night", "never goes blocky when it rains", "does it keep freezing up", "stops freezing up at night", "if it goes all blocky")
}

// TestDoneOtherwise: deeds whose words stand in other places.
func TestDoneOtherwise(t *testing.T) {
	understood(t, [][2]string{
		{"traded the two way for a four way splitter", "replaced splitter, two way, with four way splitter"},
		{"made a new six foot jumper for receiver two", "replaced six feet of jumper at receiver two"},
		{"cut the old fitting off and put a new one on", "replaced fitting, old"},
		{"unplugged the box for a minute and plugged it back in", "reset receiver, for a minute"},
		{"peaked it up", "re aimed dish"},
		{"knocked the snow off the dish", "cleaned dish"},
		{"brushed the ice off the LNB", "cleaned L N B, ice"},
		{"spliced the cable with a barrel", "added barrel at cable"},
		{"moved receiver two off output three to output one", "moved receiver two to output one, off output three"},
		{"switched the den box to output two", "moved receiver in the den to output two"},
		{"ran a new line from the splitter to the den", "replaced cable between splitter and den"},
		{"threw a new connector on the LNB cable", "replaced fitting at L N B, cable"},
	})
	refused(t,
		"tightened it", "clipped the cable to the joist", "ran a new line from the splitter", "switched to output two", "spliced the cable",
		"knocked the snow off the roof", "unplugged the box for a minute", "traded the two way", "made a sandwich", "brushed the snow off the truck",
	)
}
