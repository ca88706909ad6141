package grammar

import "testing"

// TestShownWhere: where a meter stands, and what it shows there, joined as people
// join them.
func TestShownWhere(t *testing.T) {
	understood(t, [][2]string{
		{"back behind receiver two now", "standing behind receiver two"},
		{"down in the basement at the splitter", "standing at the splitter in the basement"},
		{"standing at the ground block with minus fifty four on the receiver side", "ground block receiver side, minus fifty four"},
		{"at the splitter with no signal", "splitter, no signal"},
		{"58.5 dBuV off the LNB", "L N B, -50.25, fifty eight point five dBuV"},
		{"no volts at the LNB, zero", "L N B, no voltage"},
		{"good signal into the tap", "tap dish side, pass"},
		{"both tellies are locked", "both receivers, pass"},
		{"receiver one has got a picture", "receiver one, pass"},
		{"wall plate tests out at minus forty eight", "wall plate, minus forty eight"},
		{"ground block has eighteen volts on it", "ground block, eighteen volts"},
	})
	refused(t,
		"working on the splitter might help", "splitter smells fine", "no volts at the LNB yet maybe", "should be minus 38 off the LNB", "he's at the dish", "wasn't at the ground block",
		"ground block was wet but it's dry now", "it isn't raining hard", "not at the ground block with minus 54", "good signal into the LNB", "both tellies were locked last week",
	)
}

// TestShownTwice: two points at once, the second told by less than a place.
func TestShownTwice(t *testing.T) {
	understood(t, [][2]string{
		{"ground block both ways, dish side minus 40 pass, receiver side minus 42 pass", "ground block dish side, pass, minus forty; ground block receiver side, pass, minus forty two"},
		{"splitter's got minus 41 in and nothing out", "splitter dish side, minus forty one; splitter receiver side, fail, no signal"},
		{"minus 40 going in, minus 41 coming out of the tap", "tap dish side, minus forty; tap receiver side, minus forty one"},
		{"ground block minus 40 on the dish side and minus 41 on the other", "ground block dish side, minus forty; ground block receiver side, minus forty one"},
		{"receiver one passes and two fails", "receiver one, pass; receiver two, fail"},
		{"splitter output one minus 44, two minus 45", "splitter output one, minus forty four; splitter output two, minus forty five"},
		{"splitter outputs one and two both minus 44", "splitter output one, minus forty four; splitter output two, minus forty four"},
	})
	refused(t, "receiver one passes and two might fail", "splitter outputs one and two minus 44", "receiver one passes if two fails", "splitter output one minus 44, two not yet", "ground block passes one side and fails the other")
}
