package grammar

import (
	"errors"
	"testing"

	"downlead/grammar/entry"
)

// TestSeen: what is seen of a part, with who did it, in the past, and how much.
func TestSeen(t *testing.T) {
	understood(t, [][2]string{
		{"jumper's all green and corroded", "jumper is corroded, all green, corroded"},
		{"ground block's rusted and loose", "ground block is corroded, rusted; ground block is loose"},
		{"a rat gnawed clean through the jumper", "jumper is cut, rat, gnawed, clean through"},
		{"door's pinching the coax", "cable is pinched, door, pinching"},
		{"somebody cut the coax with a shovel", "cable is cut, somebody, with a shovel"},
		{"weed eater got the ground wire", "ground wire is cut, weed eater, got"},
		{"hail bent the dish", "dish is dented, hail, bent"},
		{"a screw went right through the cable", "cable is pinched, went right through, a screw"},
		{"rust all over the fitting", "fitting is corroded, all over, rust"},
		{"water was dripping out of the splitter", "splitter is wet, was dripping out of"},
		{"LNB was soaking wet inside", "L N B is wet, soaking wet, inside"},
		{"lag bolts were loose", "mount is loose"},
		{"multiswitch smells burnt", "multi switch is burnt, smells"},
		{"big old pine tree blocking the dish", "dish is blocked, big old pine tree"},
		{"dish is dinged up, got a dent on the bottom lip", "dish is dented, dinged up, dent on the bottom lip"},
	})
	refused(t,
		"was the cable chewed", "squirrels didn't chew the coax", "squirrels might have chewed the coax", "the window isn't pinching the cable", "if the door's pinching the cable",
		"mast bolts weren't loose", "mast bolts were loose last time", "the fitting was wet yesterday", "don't let the mower cut the cable", "the neighbor's dog chewed the coax",
		"somebody will cut the coax", "lightning might have fried the LNB", "the mower went past the dish", "somebody got the kitchen box",
		"the fitting was good", "the electrician cut the cable", "cut the coax with a knife", "no rust all over the barrel", "branch fell on the dish",
	)
}

// TestSeenElsewhere: what lies in a part, hangs from it or stands before the dish.
func TestSeenElsewhere(t *testing.T) {
	understood(t, [][2]string{
		{"there's water sitting in the ground block", "ground block is wet, sitting in"},
		{"water got in the splitter", "splitter is wet, got in"},
		{"it's wet inside the barrel", "barrel is wet, inside"},
		{"the coax is stapled to the joist", "cable is pinched, stapled, to the joist"},
		{"dish is hanging by one bolt", "dish is loose, hanging by one bolt"},
		{"a limb's right in the path of the dish", "dish is blocked, limb"},
		{"squirrels got to the coax", "cable is cut, squirrels, got"},
		{"jumper's bent real sharp behind the cabinet", "jumper is kinked, bent real sharp, behind the cabinet"},
	})
	refused(t, "LNB cap's missing", "mount's got two lags missing", "the mount has two lags", "squirrels got to the attic", "it's wet inside", "there's water sitting in the yard")
}

// TestSeenWhere: where on a part it is seen, and of which part.
func TestSeenWhere(t *testing.T) {
	understood(t, [][2]string{
		{"the cable's been cut between the splitter and the wall plate", "cable is cut, between the splitter and the wall plate"},
		{"there's a nick in the jumper about two feet from the wall plate", "jumper is cut, nick, about two feet from the wall plate"},
		{"the ground wire came off the ground block", "ground wire is loose at the ground block, came off"},
		{"ground block's missing its ground wire", "ground wire is missing at the ground block"},
		{"dish wobbles in the wind", "dish is loose, wobbles, in the wind"},
		{"fitting wasn't tight", "fitting is loose, was not tight"},
		{"leaves blocking the LNB", "L N B is blocked, leaves"},
		{"one splitter and a wall plate used", "used one splitter; used one wall plate"},
		{"we're missing channels on receiver one at night", "missing channels at night on receiver one"},
	})
	refused(t, "the nut's loose on the connector", "fitting wasn't loose", "ground block isn't missing its ground wire", "one splitter and a wall plate", "we aren't missing channels", "the cable's been cut between")
}

// TestHit: what was hit needs its outcome said.
func TestHit(t *testing.T) {
	understood(t, [][2]string{
		{"storm knocked the LNB loose", "L N B is loose, storm, knocked"},
		{"somebody drove a nail through the coax", "cable is pinched, somebody, through, a nail"},
		{"cable's stapled, staple's gone through it", "cable is pinched, stapled, staple's gone through"},
		{"dog chewed the jumper in half", "jumper is cut, dog, chewed, in half"},
		{"tree's grown up right in front of it", "dish is blocked, tree"},
	})
	refused(t, "wind knocked the dish", "wind might have knocked the dish loose", "wind knocked the power out", "staple's gone through it", "kids kicked the ball through the window")
}

// TestWhereOrHow: a part that is up in the attic passes nothing, and one that is
// out in the garage may be there or fail.
func TestWhereOrHow(t *testing.T) {
	understood(t, [][2]string{
		{"the splitter's up in the attic", "path attic splitter"},
		{"den box is out", "receiver in the den, fail"},
	})
	refused(t, "receiver three is out in the garage", "receiver two is down in the basement")
}

// TestSeenJoined: a state is told by "is", "has", "got" and "with", and more of the
// same part after "it's".
func TestSeenJoined(t *testing.T) {
	understood(t, [][2]string{
		{"ground block's corroded bad", "ground block is corroded, bad"},
		{"wall plate got wet from a leak", "wall plate is wet, got wet, from a leak"},
		{"there was water in the barrel", "barrel is wet"},
		{"ground block has rust all over it", "ground block is corroded, rust, all over"},
		{"barrel had moisture inside", "barrel is wet, moisture"},
		{"lawnmower got the cable, it's sliced", "cable is cut, lawnmower, got, sliced"},
		{"splitter smells burnt and it's got scorch marks", "splitter is burnt, smells, scorch marks"},
		{"ground block is green, it's loose too", "ground block is corroded, green; ground block is loose, too"},
		{"splitter output two is corroded", "splitter is corroded at the splitter output two"},
		{"the dish side fitting on the ground block is loose", "fitting is loose at the ground block dish side"},
		{"the cable in the attic is chewed", "attic cable is cut, chewed"},
		{"squirrels have been at the coax", "cable is cut, squirrels, got"},
		{"jumper's unplugged behind receiver one", "jumper is loose behind receiver one, unplugged"},
		{"cable isn't connected at the wall plate", "cable is loose at the wall plate, not connected"},
		{"tree's grown right up in front of the dish", "dish is blocked, tree"},
		{"wall plate with water in it", "wall plate is wet, water in it"},
		{"mount's pulled out of the roof", "mount is loose, is pulled out, roof"},
		{"dish can't see past the trees", "dish is blocked, can not see past trees"},
	})
	refused(t,
		"there was no water in the barrel", "there wasn't any water in the barrel", "there was water in the barrel last time", "there was water in the barrel but it's dried out", "there used to be water in the barrel",
		"ground block could get wet from a leak", "ground block hasn't got rust all over it", "cable doesn't have a staple through it", "is splitter output two corroded", "the cable in the attic isn't chewed",
		"squirrels have been at the bird feeder", "bolt's sheared off on the mount", "receiver one's unplugged", "tree was in front of the dish but they cut it", "lawnmower got the neighbor's cable", "can the dish see past the trees",
	)
}

// TestNoticedOften: how often a symptom comes, and who lost what.
func TestNoticedOften(t *testing.T) {
	understood(t, [][2]string{
		{"it freezes every few minutes", "freezes, every few minutes"},
		{"picture's breaking up bad in the den", "pixelates on in the den, bad"},
		{"customer lost both TVs", "no picture on both receivers, lost"},
		{"no picture on either telly", "no picture on both receivers"},
		{"freezing on certain channels since yesterday", "freezes, on certain channels, since yesterday"},
		{"kitchen TV won't get some channels", "missing channels on receiver in the kitchen"},
	})
	refused(t,
		"customer lost the remote", "they lost power in the den", "customer lost both keys", "it's freezing up here", "freezing outside", "stopped freezing this morning", "either TV works",
		"customer might have lost both TVs", "is there no picture on either TV", "have squirrels been at the cable", "there's a hole in the wall plate",
	)
}

// TestRoof: on the roof is no point of the path, and is asked about.
func TestRoof(t *testing.T) {
	p := newParser(t)
	for said, asked := range map[string]bool{"up on the roof now": true, "I'm on the roof": true, "was up on the roof": false, "I'll be up on the roof": false, "not on the roof": false} {
		_, err := p.Parse(said)
		var e *Error
		if !errors.As(err, &e) || (e.Proposal != nil) != asked {
			t.Errorf("%q: %v", said, err)
		}
	}
}

// TestBeside: the other side, as a phrase of its own, is of the place before.
func TestBeside(t *testing.T) {
	p := newParser(t)
	before := entry.Point{Element: entry.GroundBlock, Side: entry.DishSide}
	got := p.ParseBeside("other side minus 41", before)
	if len(got) != 1 || entry.Say(got[0]) != "ground block receiver side, minus forty one" {
		t.Errorf("got %s", encoded(t, got))
	}
	for _, said := range []string{"other side should be minus 41", "wall plate minus 41", "other side of the street", "was the other side minus 41"} {
		if got := p.ParseBeside(said, before); got != nil {
			t.Errorf("%q is taken for %s", said, encoded(t, got))
		}
	}
	if got := p.ParseBeside("other side minus 41", entry.Point{Element: entry.GroundBlock}); got != nil {
		t.Errorf("with no side before: %s", encoded(t, got))
	}
}
