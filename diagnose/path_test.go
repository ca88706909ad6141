package diagnose

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"downlead/diagnose/calltest"
	"downlead/diagnose/claim"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

// The usual order of elements, and where a part goes that nobody placed, are
// common practice, no source.
func TestPathAsSaid(t *testing.T) {
	tests := []struct {
		name    string
		entries []entry.Entry
		want    string
	}{
		{
			"nothing said", nil,
			"dish1? lnb1? cable1? ground_block1? cable2? wall_plate1? jumper1? receiver1?",
		},
		{
			"a second receiver needs a splitter",
			[]entry.Entry{calltest.Read("receiver #2", "fail")},
			"dish1? lnb1? cable1? ground_block1? cable2? splitter1? [1: cable3? wall_plate1? jumper1? receiver1? | 2: cable4? wall_plate2? jumper2? receiver2?]",
		},
		{
			"said in full",
			[]entry.Entry{calltest.ChainOf(calltest.OneReceiver)},
			"dish1 lnb1 cable1=60 ground_block1 cable2=40 wall_plate1 jumper1=6 receiver1",
		},
		{
			"parts said without any coax have it between them",
			[]entry.Entry{calltest.ChainOf("dish, lnb, ground_block, splitter /2, wall_plate, receiver #1"), calltest.ChainOf("splitter :2, receiver #2 @kitchen")},
			"dish1 lnb1 cable1? ground_block1 cable2? splitter1 [1: cable3? wall_plate1 jumper1? receiver1 | 2: cable4? receiver2@kitchen]",
		},
		{
			"parts without a length between them stand together where others have one",
			[]entry.Entry{calltest.ChainOf("dish, lnb, cable 60, ground_block, splitter /2, cable 30, wall_plate, receiver #1")},
			"dish1 lnb1 cable1=60 ground_block1 splitter1 cable2=30 wall_plate1 jumper1? receiver1",
		},
		{
			"said from the receiver back",
			[]entry.Entry{calltest.ChainOf("receiver #1, jumper 6, wall_plate, cable 40, ground_block, cable 60, lnb, dish")},
			"dish1 lnb1 cable1=60 ground_block1 cable2=40 wall_plate1 jumper1=6 receiver1",
		},
		{
			"a splitter put in, and a second receiver on it",
			[]entry.Entry{calltest.ChainOf(calltest.OneReceiver), calltest.InsertOf("ground_block, splitter /2"), calltest.ChainOf("splitter :2, cable 50, receiver #2 @kitchen")},
			"dish1 lnb1 cable1=60 ground_block1 splitter1 [1: cable2=40 wall_plate1 jumper1=6 receiver1 | 2: cable3=50 receiver2@kitchen]",
		},
		{
			"cable between two parts",
			[]entry.Entry{calltest.ChainOf("ground_block, cable 40 =rg6, wall_plate")},
			"dish1? lnb1? cable1? ground_block1 cable2=40 wall_plate1 jumper1? receiver1?",
		},
		{
			"receivers named in a row are one each",
			[]entry.Entry{calltest.ChainOf("receiver #1 @den, receiver #2 @kitchen")},
			"dish1? lnb1? cable1? ground_block1? cable2? splitter1? [1: cable3? wall_plate1?@den jumper1?@den receiver1@den | 2: cable4? wall_plate2?@kitchen jumper2?@kitchen receiver2@kitchen]",
		},
		{
			"a barrel before the wall plate keeps the rest",
			[]entry.Entry{calltest.ChainOf(calltest.OneReceiver), entry.Path{Verb: "before", Elements: []entry.PathElement{{Element: entry.Barrel}, {Element: entry.WallPlate}}}},
			"dish1 lnb1 cable1=60 ground_block1 cable2=40 barrel1 wall_plate1 jumper1=6 receiver1",
		},
		{
			"barrel between two parts keeps the cable",
			[]entry.Entry{calltest.ChainOf("ground_block, cable 40, wall_plate"), calltest.InsertOf("ground_block, barrel, wall_plate")},
			"dish1? lnb1? cable1? ground_block1 barrel1 cable2=40 wall_plate1 jumper1? receiver1?",
		},
		{
			"said from the receiver's end",
			[]entry.Entry{calltest.ChainOf(calltest.OneReceiver), calltest.InsertOf("wall_plate, barrel, ground_block")},
			"dish1 lnb1 cable1=60 ground_block1 barrel1 cable2=40 wall_plate1 jumper1=6 receiver1",
		},
		{
			"a later phrase says a run anew",
			[]entry.Entry{calltest.ChainOf(calltest.OneReceiver), calltest.ChainOf("ground_block, cable 30, diplexer, cable 12, wall_plate")},
			"dish1 lnb1 cable1=60 ground_block1 cable2=30 diplexer1 cable3=12 wall_plate1 jumper1=6 receiver1",
		},
		{
			"a run said to the splitter's outputs",
			[]entry.Entry{
				calltest.ChainOf("dish, lnb, cable 60, ground_block, cable 20, splitter /2"),
				calltest.ChainOf("splitter :1, cable 30, wall_plate, jumper, receiver #1"),
				calltest.ChainOf("splitter :2, cable 50, wall_plate, jumper, receiver #2"),
			},
			"dish1 lnb1 cable1=60 ground_block1 cable2=20 splitter1 [1: cable3=30 wall_plate1 jumper1 receiver1 | 2: cable4=50 wall_plate2 jumper2 receiver2]",
		},
		{
			"the splitter named for the second receiver is on the way to the first",
			[]entry.Entry{calltest.ChainOf("splitter :2, cable 50, receiver #2 @kitchen"), calltest.ChainOf(calltest.OneReceiver)},
			"dish1 lnb1 cable1=60 ground_block1 splitter1 [1: cable2=40 wall_plate1 jumper1=6 receiver1 | 2: cable3=50 receiver2@kitchen]",
		},
		{
			"two runs from a part with one output",
			[]entry.Entry{calltest.ChainOf(calltest.OneReceiver), calltest.ChainOf("ground_block, cable 70, receiver #2")},
			"dish1 lnb1 cable1=60 ground_block1 splitter1? [1: cable2=40 wall_plate1 jumper1=6 receiver1 | 2: cable3=70 receiver2]",
		},
		{
			"the second receiver's wall plate is not the first one's",
			[]entry.Entry{calltest.ChainOf("dish, lnb, cable 60, ground_block, splitter, cable 40, wall_plate, jumper, receiver #1"), calltest.ChainOf("splitter, cable 30, wall_plate, jumper, receiver #2")},
			"dish1 lnb1 cable1=60 ground_block1 splitter1 [1: cable2=40 wall_plate1 jumper1 receiver1 | 2: cable3=30 wall_plate2 jumper2 receiver2]",
		},
		{
			"a run across a splitter keeps it",
			[]entry.Entry{
				calltest.ChainOf("dish, lnb, cable 60, ground_block, splitter /2"),
				calltest.ChainOf("splitter :1, cable 10, wall_plate #1, jumper, receiver #1"),
				calltest.ChainOf("splitter :2, cable 50, wall_plate #2, jumper, receiver #2"),
				calltest.ChainOf("ground_block, cable 44, wall_plate #1"),
			},
			"dish1 lnb1 cable1=60 ground_block1 splitter1 [1: cable2=44 wall_plate1 jumper1 receiver1 | 2: cable3=50 wall_plate2 jumper2 receiver2]",
		},
		{
			"cable before the first named part",
			[]entry.Entry{calltest.ChainOf("cable 60, ground_block")},
			"dish1? lnb1? cable1=60 ground_block1 cable2? wall_plate1? jumper1? receiver1?",
		},
		{
			"rooms tell two branches apart",
			[]entry.Entry{calltest.Read("wall_plate @kitchen", "pass"), calltest.Read("wall_plate @bedroom", "fail")},
			"dish1? lnb1? cable1? ground_block1? cable2? splitter1? [1: cable3? wall_plate1?@kitchen jumper1?@kitchen receiver1?@kitchen | 2: cable4? wall_plate2?@bedroom jumper2?@bedroom receiver2?@bedroom]",
		},
		{
			"parts named in readings alone",
			[]entry.Entry{calltest.Read("diplexer dish", "fail"), calltest.Read("barrel receiver", "fail")},
			"dish1? lnb1? cable1? ground_block1? cable2? diplexer1? cable3? barrel1? cable4? wall_plate1? jumper1? receiver1?",
		},
		{
			"a multiswitch feeds the receivers",
			[]entry.Entry{calltest.Read("multiswitch :3", "fail"), calltest.Read("receiver #3", "fail")},
			"dish1? lnb1? cable1? ground_block1? cable2? multiswitch1? [1: cable3? wall_plate1? jumper1? receiver1? | 2: cable4? wall_plate2? jumper2? receiver2? | 3: cable5? wall_plate3? jumper3? receiver3?]",
		},
		{
			"a part taken out stays known",
			[]entry.Entry{calltest.ChainOf(calltest.OneReceiver), calltest.InsertOf("ground_block, barrel, wall_plate"), entry.Action{Action: "removed", Element: entry.Barrel}},
			"dish1 lnb1 cable1=60 ground_block1 barrel1!removed cable2=40 wall_plate1 jumper1=6 receiver1",
		},
		{
			"a part put in where an action says",
			[]entry.Entry{calltest.ChainOf(calltest.OneReceiver), entry.Action{Action: "added", Element: entry.PowerInserter, At: calltest.Ptr(calltest.At("ground_block")), To: calltest.Ptr(calltest.At("wall_plate"))}},
			"dish1 lnb1 cable1=60 ground_block1 power_inserter1 cable2=40 wall_plate1 jumper1=6 receiver1",
		},
		{
			"no signal from an output",
			[]entry.Entry{calltest.Read("splitter :2", "fail"), calltest.Read("receiver #2", "fail")},
			"dish1? lnb1? cable1? ground_block1? cable2? splitter1? [1: cable3? wall_plate1? jumper1? receiver1? | 2: cable4? wall_plate2? jumper2? receiver2?]",
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := trace.ReplayCurrent(calltest.RecordsOf(tt.entries...))
			if diff := cmp.Diff(tt.want, drawn(c.Path)); diff != "" {
				t.Errorf("path (-want +got):\n%s", diff)
			}
			wholeTree(t, c.Path)
		})
	}
}

// wholeTree fails unless a path is one tree from the dish with its receivers
// at the ends, parents before children, ids unique.
func wholeTree(t testing.TB, p path.Path) {
	t.Helper()
	if len(p.Elements) != len(p.Parent) || len(p.Elements) == 0 {
		t.Fatalf("%d elements, %d parents", len(p.Elements), len(p.Parent))
	}
	ids := map[string]bool{}
	for i, e := range p.Elements {
		if ids[e.ID] {
			t.Fatalf("two elements %q in %s", e.ID, drawn(p))
		}
		ids[e.ID] = true
		switch up := p.Parent[i]; {
		case (i == 0) != (e.Element == entry.Dish), (i == 0) != (up < 0):
			t.Fatalf("the dish is not the one root: %s", drawn(p))
		case up >= i:
			t.Fatalf("%s comes before its parent: %s", e.ID, drawn(p))
		case up >= 0 && e.Parent != p.Elements[up].ID:
			t.Fatalf("%s has parent %q and hangs on %q", e.ID, e.Parent, p.Elements[up].ID)
		case up >= 0 && p.Elements[up].Element == entry.Receiver:
			t.Fatalf("%s hangs on a receiver: %s", e.ID, drawn(p))
		}
		kids := p.Children(i)
		if len(kids) > 1 && !path.Forks(e.Element) {
			ports := map[int]bool{}
			for _, k := range kids {
				ports[p.Elements[k].Port] = true
			}
			if len(ports) < len(kids) {
				t.Fatalf("%s feeds several without a splitter: %s", e.ID, drawn(p))
			}
		}
	}
	if len(p.Receivers()) == 0 && !slices.ContainsFunc(p.Elements, func(e path.PathElement) bool { return e.Element == entry.Receiver }) {
		t.Fatalf("no receiver: %s", drawn(p))
	}
}

func TestOrderOfPathPhrasesDoesNotMatter(t *testing.T) {
	homes := [][]entry.Entry{
		{calltest.ChainOf(calltest.OneReceiver), calltest.InsertOf("ground_block, splitter /2"), calltest.ChainOf("splitter :2, cable 50, receiver #2 @kitchen")},
		{
			calltest.ChainOf("dish, lnb, cable 60, ground_block, cable 20, splitter /2"),
			calltest.ChainOf("splitter :1, cable 30, wall_plate #1, jumper 3, receiver #1"),
			calltest.ChainOf("splitter :2, cable 50, wall_plate #2, jumper 6, receiver #2"),
			calltest.InsertOf("lnb, barrel #1, ground_block"),
		},
		{calltest.ChainOf("dish, lnb, cable 90, ground_block"), calltest.ChainOf("ground_block, cable 40, wall_plate"), calltest.ChainOf("wall_plate, jumper 6, receiver #1"), calltest.InsertOf("ground_block, diplexer, wall_plate")},
	}
	for h, phrases := range homes {
		want := drawn(trace.ReplayCurrent(calltest.RecordsOf(phrases...)).Path)
		r := rand.New(rand.NewPCG(1, uint64(h)))
		for range 40 {
			mixed := slices.Clone(phrases)
			r.Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
			if got := drawn(trace.ReplayCurrent(calltest.RecordsOf(mixed...)).Path); got != want {
				var order []string
				for _, m := range mixed {
					order = append(order, describe(m))
				}
				t.Fatalf("home %d in another order\n got %s\nwant %s\n%s", h, got, want, strings.Join(order, "\n"))
			}
		}
	}
}

func TestSayingItTwiceChangesNothing(t *testing.T) {
	phrases := []entry.Entry{calltest.ChainOf(calltest.OneReceiver), calltest.InsertOf("ground_block, splitter /2"), calltest.InsertOf("ground_block, barrel, splitter"), calltest.ChainOf("splitter :2, cable 50, receiver #2 @kitchen")}
	once := drawn(trace.ReplayCurrent(calltest.RecordsOf(phrases...)).Path)
	twice := drawn(trace.ReplayCurrent(calltest.RecordsOf(append(slices.Clone(phrases), phrases...)...)).Path)
	if once != twice {
		t.Errorf("said twice:\n got %s\nwant %s", twice, once)
	}
}

func TestFind(t *testing.T) {
	p := trace.ReplayCurrent(calltest.RecordsOf(
		calltest.ChainOf("dish, lnb, cable 60, ground_block, splitter /2"),
		calltest.ChainOf("splitter :1, cable 30, wall_plate, jumper, receiver #1 @bedroom"),
		calltest.ChainOf("splitter :2, cable 50, wall_plate, jumper, receiver #2 @kitchen"),
	)).Path
	for said, want := range map[string][]string{
		"wall_plate":          {"wall_plate 1", "wall_plate 2"},
		"wall_plate @kitchen": {"wall_plate 2"},
		"wall_plate #1":       {"wall_plate 1"},
		"receiver @bedroom":   {"receiver 1"},
		"dish":                {"lnb 1"},
		"lnb receiver":        {"lnb 1"},
		"ground_block dish":   {"ground_block 1"},
		"splitter :2":         {"splitter 1"},
		"barrel":              nil,
		"wall_plate #7":       nil,
		"receiver @attic":     nil,
	} {
		var got []string
		for _, i := range p.Find(calltest.At(said)) {
			got = append(got, p.Elements[i].ID)
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", said, diff)
		}
	}
}

func TestPoints(t *testing.T) {
	p := trace.ReplayCurrent(calltest.RecordsOf(calltest.ChainOf("dish, lnb, cable 60, ground_block, splitter /2"), calltest.ChainOf("splitter :1, cable 30, wall_plate, jumper, receiver #1"), calltest.ChainOf("splitter :2, cable 50, receiver #2"))).Path
	var got []string
	for _, pl := range p.Points() {
		got = append(got, path.PointWords(p.PointAt(pl)))
	}
	want := []string{
		"LNB", "ground block, dish side", "ground block, receiver side",
		"splitter output one", "wall plate, dish side", "wall plate, receiver side", "behind receiver one",
		"splitter output two", "behind receiver two",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("points (-want +got):\n%s", diff)
	}
}

func TestPathNow(t *testing.T) {
	c := trace.ReplayCurrent(calltest.RecordsOf(calltest.ChainOf(calltest.OneReceiver), calltest.InsertOf("ground_block, barrel, wall_plate"), entry.Action{Action: "removed", Element: entry.Barrel}))
	var got []string
	for _, e := range claim.Now(c.Path) {
		got = append(got, fmt.Sprintf("%s<%s", e.ID, e.Parent))
	}
	want := []string{"dish 1<", "lnb 1<dish 1", "cable 1<lnb 1", "ground_block 1<cable 1", "cable 2<ground_block 1", "wall_plate 1<cable 2", "jumper 1<wall_plate 1", "receiver 1<jumper 1"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("path after taking the barrel out (-want +got):\n%s", diff)
	}
}
