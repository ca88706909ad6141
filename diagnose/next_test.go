package diagnose

import (
	"testing"

	"downlead/grammar"
)

func decimal(x float64) grammar.Decimal {
	tenths := int64(x*10 + 0.5)
	if x < 0 {
		tenths = int64(x*10 - 0.5)
	}
	return grammar.NewDecimal(0, tenths)
}

func reads(c *Call, element int, side grammar.Side, level float64) {
	v := grammar.Pass
	if level < c.Settings.FloorDBm {
		v = grammar.Fail
	}
	c.Observations = append(c.Observations, Observation{
		Seq: int64(len(c.Observations) + len(c.Repairs) + 1), Element: element, Side: side, Round: 1 + len(c.Repairs),
		Versions: append([]int(nil), c.Versions...), Reading: grammar.Reading{Verdict: v, Level: decimal(level)},
	})
}

func TestInferTrace(t *testing.T) {
	c := Call{Path: samplePath(), Settings: Settings{FloorDBm: -50, TemperatureF: 68}, Versions: make([]int, 8)}
	show := func() {
		inf := Infer(c, Options{})
		t.Logf("healthy %.4f beyond %.2g plan %.1f next %+v", inf.Healthy, inf.Beyond, inf.PlanMinutes, inf.Next)
		for _, s := range inf.Suspects {
			t.Logf("   %.4f %v %s", s.P, s.Elements, s.Mode)
		}
	}
	show()
	reads(&c, 7, grammar.DishSide, -57)
	show()
	reads(&c, 3, grammar.DishSide, -38)
	show()
	reads(&c, 3, grammar.ReceiverSide, -48)
	show()
}
