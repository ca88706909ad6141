package trace

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"downlead/diagnose/calltest"
	"downlead/grammar/entry"
)

// minimalOf builds the names of minimal hitting sets.
func minimalOf(conflicts [][]string) [][]string {
	var names []string
	index := map[string]int{}
	numbered := make([][]int, len(conflicts))
	for i, c := range conflicts {
		for _, n := range c {
			if _, ok := index[n]; !ok {
				index[n] = len(names)
				names = append(names, n)
			}
			numbered[i] = append(numbered[i], index[n])
		}
	}
	var out [][]string
	for _, set := range hittingSets(numbered, len(names)) {
		var s []string
		for _, k := range set {
			s = append(s, names[k])
		}
		slices.Sort(s)
		out = append(out, s)
	}
	slices.SortFunc(out, func(a, b []string) int { return strings.Compare(strings.Join(a, " "), strings.Join(b, " ")) })
	return out
}

func TestMinimalDiagnoses(t *testing.T) {
	tests := []struct {
		name, source string
		conflicts    [][]string
		want         [][]string
	}{
		{
			"full adder, sum 1 and carry 0 for 1 + 0 + 1",
			"Reiter 1987, example of section 2; minimal diagnoses confirmed by independent computation",
			[][]string{{"X1", "X2"}, {"X1", "A2", "O1"}},
			[][]string{{"A2", "X2"}, {"O1", "X2"}, {"X1"}},
		},
		{
			"splitter, both receivers fail",
			"Reiter 1987, by hand: C1 alone, or A and B together",
			[][]string{{"C1", "A"}, {"C1", "B"}},
			[][]string{{"A", "B"}, {"C1"}},
		},
		{"one chain", "Reiter 1987, by hand", [][]string{{"C1", "C2", "C3"}}, [][]string{{"C1"}, {"C2"}, {"C3"}}},
		{"nothing fails", "Reiter 1987: the empty set is the only minimal diagnosis", nil, [][]string{nil}},
		{
			"a conflict inside another", "Reiter 1987, by hand: the larger one adds nothing",
			[][]string{{"A", "B", "C"}, {"A", "B"}},
			[][]string{{"A"}, {"B"}},
		},
	}
	for _, tt := range tests {
		if tt.source == "" {
			t.Errorf("%s: no source", tt.name)
		}
		if diff := cmp.Diff(tt.want, minimalOf(tt.conflicts)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", tt.name, diff)
		}
	}
}

// What a bracket holds follows from its definition: the elements between the
// pass nearest the receiver and the fail nearest the dish beyond it (common
// practice, no source).
func TestBrackets(t *testing.T) {
	one := []entry.Entry{calltest.ChainOf(calltest.OneReceiver)}
	tests := []struct {
		name    string
		entries []entry.Entry
		want    []string // elements of each bracket
		text    string   // in the first
	}{
		{"nothing fails", append(one, calltest.Read("receiver #1", "pass")), nil, ""},
		{
			"nothing passes", append(one, calltest.Read("receiver #1", "fail")),
			[]string{"dish 1, lnb 1, cable 1, ground_block 1, cable 2, wall_plate 1, jumper 1"},
			"Nothing passes yet, and it fails behind the receiver",
		},
		{
			"across the ground block", append(one, calltest.Read("receiver #1", "fail"), calltest.Read("ground_block receiver", "fail"), calltest.Read("ground_block dish", "pass")),
			[]string{"ground_block 1"},
			"The fault is in the ground block or its fittings.",
		},
		{
			"already at the LNB", append(one, calltest.Read("lnb", "fail")),
			[]string{"dish 1, lnb 1"},
			"It already fails at the LNB",
		},
		{
			"both receivers fail", append(calltest.TwoRooms(), calltest.Read("receiver #1", "fail"), calltest.Read("receiver #2", "fail")),
			[]string{
				"dish 1, lnb 1, cable 1, ground_block 1, cable 2, splitter 1",
				"dish 1, lnb 1, cable 1, ground_block 1, cable 2, splitter 1, cable 3, wall_plate 1, jumper 1",
				"dish 1, lnb 1, cable 1, ground_block 1, cable 2, splitter 1, cable 4, wall_plate 2, jumper 2",
			},
			"It fails behind receiver one and behind receiver two. One fault in what they share explains all of it",
		},
		{
			"a pass on the other branch vouches for the trunk, not for the splitter", append(calltest.TwoRooms(), calltest.Read("receiver #1", "fail"), calltest.Read("receiver #2", "pass")),
			[]string{"splitter 1, cable 3, wall_plate 1, jumper 1"},
			"so the signal is good as far as the 20 ft of cable",
		},
		{
			"a pass beyond outweighs a fail it contradicts", append(calltest.TwoRooms(), calltest.Read("receiver #2", "pass"), calltest.Read("splitter dish", "fail")),
			nil, "",
		},
		{
			"a pass on the branch itself is named first", append(calltest.TwoRooms(), calltest.Read("receiver #2", "pass"), calltest.Read("splitter dish", "pass"), calltest.Read("receiver #1", "fail")),
			[]string{"splitter 1, cable 3, wall_plate 1, jumper 1"},
			"It passes at the splitter, dish side, and fails",
		},
		{
			"a fail on the trunk is one bracket", append(calltest.TwoRooms(), calltest.Read("receiver #1", "fail"), calltest.Read("splitter dish", "fail"), calltest.Read("ground_block receiver", "pass")),
			[]string{"cable 2"},
			"The fault is in the 20 ft of cable after the ground block or its fittings",
		},
		{
			"two faults on two branches", append(calltest.TwoRooms(), calltest.Read("receiver #1", "fail"), calltest.Read("receiver #2", "fail"), calltest.Read("splitter :1", "pass"), calltest.Read("splitter :2", "pass")),
			[]string{"cable 3, wall_plate 1, jumper 1", "cable 4, wall_plate 2, jumper 2"},
			"It passes at splitter output one, and fails behind receiver one",
		},
		{
			"readings before a repair do not count beyond it", append(one, calltest.Read("receiver #1", "fail"), calltest.Read("ground_block dish", "pass"), calltest.Read("wall_plate dish", "fail"), calltest.Replaced("ground_block"), calltest.Read("receiver #1", "fail")),
			[]string{"ground_block 1, cable 2, wall_plate 1, jumper 1"},
			"",
		},
		{
			"a numbers-only fail counts", append(one, calltest.Read("receiver #1", "", "-61"), calltest.Read("wall_plate receiver", "", "-41")),
			[]string{"jumper 1"},
			"",
		},
		{
			"a part taken out is no suspect", append(one, calltest.InsertOf("ground_block, barrel, wall_plate"), entry.Action{Action: "removed", Element: entry.Barrel}, calltest.Read("ground_block receiver", "pass"), calltest.Read("wall_plate dish", "fail")),
			[]string{"cable 2"},
			"",
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			brackets := ReplayCurrent(calltest.RecordsOf(tt.entries...)).Brackets()
			var got []string
			for _, b := range brackets {
				got = append(got, strings.Join(b.Elements, ", "))
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
			if len(brackets) > 0 && !strings.Contains(brackets[0].Text, tt.text) {
				t.Errorf("text %q, want %q in it", brackets[0].Text, tt.text)
			}
		})
	}
}

func TestBracketsForTheEar(t *testing.T) {
	one := []entry.Entry{calltest.ChainOf(calltest.OneReceiver)}
	three := slices.Clip(append(calltest.TwoRooms(), calltest.ChainOf("splitter :3, cable 25, receiver #3 @den")))
	for _, tt := range []struct {
		entries []entry.Entry
		want    string
	}{
		{append(one, calltest.Read("receiver #1", "fail")), "Fault is between the dish and the receiver"},
		{append(one, calltest.Read("wall_plate dish", "fail"), calltest.Read("ground_block receiver", "pass")), "Fault is in the cable between the ground block and the wall plate, or its fittings"},
		{append(one, calltest.Read("wall_plate dish", "fail"), calltest.Read("ground_block dish", "pass")), "Fault is between the ground block and the wall plate"},
		{append(one, calltest.Read("ground_block receiver", "fail"), calltest.Read("ground_block dish", "pass")), "Fault is in the ground block or its fittings"},
		{append(one, calltest.Read("lnb", "fail")), "Fault is at the dish or the LNB"},
		{append(three, calltest.Read("receiver #1", "fail"), calltest.Read("receiver #2", "fail")), "Fault is likely in what receiver one and receiver two share, from the dish to the splitter"},
		{append(three, calltest.Read("receiver #1", "fail"), calltest.Read("receiver #2", "fail"), calltest.Read("receiver #3", "pass")), "Fault is likely in the splitter, which receiver one and receiver two share"},
		{append(three, calltest.Read("receiver #1", "fail"), calltest.Read("receiver #3", "pass")), "Fault is from the splitter on, towards receiver one"},
		{append(three, calltest.Read("wall_plate #1 receiver", "fail"), calltest.Read("wall_plate #1 dish", "pass")), "Fault is in wall plate one or its fittings"},
		{append(three, calltest.Read("receiver #1", "fail"), calltest.Read("splitter :1", "pass")), "Fault is between splitter output one and receiver one"},
	} {
		b := ReplayCurrent(calltest.RecordsOf(tt.entries...)).Brackets()
		if len(b) == 0 || b[0].Clause != tt.want {
			t.Errorf("got %q, want %q", b[0].Clause, tt.want)
		}
	}
}
