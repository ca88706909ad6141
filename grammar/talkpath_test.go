package grammar

import (
	"strings"
	"testing"

	"downlead/grammar/entry"
)

// understood checks phrases in people's own words: what is said, and what it
// means as Say words it.
func understood(t *testing.T, table [][2]string) {
	t.Helper()
	p := newParser(t)
	for _, c := range table {
		entries, err := p.Parse(c[0])
		if err != nil {
			t.Errorf("%q: %v", c[0], err)
			continue
		}
		var said []string
		for _, e := range entries {
			said = append(said, entry.Say(e))
		}
		if got := strings.Join(said, "; "); got != c[1] {
			t.Errorf("%q\n got %s\nwant %s", c[0], got, c[1])
		}
	}
}

// refused checks phrases that state nothing of the technician's, or not all
// that is needed.
func refused(t *testing.T, list ...string) {
	t.Helper()
	p := newParser(t)
	for _, said := range list {
		if entries, err := p.Parse(said); err == nil {
			t.Errorf("%q is taken for %s", said, encoded(t, entries))
		}
	}
}

// TestPathInAnyOrder: how the path goes, told in any order.
func TestPathInAnyOrder(t *testing.T) {
	understood(t, [][2]string{
		{"thirty foot of RG6 from the splitter down to the wall plate", "cable from splitter to wall plate is thirty feet of R G six"},
		{"LNB to the multiswitch is about a hundred feet", "cable from L N B to multi switch is one hundred feet of cable"},
		{"LNB to ground block is seventy feet, then twenty more to the splitter", "path L N B, seventy feet of cable, ground block, twenty feet of cable, splitter"},
		{"from the splitter it goes forty feet to the office wall plate", "cable from splitter to office wall plate is forty feet of cable"},
		{"the wall plate is thirty feet from the splitter", "cable from splitter to wall plate is thirty feet of cable"},
		{"three foot jumper from the wall plate to receiver two", "path wall plate, three foot jumper, receiver two"},
		{"path goes dish to LNB to ground block", "path dish, L N B, ground block"},
		{"splitter output one, thirty feet, wall plate, five foot jumper, receiver one, den", "path splitter output one, thirty feet of cable, wall plate, five foot jumper, den receiver one"},
		{"receiver two comes off splitter output three, forty feet, it's in the office", "cable from splitter output three to office receiver two is forty feet of cable"},
		{"den receiver on output one, 35 feet", "cable from splitter output one to den receiver is thirty five feet of cable"},
		{"receiver two on output two, bedroom, sixty feet, wall plate, six foot jumper", "path splitter output two, sixty feet of cable, wall plate, six foot jumper, bedroom receiver two"},
		{"den is on output one", "path splitter output one, den receiver"},
		{"kitchen wall plate hangs off the splitter", "path splitter, kitchen wall plate"},
		{"ground block feeds the splitter", "path ground block, splitter"},
		{"after the LNB there's a power inserter", "power inserter after L N B"},
		{"found a barrel hiding between the wall plate and the splitter", "barrel between splitter and wall plate"},
		{"somebody put a diplexer before receiver two", "diplexer before receiver two"},
	})
	refused(t,
		"how far is the dish from the splitter", "LNB to the splitter isn't forty feet", "dish to ground block might be eighty feet", "then forty more to the wall plate",
		"I'll run sixty feet from the LNB to the ground block", "if the splitter feeds the den box", "there used to be a splitter after the ground block",
		"someone should put a barrel between the splitter and the wall plate", "nobody put a barrel before receiver two", "there's no splitter after the ground block",
		"need sixty feet from the LNB to the ground block", "splitter feeds the splitter", "the ground block before the dish",
	)
}

// TestReceiversAndRooms: which receivers there are, and where; to tell where one
// is, is not to stand there.
func TestReceiversAndRooms(t *testing.T) {
	understood(t, [][2]string{
		{"receiver one is in the office and receiver two is in the den", "path office receiver one, den receiver two"},
		{"box two's the garage", "path garage receiver two"},
		{"receiver three lives out in the basement", "path basement receiver three"},
		{"the den box is receiver two", "path den receiver two"},
		{"they've got three boxes, kitchen, den and bedroom two", "path kitchen receiver, den receiver, bedroom two receiver"},
		{"there's two receivers total, one in the den, one in the office", "path den receiver, office receiver"},
		{"boxes are in the den, the kitchen and the garage", "path den receiver, kitchen receiver, garage receiver"},
	})
	refused(t,
		"is receiver one in the den", "receiver one isn't in the den", "if receiver one is in the den", "the neighbor's receiver is in the den", "three receivers, den and kitchen",
		"they want three receivers, den, kitchen and garage", "receiver three might live in the garage", "two receivers total",
	)
}

// TestPathTurns: turns of speech about how parts hang together.
func TestPathTurns(t *testing.T) {
	understood(t, [][2]string{
		{"LNB to ground block is seventy feet and then another twenty to the splitter", "path L N B, seventy feet of cable, ground block, twenty feet of cable, splitter"},
		{"it goes dish, 70 feet to the ground block, then a four way splitter and off to the rooms", "path dish, seventy feet of cable, ground block, four way splitter"},
		{"LNB to ground block to splitter", "path L N B, ground block, splitter"},
		{"it runs from the LNB to the ground block, then to a four way splitter", "path L N B, ground block, four way splitter"},
		{"from the dish to receiver one it goes LNB, sixty feet, ground block, forty feet, wall plate", "path dish, L N B, sixty feet of cable, ground block, forty feet of cable, wall plate, receiver one"},
		{"two way splitter on the receiver side of the ground block", "two way splitter after ground block"},
		{"kitchen wall plate is on splitter output three, thirty feet", "cable from splitter output three to kitchen wall plate is thirty feet of cable"},
		{"receiver one is on a six foot jumper from the wall plate", "path wall plate, six foot jumper, receiver one"},
		{"jumper behind receiver two is six feet", "six foot jumper before receiver two"},
		{"receivers one and two are in the den", "path den receiver one, den receiver two"},
		{"receiver one's in the den, two's in the office", "path den receiver one, office receiver two"},
		{"the den has receiver two", "path den receiver two"},
		{"it's a four way splitter", "path four way splitter"},
		{"the cable from the splitter to the wall plate is RG59", "path splitter, cable R G fifty nine, wall plate"},
	})
	refused(t,
		"it isn't a four way splitter", "is it a four way splitter", "a four way splitter", "they want a four way splitter", "LNB to ground block", "den is out one, kitchen out two", "it goes bad when it rains and off to the rooms", "receivers one and two aren't in the den",
		"ground block, wall plate, splitter, forty feet, LNB", "receiver one's in the den, two's minus forty", "barrel behind receiver two", "the den doesn't have receiver two",
	)
}

// TestPathTold: what hangs where, by which cable, and in which room.
func TestPathTold(t *testing.T) {
	understood(t, [][2]string{
		{"put receiver three on splitter output three, garage, 55 feet", "cable from splitter output three to garage receiver three is fifty five feet of cable"},
		{"kitchen receiver hangs off splitter output two on fifty feet of RG6", "cable from splitter output two to kitchen receiver is fifty feet of R G six"},
		{"the ground block feeds a two way splitter thirty feet on", "path ground block, thirty feet of cable, two way splitter"},
		{"thirty feet past the ground block there's a splitter", "cable from ground block to splitter is thirty feet of cable"},
		{"splitter output one to the den receiver, output two to the kitchen receiver", "path splitter output one, den receiver; path splitter output two, kitchen receiver"},
		{"receiver two goes on splitter output two", "path splitter output two, receiver two"},
		{"receiver one's jumper is six feet", "six foot jumper before receiver one"},
		{"jumper on receiver one is six feet", "six foot jumper before receiver one"},
		{"receiver two's room is the sunroom", "path sunroom receiver two"},
		{"there's a splitter in the attic", "path attic splitter"},
		{"there's a receiver in the den and one in the kitchen", "path den receiver, kitchen receiver"},
		{"the splitter has four ports", "path four way splitter"},
		{"receiver one is straight off the wall plate", "path wall plate, receiver one"},
	})
	refused(t,
		"need to put receiver three on splitter output three, 55 feet", "don't put receiver three on splitter output three, 55 feet", "ground block doesn't feed the splitter", "receiver one's jumper isn't six feet",
		"receiver one's jumper was six feet", "there isn't a receiver in the den", "there used to be a receiver in the den", "there should be a splitter in the attic", "main receiver is in the den", "there's a splitter",
		"is receiver two's room the sunroom",
	)
}
