package diagnose

import (
	"math"
	"testing"

	"downlead/grammar"
)

func TestCableLoss(t *testing.T) {
	tab := BuiltinTables()
	rg6 := tab.Cable["rg6"]
	near(t, "series 6 at 950 MHz", rg6.per100ft(tab, 950), 6.4, 1e-9, "manufacturers' handbook figures")
	near(t, "series 6 at 2150 MHz", rg6.per100ft(tab, 2150), 9.7, 1e-9, "manufacturers' handbook figures")
	near(t, "rule of thumb at the top of the band", rg6.per100ft(tab, 2150), 10, 0.5, "common practice, no source: 1 dB in 10 ft")
	for name, maximum := range map[string]float64{"rg59": 8.12, "rg6": 6.55, "rg11": 4.35} {
		near(t, name+" at 1000 MHz", tab.Cable[name].per100ft(tab, 1000), maximum, 0.05*maximum,
			"drop-cable maximum, ANSI/SCTE 74 class of cable, value from memory")
	}
	// A fit must not let the dielectric gain: figures flatter than the root.
	flat := CableTable{Low: 6.4, High: 7}
	if a, b := flat.per100ft(tab, 3000), flat.per100ft(tab, 2150); a < b {
		t.Errorf("loss falls from %v to %v above the band", b, a)
	}
}

// A cable maker's technical note: 200 ft of a cable of 5.5 dB/100 ft loses
// 11.4 dB at 100 F.
func TestCableTemperature(t *testing.T) {
	tab := BuiltinTables()
	tab.Cable["rg6"] = CableTable{Low: 5.5, High: 5.5 * math.Sqrt(2150./950)}
	tab.Part["fitting"] = PartTable{}
	loss, _ := cableRun(tab, PathElement{Element: grammar.Cable, LengthFt: 200}, 950, 100)
	near(t, "200 ft at 100 F", loss, 11.387, 0.0005, "cable maker's technical note, 11.4 printed")
}

func TestSplitAndTapFloors(t *testing.T) {
	for n, want := range map[int]float64{2: 3.01, 3: 4.77, 4: 6.02, 8: 9.03} {
		near(t, "split floor", SplitFloor(n), want, 0.005, "independent computation")
	}
	for tap, want := range map[float64]float64{6: 1.26, 10: 0.46, 16: 0.11} {
		near(t, "tap through loss", TapThrough(tap), want, 0.005, "independent computation")
	}
}

func TestTransponderFrequencies(t *testing.T) {
	tab := BuiltinTables()
	near(t, "channel 1", TransponderMHz("region2", 1), 12224.00, 1e-9, "ITU Radio Regulations Appendix 30, from memory")
	near(t, "channel 32", TransponderMHz("region2", 32), 12675.98, 1e-9, "ITU Radio Regulations Appendix 30, from memory")
	near(t, "channel 24, Regions 1 and 3", TransponderMHz("region1", 24), 11727.48+19.18*23, 1e-9, "ITU Radio Regulations Appendix 30")
	for n, want := range map[int]float64{1: 974.00, 32: 1425.98} {
		f, sd := intermediate(tab, n)
		near(t, "intermediate frequency", f, want, 1e-9, "Appendix 30 with an 11.25 GHz oscillator")
		near(t, "its spread", sd, 0, 0, "said")
	}
	if f, sd := intermediate(tab, 0); f != 1550 || sd < 300 {
		t.Errorf("no transponder said: %v MHz, sd %v; want the middle of the band and a wide spread", f, sd)
	}
}

func TestSupplyDrop(t *testing.T) {
	tab := BuiltinTables()
	tab.Cable["copper"] = CableTable{CentreOhm: 6.385}
	tab.Cable["clad"] = CableTable{CentreOhm: 31.024}
	near(t, "100 ft of copper at 250 mA", SupplyDrop(tab, "copper", 100, 0.25), 0.160, 0.0005, "18 AWG copper, NBS Handbook 100; independent computation")
	near(t, "100 ft of clad steel at 250 mA", SupplyDrop(tab, "clad", 100, 0.25), 0.776, 0.0005, "ASTM B869-04 Table 1; independent computation")
}

func TestQuality(t *testing.T) {
	near(t, "0 dBm in dBuV", DBuV(0), 108.75, 0.005, "independent computation, 75 ohm")
	near(t, "outlet window, low", OutletMinDBuV-DBuV(0), -61.75, 0.005, "EN 60728-1")
	near(t, "outlet window, high", OutletMaxDBuV-DBuV(0), -31.75, 0.005, "EN 60728-1")
	near(t, "16 carriers", CarriersDB(16), 12.04, 0.005, "independent computation")
	near(t, "32 carriers", CarriersDB(32), 15.05, 0.005, "independent computation")
	for _, tt := range []struct {
		modulation, rate string
		want             float64
		source           string
	}{
		{"QPSK", "1/2", 1.00, "EN 302 307-1 Table 13"},
		{"QPSK", "9/10", 6.42, "EN 302 307-1 Table 13"},
		{"8PSK", "2/3", 6.62, "EN 302 307-1 Table 13"},
		{"8PSK", "9/10", 10.98, "EN 302 307-1 Table 13"},
		{"DVB-S", "1/2", 4.15, "EN 300 421, Eb/N0 from memory"},
		{"DVB-S", "2/3", 5.89, "EN 300 421"},
		{"DVB-S", "3/4", 6.91, "EN 300 421"},
		{"DVB-S", "5/6", 7.86, "EN 300 421"},
		{"DVB-S", "7/8", 8.48, "EN 300 421"},
	} {
		got, err := QualityNeeded(tt.modulation, tt.rate)
		if err != nil {
			t.Error(err)
		}
		near(t, tt.modulation+" "+tt.rate, got, tt.want, 0.005, tt.source)
	}
	if _, err := QualityNeeded("8PSK", "1/2"); err == nil {
		t.Error("8PSK 1/2 does not exist and has a threshold")
	}
}

// samplePath is dish, lnb, 60 ft, ground block, 40 ft, wall plate, jumper,
// receiver.
func samplePath() Path {
	return Path{
		Elements: []PathElement{
			{ID: "dish 1", Element: grammar.Dish},
			{ID: "lnb 1", Element: grammar.LNB},
			{ID: "cable 1", Element: grammar.Cable, LengthFt: 60, Cable: "rg6"},
			{ID: "ground_block 1", Element: grammar.GroundBlock},
			{ID: "cable 2", Element: grammar.Cable, LengthFt: 40, Cable: "rg6"},
			{ID: "wall_plate 1", Element: grammar.WallPlate},
			{ID: "jumper 1", Element: grammar.Jumper, LengthFt: 6},
			{ID: "receiver 1", Element: grammar.Receiver},
		},
		Parent: []int{-1, 0, 1, 2, 3, 4, 5, 6},
	}
}

func TestExpectedLevel(t *testing.T) {
	c := Call{Path: samplePath(), Settings: Settings{FloorDBm: -50, TemperatureF: 68}}
	tab := BuiltinTables()
	at := func(element int, side grammar.Side) Observation {
		return Observation{Element: element, Side: side, Reading: grammar.Reading{Transponder: 1}}
	}
	lnb, sd := ExpectedLevel(c, nil, at(1, grammar.ReceiverSide))
	near(t, "at the LNB", lnb, -32, 1e-9, "common practice")
	near(t, "its spread", sd, math.Hypot(4, 1), 1e-9, "LNB 4 dB, transponder 1 dB")

	block, _ := ExpectedLevel(c, nil, at(3, grammar.DishSide))
	fitting := tab.Part["fitting"]
	want := -32 - 0.6*tab.Cable["rg6"].per100ft(tab, 974) - 2*fitting.at(tab, 974)
	near(t, "before the ground block", block, want, 1e-9, "60 ft of Series 6 and two fittings")

	// Rule of thumb: -35 dBm is -45 dBm after 100 ft. At 2150 MHz, within 5 %.
	loss, _ := SegmentLoss(c, nil, at(1, grammar.ReceiverSide), at(3, grammar.DishSide))
	near(t, "segment", loss, lnb-block, 1e-9, "difference of the two levels")
	if _, wide := ExpectedLevel(c, nil, Observation{Element: 7, Side: grammar.DishSide}); wide <= sd {
		t.Errorf("a reading without a transponder has spread %v, not more than %v", wide, sd)
	}
	c.Settings.TemperatureF = 100
	if hot, _ := ExpectedLevel(c, nil, at(3, grammar.DishSide)); hot >= block {
		t.Errorf("hot cable loses no more: %v against %v", hot, block)
	}
	// A part that was not in the path takes nothing.
	o := at(5, grammar.ReceiverSide)
	o.Versions = []int{0, 0, 0, Absent, 0, 0, 0, 0}
	without, _ := ExpectedLevel(c, nil, o)
	o.Versions = nil
	with, _ := ExpectedLevel(c, nil, o)
	if without <= with {
		t.Errorf("an absent ground block takes level: %v against %v", without, with)
	}
}
