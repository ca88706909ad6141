package grammar

import (
	"math/rand/v2"
	"testing"
)

// TestSayRoundTrip: what is read back parses to the same entry again, for
// every entry of 20,000 random sentences and of the phrases.
func TestSayRoundTrip(t *testing.T) {
	p := newParser(t)
	m := newMaker(t, p, randomly(rand.New(rand.NewPCG(3, 3))))
	count, failed := 0, 0
	check := func(e Entry) {
		count++
		said := Say(e)
		again, err := p.Parse(said)
		if err != nil || len(again) != 1 {
			t.Errorf("%s\n  says %q: %v %v", encoded(t, []Entry{e}), said, again, err)
			failed++
			return
		}
		want, got := withoutAssumed(t, encoded(t, []Entry{e})[0]), withoutAssumed(t, encoded(t, again)[0])
		if got != want {
			t.Errorf("%q:\n  got  %s\n  want %s", said, got, want)
			failed++
		}
	}
	for range 20000 {
		for _, e := range meaningOf(m.random(ofRule("Sentence"), "")) {
			if r, ok := e.(Reading); ok && r.Point.Element == "" && r.Slot == 0 && r.Transponder == 0 && r.Polarity == "" && r.Point.Side == "" {
				continue
			}
			if check(e); failed > 10 {
				t.FailNow()
			}
		}
	}
	t.Logf("%d entries", count)
}

// TestSay fixes the wording of what is read back.
func TestSay(t *testing.T) {
	d := func(s string) Decimal {
		v, err := ParseDecimal(s)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for _, c := range []struct {
		entry Entry
		want  string
	}{
		{Reading{Point: Point{Element: GroundBlock, Side: DishSide}, Verdict: Pass, Level: d("-41")}, "ground block dish side, pass, minus forty one"},
		{
			Reading{Point: Point{Element: Receiver, Number: 2, Side: DishSide}, Verdict: Fail, Level: d("-53.5"), Slot: 119, Transponder: 21, Polarity: "odd", MER: d("9.5"), Strength: d("61")},
			"behind receiver two, slot one nineteen, transponder twenty one, odd, fail, minus fifty three point five, strength sixty one, M E R nine point five",
		},
		{Reading{Point: Point{Element: Splitter, Side: ReceiverSide, Port: 2}, NoSignal: true}, "splitter output two, no signal"},
		{Reading{Point: Point{Element: WallPlate, Room: "bedroom 2"}, Volts: d("0")}, "wall plate in bedroom two, no voltage"},
		{Reading{Point: Point{Element: LNB}, Volts: d("18.1")}, "L N B, eighteen point one volts"},
		{
			Path{Elements: []PathElement{{Element: Dish}, {Element: LNB}, {Element: Cable, LengthFt: d("60"), Cable: "rg6"}, {Element: Jumper, LengthFt: d("6")}, {Element: Receiver, Number: 1, Room: "kitchen"}}},
			"path dish, L N B, sixty feet of R G six, six foot jumper, kitchen receiver one",
		},
		{Path{Verb: "insert", Elements: []PathElement{{Element: GroundBlock}, {Element: Splitter, Ways: 2}}}, "two way splitter after ground block"},
		{Setting{Name: "threshold", Value: d("70"), Slot: 110}, "threshold seventy for slot one ten"},
		{Setting{Name: "weather", Text: "rain"}, "raining"},
		{Action{Action: "replaced", Element: Cable, LengthFt: d("30"), At: &Point{Element: GroundBlock}, To: &Point{Element: WallPlate}}, "replaced thirty feet of cable between ground block and wall plate"},
		{Action{Action: "re_terminated", Element: Fitting, Quantity: 2, At: &Point{Element: WallPlate}}, "re terminated two fittings at wall plate"},
		{Material{Item: "fitting", Quantity: 2}, "used two fittings"},
		{Check{Check: "grounding", Verdict: Fail, Remark: "corroded clamp"}, "grounding fail corroded clamp"},
		{Check{Check: "education", Verdict: Pass}, "education done"},
		{Check{Check: "input_test", Verdict: Pass, Point: &Point{Element: Receiver, Number: 2}}, "input test receiver two pass"},
		{Time{Mark: "en_route"}, "on the road"},
		{Miles{Value: d("12")}, "drove twelve miles"},
		{Code{Code: "7", Units: d("2")}, "work code seven, two units"},
		{Job{Verb: "start", Number: "4412"}, "start job four four one two"},
		{Site{Lat: d("35.1"), Lon: d("-100.2")}, "location 35.1 north 100.2 west"},
		{Correction{Verb: "change", Entry: 12, Level: d("-40")}, "entry twelve, minus forty"},
		{Correction{Verb: "scratch", Count: 2}, "scratch last two"},
		{Question{Question: "margin", Point: &Point{Element: WallPlate}}, "margin at the wall plate"},
		{Unparsed{Text: "blah", Reason: "?"}, `not understood: "blah"`},
		{Photo{Name: "mount.jpg", At: &Point{Element: Dish}, Remark: "rust"}, "photograph mount.jpg at dish, rust"},
		{Closeout{Format: "pdf", Count: 40}, "closeout made as pdf from 40 records"},
		{Purge{Entry: 12}, "the sound of entry 12 was deleted"},
		{Answer{Choice: 2}, "the second"},
	} {
		if got := Say(c.entry); got != c.want {
			t.Errorf("Say(%#v) = %q, want %q", c.entry, got, c.want)
		}
	}
}
