package diagnose

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"downlead/grammar"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

func decimal(x float64) grammar.Decimal {
	return grammar.NewDecimal(0, int64(math.Round(x*10)))
}

// sampleCall is a call on samplePath with nothing read yet.
func sampleCall() *Call {
	return &Call{Path: samplePath(), Settings: Settings{FloorDBm: -50, Threshold: 75, TemperatureF: 68}, Versions: make([]int, 8)}
}

// observe adds a reading at a point of the call.
func (c *Call) observe(element int, side grammar.Side, r grammar.Reading) {
	c.Observations = append(c.Observations, Observation{
		Seq: int64(len(c.Observations) + len(c.Repairs) + 1), Element: element, Side: side,
		Round: c.round(c.Path.Reach(element, side)), Versions: slices.Clone(c.Versions), Reading: r,
	})
}

// level adds a reading of a level with the verdict that it deserves.
func (c *Call) level(element int, side grammar.Side, dBm float64) {
	v := grammar.Pass
	if dBm < c.Settings.FloorDBm {
		v = grammar.Fail
	}
	c.observe(element, side, grammar.Reading{Verdict: v, Level: decimal(dBm)})
}

func (c *Call) replace(element int) {
	c.Versions[element]++
	c.Repairs = append(c.Repairs, Repair{
		Seq: int64(len(c.Observations) + len(c.Repairs) + 1), Elements: []int{element},
		Action: grammar.Action{Action: "replaced", Element: c.Path.Elements[element].Element},
	})
}

// A call from the first reading to the proof: the invented levels follow the
// loss model, with a ground block that takes 10 dB.
func TestInferTrace(t *testing.T) {
	c := sampleCall()
	inf := Infer(*c, Options{})
	if inf.Next == nil || inf.Next.ID != "receiver 1" || inf.Repair != -1 {
		t.Fatalf("the first step is %+v, not the reading behind the receiver", inf.Next)
	}
	c.level(7, grammar.DishSide, -53)
	inf = Infer(*c, Options{})
	if inf.Next == nil || inf.Next.Bits <= 0 || inf.PlanMinutes < inf.Next.Minutes {
		t.Fatalf("after a fail: next %+v, plan of %v minutes", inf.Next, inf.PlanMinutes)
	}
	c.level(3, grammar.DishSide, -38)
	c.level(3, grammar.ReceiverSide, -48)
	inf = Infer(*c, Options{})
	block := c.Path.Index("ground_block 1")
	if inf.Marginals[block] < 0.96 || inf.Repair != block {
		t.Fatalf("10 dB across the ground block: it has %v, next %+v", inf.Marginals[block], inf.Next)
	}
	c.replace(block)
	inf = Infer(*c, Options{})
	if inf.Next == nil || inf.Next.ID != "receiver 1" || !strings.Contains(inf.Next.Why, "prove") {
		t.Fatalf("after the repair: next %+v, not the proof", inf.Next)
	}
	if len(inf.Causes) == 0 || inf.Causes[0].Elements[0] != "ground_block 1" {
		t.Errorf("causes %v do not name the old ground block", inf.Causes)
	}
	c.level(7, grammar.DishSide, -43)
	inf = Infer(*c, Options{})
	if inf.Next != nil || inf.Healthy < 0.9 {
		t.Errorf("after the proof: next %+v, healthy %v", inf.Next, inf.Healthy)
	}
}

func TestInferModes(t *testing.T) {
	tp := func(dBm float64, n int) grammar.Reading {
		return grammar.Reading{Verdict: grammar.Fail, Level: decimal(dBm), Transponder: n}
	}
	tests := []struct {
		name string
		read func(c *Call)
		mode string
		of   string
	}{
		{"strength falls and the level stands", func(c *Call) {
			c.observe(7, grammar.DishSide, grammar.Reading{Verdict: grammar.Fail, Level: decimal(-43), Strength: decimal(58)})
			c.observe(1, grammar.ReceiverSide, grammar.Reading{Verdict: grammar.Fail, Level: decimal(-32), Strength: decimal(60)})
		}, ModeMisaligned, "dish 1"},
		{"one polarisation is gone", func(c *Call) {
			c.observe(1, grammar.ReceiverSide, grammar.Reading{Verdict: grammar.Pass, Level: decimal(-32), Transponder: 2})
			c.observe(1, grammar.ReceiverSide, grammar.Reading{Verdict: grammar.Fail, NoSignal: true, Transponder: 3})
			c.observe(1, grammar.ReceiverSide, grammar.Reading{Verdict: grammar.Fail, NoSignal: true, Transponder: 5})
		}, ModePolarity, "lnb 1"},
		{"nothing passes the first cable", func(c *Call) {
			c.level(1, grammar.ReceiverSide, -32)
			c.observe(3, grammar.DishSide, grammar.Reading{Verdict: grammar.Fail, NoSignal: true})
			c.observe(3, grammar.DishSide, grammar.Reading{Verdict: grammar.Fail, NoSignal: true})
		}, ModeOpen, "cable 1"},
		{"the high end falls off across the wall plate", func(c *Call) {
			c.observe(5, grammar.DishSide, grammar.Reading{Verdict: grammar.Pass, Level: decimal(-39), Transponder: 1})
			c.observe(5, grammar.DishSide, grammar.Reading{Verdict: grammar.Pass, Level: decimal(-40), Transponder: 31})
			c.observe(5, grammar.ReceiverSide, tp(-42, 1))
			c.observe(5, grammar.ReceiverSide, tp(-51, 31))
		}, ModeTilt, "wall_plate 1"},
		{"it fails, passes, fails and passes", func(c *Call) {
			c.level(3, grammar.DishSide, -38)
			for range 2 {
				c.level(3, grammar.ReceiverSide, -49.5)
				c.level(3, grammar.ReceiverSide, -38.5)
			}
		}, ModeIntermittent, "ground_block 1"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := sampleCall()
			tt.read(c)
			inf := Infer(*c, Options{})
			if len(inf.Suspects) == 0 || inf.Suspects[0].Mode != tt.mode || inf.Suspects[0].Elements[0] != tt.of {
				t.Errorf("suspects %+v, want %s %s first", inf.Suspects[:min(3, len(inf.Suspects))], tt.of, tt.mode)
			}
		})
	}
}

// A spoken verdict and the number it came from count once; a verdict alone
// counts for less than its number.
func TestInferVerdictCountsOnce(t *testing.T) {
	both, number, verdict := sampleCall(), sampleCall(), sampleCall()
	for c, r := range map[*Call]grammar.Reading{
		both:    {Verdict: grammar.Fail, Level: decimal(-58)},
		number:  {Level: decimal(-58)},
		verdict: {Verdict: grammar.Fail},
	} {
		c.observe(7, grammar.DishSide, r)
	}
	a, b, v := Infer(*both, Options{}), Infer(*number, Options{}), Infer(*verdict, Options{})
	if diff := cmp.Diff(a.Marginals, b.Marginals, cmpopts.EquateApprox(0, 1e-12)); diff != "" {
		t.Errorf("the verdict changes what its number says:\n%s", diff)
	}
	if v.Healthy <= a.Healthy {
		t.Errorf("a bare fail leaves healthy %v, a level far below the floor %v", v.Healthy, a.Healthy)
	}
}

// The order of the readings does not matter within a round.
func TestInferOrder(t *testing.T) {
	c := sampleCall()
	c.level(7, grammar.DishSide, -55)
	c.level(3, grammar.DishSide, -37)
	c.observe(5, grammar.DishSide, grammar.Reading{Verdict: grammar.Fail})
	c.observe(3, grammar.ReceiverSide, grammar.Reading{Verdict: grammar.Pass})
	want := Infer(*c, Options{})
	rng := rand.New(rand.NewPCG(5, 6))
	for range 10 {
		d := *c
		d.Observations = slices.Clone(c.Observations)
		rng.Shuffle(len(d.Observations), func(i, j int) {
			d.Observations[i], d.Observations[j] = d.Observations[j], d.Observations[i]
		})
		if diff := cmp.Diff(want.Marginals, Infer(d, Options{}).Marginals, cmpopts.EquateApprox(0, 1e-9)); diff != "" {
			t.Fatalf("another order, another answer:\n%s", diff)
		}
	}
}

// No point tells less than nothing, and a verdict no more than one bit.
func TestInformationBounds(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	for range 200 {
		n := 2 + rng.IntN(10)
		p, group, total := make([]float64, n), make([]int, n), 0.0
		e := experiment{outcomes: 2, like: make([]float64, 2*n)}
		for h := range n {
			p[h], group[h] = rng.Float64(), rng.IntN(n)
			total += p[h]
			e.like[2*h] = rng.Float64()
			e.like[2*h+1] = 1 - e.like[2*h]
		}
		for h := range p {
			p[h] /= total
		}
		if bits, _ := e.information(p, group, n, nil); bits < 0 || bits > 1+1e-12 {
			t.Fatalf("a verdict is worth %v bits", bits)
		}
	}
	c := sampleCall()
	c.level(7, grammar.DishSide, -55)
	if n := Infer(*c, Options{}).Next; n == nil || n.Bits < 0 {
		t.Errorf("next %+v", n)
	}
}

// Points on the roof are held back in weather nobody climbs in, and the
// reason is given. Common practice, no source.
func TestInferHoldsBackTheRoof(t *testing.T) {
	for _, weather := range []string{"rain", "lightning", "wind", "ice", "snow"} {
		c := sampleCall()
		c.Settings.Weather = weather
		c.level(7, grammar.DishSide, -60)
		c.level(3, grammar.DishSide, -54)
		c.level(3, grammar.DishSide, -54)
		inf := Infer(*c, Options{})
		if inf.Next == nil || !strings.Contains(inf.Next.Why, weather) {
			t.Fatalf("%s: next %+v does not say what holds it back", weather, inf.Next)
		}
		if inf.Next.Point.Element == grammar.LNB || inf.Next.Point.Element == grammar.Dish {
			t.Errorf("%s: next is a reading at the %s", weather, inf.Next.Point.Element)
		}
		c.Settings.Weather = ""
		if n := Infer(*c, Options{}).Next; n == nil || n.Point.Element != grammar.LNB {
			t.Errorf("in dry weather next is %+v, not the LNB", n)
		}
	}
}

// The part with a prior of zero is never a suspect.
func TestInferPriorZero(t *testing.T) {
	c := sampleCall()
	c.level(7, grammar.DishSide, -55)
	tables := BuiltinTables()
	tables.Prior["ground_block"] = PriorTable{}
	inf := Infer(*c, Options{Tables: tables})
	if got := inf.Marginals[c.Path.Index("ground_block 1")]; got != 0 {
		t.Errorf("an infallible ground block has %v", got)
	}
}

// Where the technician stands decides between points that tell as much.
func TestInferStartsFromWhereOneStands(t *testing.T) {
	c := sampleCall()
	c.level(7, grammar.DishSide, -57)
	here := grammar.Point{Element: grammar.Receiver, Side: grammar.DishSide}
	there := grammar.Point{Element: grammar.GroundBlock, Side: grammar.DishSide}
	in, out := Infer(*c, Options{At: &here}).Next, Infer(*c, Options{At: &there}).Next
	if in.ID == "ground_block 1" || out.ID != "ground_block 1" {
		t.Errorf("from the receiver next is %s, from the ground block %s", in.ID, out.ID)
	}
}

// splitPath is samplePath's trunk with a two-way splitter and a wall plate and
// receiver on each output.
func splitPath() Path {
	p := Path{
		Elements: []PathElement{
			{ID: "dish 1", Element: grammar.Dish},
			{ID: "lnb 1", Element: grammar.LNB},
			{ID: "cable 1", Element: grammar.Cable, LengthFt: 60},
			{ID: "splitter 1", Element: grammar.Splitter, Ways: 2},
		},
		Parent: []int{-1, 0, 1, 2},
	}
	for port := 1; port <= 2; port++ {
		n := len(p.Elements)
		suffix := " " + string(rune('0'+port))
		p.Elements = append(p.Elements,
			PathElement{ID: "cable" + " " + string(rune('1'+port)), Element: grammar.Cable, LengthFt: 40, Port: port},
			PathElement{ID: "wall_plate" + suffix, Element: grammar.WallPlate},
			PathElement{ID: "receiver" + suffix, Element: grammar.Receiver})
		p.Parent = append(p.Parent, 3, n, n+1)
	}
	return p
}

// Both receivers failing together point at what they share; one failing alone
// at its branch, or at one output of the splitter.
func TestInferBranches(t *testing.T) {
	behind := func(c *Call, port int, dBm float64) {
		c.level(c.Path.Index("receiver "+string(rune('0'+port))), grammar.DishSide, dBm)
	}
	trunk := func(c *Call, inf Inference) (shared, first, second float64) {
		for e, q := range inf.Marginals {
			switch {
			case e <= 3:
				shared += q
			case e <= 6:
				first += q
			default:
				second += q
			}
		}
		return shared, first, second
	}
	newCall := func() *Call {
		return &Call{Path: splitPath(), Settings: Settings{FloorDBm: -50, TemperatureF: 68}, Versions: make([]int, 10)}
	}
	both := newCall()
	behind(both, 1, -60)
	behind(both, 2, -60)
	if shared, first, second := trunk(both, Infer(*both, Options{})); shared < 5*(first+second) {
		t.Errorf("both fail: shared %v, branches %v and %v", shared, first, second)
	}
	one := newCall()
	behind(one, 1, -60)
	behind(one, 2, -46)
	inf := Infer(*one, Options{})
	if shared, first, second := trunk(one, inf); first < 3*shared || second > 0.05 {
		t.Errorf("the first fails alone: shared %v, branches %v and %v", shared, first, second)
	}
	if q := inf.Marginals[3]; q < 0.02 {
		t.Errorf("the splitter, which may fail on one output, has %v only", q)
	}
}

// A dish off one of two slots: strength falls on all of that slot's
// transponders, the other slot stands, and the levels barely move.
func TestInferOneSlotOff(t *testing.T) {
	c := sampleCall()
	at := func(slot, tp int, strength float64) {
		v := grammar.Pass
		if strength < 75 {
			v = grammar.Fail
		}
		c.observe(1, grammar.ReceiverSide, grammar.Reading{Verdict: v, Level: decimal(-33), Strength: decimal(strength), Slot: slot, Transponder: tp})
	}
	at(119, 1, 88)
	at(119, 8, 87)
	at(110, 3, 60)
	at(110, 12, 58)
	inf := Infer(*c, Options{})
	if len(inf.Suspects) == 0 || inf.Suspects[0].Mode != ModeMisaligned || inf.Suspects[0].Elements[0] != "dish 1" {
		t.Errorf("suspects %+v, want the dish misaligned", inf.Suspects)
	}
}

// Old readings stay with the old part: after a replacement that mends nothing,
// the suspicion moves to the parts beside it.
func TestInferAfterNeedlessRepair(t *testing.T) {
	c := sampleCall()
	c.level(3, grammar.DishSide, -38)
	c.level(7, grammar.DishSide, -55)
	before := Infer(*c, Options{}).Marginals
	c.replace(3)
	c.level(7, grammar.DishSide, -55)
	after := Infer(*c, Options{}).Marginals
	if after[3] > before[3]/5 {
		t.Errorf("the ground block, replaced without effect, goes from %v to %v", before[3], after[3])
	}
	if after[4] <= before[4] || after[5] <= before[5] {
		t.Errorf("the parts beyond it do not gain: %v to %v", before, after)
	}
}

func TestInferOfNothing(t *testing.T) {
	if inf := Infer(Call{}, Options{}); inf.Next != nil || len(inf.Suspects) != 0 {
		t.Errorf("an empty call: %+v", inf)
	}
}
