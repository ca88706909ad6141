package diagnose

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"downlead/diagnose/fault"
	"downlead/diagnose/level"
	"downlead/diagnose/next"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

func decimal(x float64) entry.Decimal {
	return entry.NewDecimal(0, int64(math.Round(x*10)))
}

// sampleCall is a call on samplePath with nothing read yet.
func sampleCall() *trace.Call {
	return &trace.Call{Path: samplePath(), Settings: trace.Settings{FloorDBm: -50, Threshold: 75, TemperatureF: 68}, Versions: make([]int, 8)}
}

// observe adds a reading at a point of the call.
func observe(c *trace.Call, element int, side entry.Side, r entry.Reading) {
	c.Observations = append(c.Observations, trace.Observation{
		Seq: int64(len(c.Observations) + len(c.Repairs) + 1), Element: element, Side: side,
		Round: c.Round(c.JointOf(trace.Observation{Element: element, Side: side})), Versions: slices.Clone(c.Versions), Reading: r,
	})
}

// setLevel adds a reading of a level with the verdict that it deserves.
func setLevel(c *trace.Call, element int, side entry.Side, dBm float64) {
	v := entry.Pass
	if dBm < c.Settings.FloorDBm {
		v = entry.Fail
	}
	observe(c, element, side, entry.Reading{Verdict: v, Level: decimal(dBm)})
}

func replace(c *trace.Call, element int) {
	c.Versions[element]++
	c.Repairs = append(c.Repairs, trace.Repair{
		Seq: int64(len(c.Observations) + len(c.Repairs) + 1), Elements: []int{element},
		Action: entry.Action{Action: "replaced", Element: c.Path.Elements[element].Element},
	})
}

// A call from the first reading to the proof: the invented levels follow the
// loss model, with a ground block that takes 10 dB.
func TestInferTrace(t *testing.T) {
	c := sampleCall()
	inf := next.Infer(*c, level.Options{})
	if inf.Next == nil || inf.Next.ID != "receiver 1" || inf.Repair != -1 {
		t.Fatalf("the first step is %+v, not the reading behind the receiver", inf.Next)
	}
	setLevel(c, 7, entry.DishSide, -53)
	inf = next.Infer(*c, level.Options{})
	if inf.Next == nil || inf.Next.Bits <= 0 || inf.PlanMinutes < inf.Next.Minutes {
		t.Fatalf("after a fail: next %+v, plan of %v minutes", inf.Next, inf.PlanMinutes)
	}
	setLevel(c, 3, entry.DishSide, -38)
	setLevel(c, 3, entry.ReceiverSide, -48)
	inf = next.Infer(*c, level.Options{})
	block := c.Path.Index("ground_block 1")
	if inf.Marginals[block] < 0.96 || inf.Repair != block {
		t.Fatalf("10 dB across the ground block: it has %v, next %+v", inf.Marginals[block], inf.Next)
	}
	replace(c, block)
	inf = next.Infer(*c, level.Options{})
	if inf.Next == nil || inf.Next.ID != "receiver 1" || !strings.Contains(inf.Next.Why, "prove") {
		t.Fatalf("after the repair: next %+v, not the proof", inf.Next)
	}
	if len(inf.Causes) == 0 || inf.Causes[0].Elements[0] != "ground_block 1" {
		t.Errorf("causes %v do not name the old ground block", inf.Causes)
	}
	setLevel(c, 7, entry.DishSide, -43)
	inf = next.Infer(*c, level.Options{})
	if inf.Next != nil || inf.Healthy < 0.9 {
		t.Errorf("after the proof: next %+v, healthy %v", inf.Next, inf.Healthy)
	}
}

func TestInferModes(t *testing.T) {
	tp := func(dBm float64, n int) entry.Reading {
		return entry.Reading{Verdict: entry.Fail, Level: decimal(dBm), Transponder: n}
	}
	tests := []struct {
		name string
		read func(c *trace.Call)
		mode string
		of   string
	}{
		{"strength falls and the level stands", func(c *trace.Call) {
			observe(c, 7, entry.DishSide, entry.Reading{Verdict: entry.Fail, Level: decimal(-43), Strength: decimal(58)})
			observe(c, 1, entry.ReceiverSide, entry.Reading{Verdict: entry.Fail, Level: decimal(-32), Strength: decimal(60)})
		}, level.ModeMisaligned, "dish 1"},
		{"one polarisation is gone", func(c *trace.Call) {
			observe(c, 1, entry.ReceiverSide, entry.Reading{Verdict: entry.Pass, Level: decimal(-32), Transponder: 2})
			observe(c, 1, entry.ReceiverSide, entry.Reading{Verdict: entry.Fail, NoSignal: true, Transponder: 3})
			observe(c, 1, entry.ReceiverSide, entry.Reading{Verdict: entry.Fail, NoSignal: true, Transponder: 5})
		}, level.ModePolarity, "lnb 1"},
		{"nothing passes the first cable", func(c *trace.Call) {
			setLevel(c, 1, entry.ReceiverSide, -32)
			observe(c, 3, entry.DishSide, entry.Reading{Verdict: entry.Fail, NoSignal: true})
			observe(c, 3, entry.DishSide, entry.Reading{Verdict: entry.Fail, NoSignal: true})
		}, level.ModeOpen, "cable 1"},
		{"the high end falls off across the wall plate", func(c *trace.Call) {
			observe(c, 5, entry.DishSide, entry.Reading{Verdict: entry.Pass, Level: decimal(-39), Transponder: 1})
			observe(c, 5, entry.DishSide, entry.Reading{Verdict: entry.Pass, Level: decimal(-40), Transponder: 31})
			observe(c, 5, entry.ReceiverSide, tp(-42, 1))
			observe(c, 5, entry.ReceiverSide, tp(-51, 31))
		}, level.ModeTilt, "wall_plate 1"},
		{"it fails, passes, fails and passes", func(c *trace.Call) {
			setLevel(c, 3, entry.DishSide, -38)
			for range 2 {
				setLevel(c, 3, entry.ReceiverSide, -49.5)
				setLevel(c, 3, entry.ReceiverSide, -38.5)
			}
		}, level.ModeIntermittent, "ground_block 1"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := sampleCall()
			tt.read(c)
			inf := next.Infer(*c, level.Options{})
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
	for c, r := range map[*trace.Call]entry.Reading{
		both:    {Verdict: entry.Fail, Level: decimal(-58)},
		number:  {Level: decimal(-58)},
		verdict: {Verdict: entry.Fail},
	} {
		observe(c, 7, entry.DishSide, r)
	}
	a, b, v := next.Infer(*both, level.Options{}), next.Infer(*number, level.Options{}), next.Infer(*verdict, level.Options{})
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
	setLevel(c, 7, entry.DishSide, -55)
	setLevel(c, 3, entry.DishSide, -37)
	observe(c, 5, entry.DishSide, entry.Reading{Verdict: entry.Fail})
	observe(c, 3, entry.ReceiverSide, entry.Reading{Verdict: entry.Pass})
	want := next.Infer(*c, level.Options{})
	rng := rand.New(rand.NewPCG(5, 6))
	for range 10 {
		d := *c
		d.Observations = slices.Clone(c.Observations)
		rng.Shuffle(len(d.Observations), func(i, j int) {
			d.Observations[i], d.Observations[j] = d.Observations[j], d.Observations[i]
		})
		if diff := cmp.Diff(want.Marginals, next.Infer(d, level.Options{}).Marginals, cmpopts.EquateApprox(0, 1e-9)); diff != "" {
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
		e := fault.Experiment{Outcomes: 2, Like: make([]float64, 2*n)}
		for h := range n {
			p[h], group[h] = rng.Float64(), rng.IntN(n)
			total += p[h]
			e.Like[2*h] = rng.Float64()
			e.Like[2*h+1] = 1 - e.Like[2*h]
		}
		for h := range p {
			p[h] /= total
		}
		if bits, _ := e.Information(p, group, n, nil); bits < 0 || bits > 1+1e-12 {
			t.Fatalf("a verdict is worth %v bits", bits)
		}
	}
	c := sampleCall()
	setLevel(c, 7, entry.DishSide, -55)
	if n := next.Infer(*c, level.Options{}).Next; n == nil || n.Bits < 0 {
		t.Errorf("next %+v", n)
	}
}

// Points on the roof are held back in weather nobody climbs in, and the
// reason is given. Common practice, no source.
func TestInferHoldsBackTheRoof(t *testing.T) {
	for _, weather := range []string{"rain", "lightning", "wind", "ice", "snow"} {
		c := sampleCall()
		c.Settings.Weather = weather
		setLevel(c, 7, entry.DishSide, -60)
		setLevel(c, 3, entry.DishSide, -54)
		setLevel(c, 3, entry.DishSide, -54)
		inf := next.Infer(*c, level.Options{})
		if inf.Next == nil || !strings.Contains(inf.Next.Why, weather) {
			t.Fatalf("%s: next %+v does not say what holds it back", weather, inf.Next)
		}
		if inf.Next.Point.Element == entry.LNB || inf.Next.Point.Element == entry.Dish {
			t.Errorf("%s: next is a reading at the %s", weather, inf.Next.Point.Element)
		}
		c.Settings.Weather = ""
		if n := next.Infer(*c, level.Options{}).Next; n == nil || n.Point.Element != entry.LNB {
			t.Errorf("in dry weather next is %+v, not the LNB", n)
		}
	}
}

// The part with a prior of zero is never a suspect.
func TestInferPriorZero(t *testing.T) {
	c := sampleCall()
	setLevel(c, 7, entry.DishSide, -55)
	tables := level.BuiltinTables()
	tables.Prior["ground_block"] = level.PriorTable{}
	inf := next.Infer(*c, level.Options{Tables: tables})
	if got := inf.Marginals[c.Path.Index("ground_block 1")]; got != 0 {
		t.Errorf("an infallible ground block has %v", got)
	}
}

// Where the technician stands decides between points that tell as much.
func TestInferStartsFromWhereOneStands(t *testing.T) {
	c := sampleCall()
	setLevel(c, 7, entry.DishSide, -57)
	here := entry.Point{Element: entry.Receiver, Side: entry.DishSide}
	there := entry.Point{Element: entry.GroundBlock, Side: entry.DishSide}
	in, out := next.Infer(*c, level.Options{At: &here}).Next, next.Infer(*c, level.Options{At: &there}).Next
	if in.ID == "ground_block 1" || out.ID != "ground_block 1" {
		t.Errorf("from the receiver next is %s, from the ground block %s", in.ID, out.ID)
	}
}

// splitPath is samplePath's trunk with a two-way splitter and a wall plate and
// receiver on each output.
func splitPath() path.Path {
	p := path.Path{
		Elements: []path.PathElement{
			{ID: "dish 1", Element: entry.Dish},
			{ID: "lnb 1", Element: entry.LNB},
			{ID: "cable 1", Element: entry.Cable, LengthFt: 60},
			{ID: "splitter 1", Element: entry.Splitter, Ways: 2},
		},
		Parent: []int{-1, 0, 1, 2},
	}
	for port := 1; port <= 2; port++ {
		n := len(p.Elements)
		suffix := " " + string(rune('0'+port))
		p.Elements = append(p.Elements,
			path.PathElement{ID: "cable" + " " + string(rune('1'+port)), Element: entry.Cable, LengthFt: 40, Port: port},
			path.PathElement{ID: "wall_plate" + suffix, Element: entry.WallPlate},
			path.PathElement{ID: "receiver" + suffix, Element: entry.Receiver})
		p.Parent = append(p.Parent, 3, n, n+1)
	}
	return p
}

// Both receivers failing together point at what they share; one failing alone
// at its branch, or at one output of the splitter.
func TestInferBranches(t *testing.T) {
	behind := func(c *trace.Call, port int, dBm float64) {
		setLevel(c, c.Path.Index("receiver "+string(rune('0'+port))), entry.DishSide, dBm)
	}
	trunk := func(c *trace.Call, inf next.Inference) (shared, first, second float64) {
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
	newCall := func() *trace.Call {
		return &trace.Call{Path: splitPath(), Settings: trace.Settings{FloorDBm: -50, TemperatureF: 68}, Versions: make([]int, 10)}
	}
	both := newCall()
	behind(both, 1, -60)
	behind(both, 2, -60)
	if shared, first, second := trunk(both, next.Infer(*both, level.Options{})); shared < 5*(first+second) {
		t.Errorf("both fail: shared %v, branches %v and %v", shared, first, second)
	}
	one := newCall()
	behind(one, 1, -60)
	behind(one, 2, -46)
	inf := next.Infer(*one, level.Options{})
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
		v := entry.Pass
		if strength < 75 {
			v = entry.Fail
		}
		observe(c, 1, entry.ReceiverSide, entry.Reading{Verdict: v, Level: decimal(-33), Strength: decimal(strength), Slot: slot, Transponder: tp})
	}
	at(119, 1, 88)
	at(119, 8, 87)
	at(110, 3, 60)
	at(110, 12, 58)
	inf := next.Infer(*c, level.Options{})
	if len(inf.Suspects) == 0 || inf.Suspects[0].Mode != level.ModeMisaligned || inf.Suspects[0].Elements[0] != "dish 1" {
		t.Errorf("suspects %+v, want the dish misaligned", inf.Suspects)
	}
}

// Old readings stay with the old part: after a replacement that mends nothing,
// the suspicion moves to the parts beside it.
func TestInferAfterNeedlessRepair(t *testing.T) {
	c := sampleCall()
	setLevel(c, 3, entry.DishSide, -38)
	setLevel(c, 7, entry.DishSide, -55)
	before := next.Infer(*c, level.Options{}).Marginals
	replace(c, 3)
	setLevel(c, 7, entry.DishSide, -55)
	after := next.Infer(*c, level.Options{}).Marginals
	if after[3] > before[3]/5 {
		t.Errorf("the ground block, replaced without effect, goes from %v to %v", before[3], after[3])
	}
	if after[4] <= before[4] || after[5] <= before[5] {
		t.Errorf("the parts beyond it do not gain: %v to %v", before, after)
	}
}

func TestInferOfNothing(t *testing.T) {
	if inf := next.Infer(trace.Call{}, level.Options{}); inf.Next != nil || len(inf.Suspects) != 0 {
		t.Errorf("an empty call: %+v", inf)
	}
}
