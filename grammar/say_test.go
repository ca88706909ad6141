package grammar

import (
	"math/rand/v2"
	"testing"

	"downlead/grammar/entry"
	"downlead/grammar/speech"
)

// TestSayRoundTrip: what is read back parses to the same entry again, for
// every entry of 20,000 random sentences and of the phrases.
func TestSayRoundTrip(t *testing.T) {
	p := newParser(t)
	m := newMaker(t, p, randomly(rand.New(rand.NewPCG(3, 3))))
	count, failed := 0, 0
	check := func(e entry.Entry) {
		count++
		said := entry.Say(e)
		again, err := p.Parse(said)
		if err != nil || len(again) != 1 {
			t.Errorf("%s\n  says %q: %v %v", encoded(t, []entry.Entry{e}), said, again, err)
			failed++
			return
		}
		want, got := withoutAssumed(t, encoded(t, []entry.Entry{e})[0]), withoutAssumed(t, encoded(t, again)[0])
		if got != want {
			t.Errorf("%q:\n  got  %s\n  want %s", said, got, want)
			failed++
		}
	}
	for range 20000 {
		for _, e := range meaningOf(m.random(speech.OfRule("Sentence"), "")) {
			if r, ok := e.(entry.Reading); ok && r.Point.Element == "" && r.Slot == 0 && r.Transponder == 0 && r.Polarity == "" && r.Point.Side == "" {
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
	d := func(s string) entry.Decimal {
		v, err := entry.ParseDecimal(s)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for _, c := range []struct {
		entry entry.Entry
		want  string
	}{
		{entry.Reading{Point: entry.Point{Element: entry.GroundBlock, Side: entry.DishSide}, Verdict: entry.Pass, Level: d("-41")}, "ground block dish side, pass, minus forty one"},
		{
			entry.Reading{Point: entry.Point{Element: entry.Receiver, Number: 2, Side: entry.DishSide}, Verdict: entry.Fail, Level: d("-53.5"), Slot: 119, Transponder: 21, Polarity: "odd", MER: d("9.5"), Strength: d("61")},
			"behind receiver two, slot one nineteen, transponder twenty one, odd, fail, minus fifty three point five, strength sixty one, M E R nine point five",
		},
		{entry.Reading{Point: entry.Point{Element: entry.Splitter, Side: entry.ReceiverSide, Port: 2}, NoSignal: true}, "splitter output two, no signal"},
		{entry.Reading{Point: entry.Point{Element: entry.WallPlate, Room: "bedroom 2"}, Volts: d("0")}, "wall plate in bedroom two, no voltage"},
		{entry.Reading{Point: entry.Point{Element: entry.LNB}, Volts: d("18.1")}, "L N B, eighteen point one volts"},
		{
			entry.Path{Elements: []entry.PathElement{{Element: entry.Dish}, {Element: entry.LNB}, {Element: entry.Cable, LengthFt: d("60"), Cable: "rg6"}, {Element: entry.Jumper, LengthFt: d("6")}, {Element: entry.Receiver, Number: 1, Room: "kitchen"}}},
			"path dish, L N B, sixty feet of R G six, six foot jumper, kitchen receiver one",
		},
		{entry.Path{Verb: "insert", Elements: []entry.PathElement{{Element: entry.GroundBlock}, {Element: entry.Splitter, Ways: 2}}}, "two way splitter after ground block"},
		{entry.Setting{Name: "threshold", Value: d("70"), Slot: 110}, "threshold seventy for slot one ten"},
		{entry.Setting{Name: "weather", Text: "rain"}, "raining"},
		{entry.Action{Action: "replaced", Element: entry.Cable, LengthFt: d("30"), At: &entry.Point{Element: entry.GroundBlock}, To: &entry.Point{Element: entry.WallPlate}}, "replaced thirty feet of cable between ground block and wall plate"},
		{entry.Action{Action: "re_terminated", Element: entry.Fitting, Quantity: 2, At: &entry.Point{Element: entry.WallPlate}}, "re terminated two fittings at wall plate"},
		{entry.Material{Item: "fitting", Quantity: 2}, "used two fittings"},
		{entry.Check{Check: "grounding", Verdict: entry.Fail, Remark: "corroded clamp"}, "grounding fail corroded clamp"},
		{entry.Check{Check: "education", Verdict: entry.Pass}, "education done"},
		{entry.Check{Check: "input_test", Verdict: entry.Pass, Point: &entry.Point{Element: entry.Receiver, Number: 2}}, "input test receiver two pass"},
		{entry.Time{Mark: "en_route"}, "on the road"},
		{entry.Miles{Value: d("12")}, "drove twelve miles"},
		{entry.Code{Code: "7", Units: d("2")}, "work code seven, two units"},
		{entry.Job{Verb: "start", Number: "4412"}, "start job four four one two"},
		{entry.Site{Lat: d("35.1"), Lon: d("-100.2")}, "location 35.1 north 100.2 west"},
		{entry.Correction{Verb: "change", Entry: 12, Level: d("-40")}, "entry twelve, minus forty"},
		{entry.Correction{Verb: "scratch", Count: 2}, "scratch last two"},
		{entry.Question{Question: "margin", Point: &entry.Point{Element: entry.WallPlate}}, "margin at the wall plate"},
		{entry.Unparsed{Text: "blah", Reason: "?"}, `not understood: "blah"`},
		{entry.Photo{Name: "mount.jpg", At: &entry.Point{Element: entry.Dish}, Remark: "rust"}, "photograph mount.jpg at dish, rust"},
		{entry.Closeout{Format: "pdf", Count: 40}, "closeout made as pdf from 40 records"},
		{entry.Purge{Entry: 12}, "the sound of entry 12 was deleted"},
		{entry.Answer{Choice: 2}, "the second"},
	} {
		if got := entry.Say(c.entry); got != c.want {
			t.Errorf("Say(%#v) = %q, want %q", c.entry, got, c.want)
		}
	}
}
