package diagnose

import (
	"math"
	"testing"

	"downlead/diagnose/calltest"
	"downlead/diagnose/level"
	"downlead/diagnose/path"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
)

func TestCableLoss(t *testing.T) {
	tab := level.BuiltinTables()
	rg6 := tab.Cable["rg6"]
	calltest.Near(t, "series 6 at 950 MHz", rg6.Per100ft(tab, 950), 6.4, 1e-9, "manufacturers' handbook figures")
	calltest.Near(t, "series 6 at 2150 MHz", rg6.Per100ft(tab, 2150), 9.7, 1e-9, "manufacturers' handbook figures")
	calltest.Near(t, "rule of thumb at the top of the band", rg6.Per100ft(tab, 2150), 10, 0.5, "common practice, no source: 1 dB in 10 ft")
	for name, maximum := range map[string]float64{"rg59": 8.12, "rg6": 6.55, "rg11": 4.35} {
		calltest.Near(t, name+" at 1000 MHz", tab.Cable[name].Per100ft(tab, 1000), maximum, 0.05*maximum,
			"drop-cable maximum, ANSI/SCTE 74 class of cable, value from memory")
	}
	// A fit must not let the dielectric gain: figures flatter than the root.
	flat := level.CableTable{Low: 6.4, High: 7}
	if a, b := flat.Per100ft(tab, 3000), flat.Per100ft(tab, 2150); a < b {
		t.Errorf("loss falls from %v to %v above the band", b, a)
	}
}

// A cable maker's technical note: 200 ft of a cable of 5.5 dB/100 ft loses
// 11.4 dB at 100 F.
func TestCableTemperature(t *testing.T) {
	tab := level.BuiltinTables()
	tab.Cable["rg6"] = level.CableTable{Low: 5.5, High: 5.5 * math.Sqrt(2150./950)}
	tab.Part["fitting"] = level.PartTable{}
	loss, _ := level.CableRun(tab, path.PathElement{Element: entry.Cable, LengthFt: 200}, 950, 100)
	calltest.Near(t, "200 ft at 100 F", loss, 11.387, 0.0005, "cable maker's technical note, 11.4 printed")
}

func TestSplitAndTapFloors(t *testing.T) {
	for n, want := range map[int]float64{2: 3.01, 3: 4.77, 4: 6.02, 8: 9.03} {
		calltest.Near(t, "split floor", level.SplitFloor(n), want, 0.005, "independent computation")
	}
	for tap, want := range map[float64]float64{6: 1.26, 10: 0.46, 16: 0.11} {
		calltest.Near(t, "tap through loss", level.TapThrough(tap), want, 0.005, "independent computation")
	}
}

func TestTransponderFrequencies(t *testing.T) {
	tab := level.BuiltinTables()
	calltest.Near(t, "channel 1", level.TransponderMHz("region2", 1), 12224.00, 1e-9, "ITU Radio Regulations Appendix 30, from memory")
	calltest.Near(t, "channel 32", level.TransponderMHz("region2", 32), 12675.98, 1e-9, "ITU Radio Regulations Appendix 30, from memory")
	calltest.Near(t, "channel 24, Regions 1 and 3", level.TransponderMHz("region1", 24), 11727.48+19.18*23, 1e-9, "ITU Radio Regulations Appendix 30")
	for n, want := range map[int]float64{1: 974.00, 32: 1425.98} {
		f, sd := level.Intermediate(tab, n)
		calltest.Near(t, "intermediate frequency", f, want, 1e-9, "Appendix 30 with an 11.25 GHz oscillator")
		calltest.Near(t, "its spread", sd, 0, 0, "said")
	}
	if f, sd := level.Intermediate(tab, 0); f != 1550 || sd < 300 {
		t.Errorf("no transponder said: %v MHz, sd %v; want the middle of the band and a wide spread", f, sd)
	}
}

func TestSupplyDrop(t *testing.T) {
	tab := level.BuiltinTables()
	tab.Cable["copper"] = level.CableTable{CentreOhm: 6.385}
	tab.Cable["clad"] = level.CableTable{CentreOhm: 31.024}
	calltest.Near(t, "100 ft of copper at 250 mA", level.SupplyDrop(tab, "copper", 100, 0.25), 0.160, 0.0005, "18 AWG copper, NBS Handbook 100; independent computation")
	calltest.Near(t, "100 ft of clad steel at 250 mA", level.SupplyDrop(tab, "clad", 100, 0.25), 0.776, 0.0005, "ASTM B869-04 Table 1; independent computation")
}

func TestQuality(t *testing.T) {
	calltest.Near(t, "0 dBm in dBuV", level.DBuV(0), 108.75, 0.005, "independent computation, 75 ohm")
	calltest.Near(t, "outlet window, low", level.OutletMinDBuV-level.DBuV(0), -61.75, 0.005, "EN 60728-1")
	calltest.Near(t, "outlet window, high", level.OutletMaxDBuV-level.DBuV(0), -31.75, 0.005, "EN 60728-1")
	calltest.Near(t, "16 carriers", level.CarriersDB(16), 12.04, 0.005, "independent computation")
	calltest.Near(t, "32 carriers", level.CarriersDB(32), 15.05, 0.005, "independent computation")
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
		got, err := level.QualityNeeded(tt.modulation, tt.rate)
		if err != nil {
			t.Error(err)
		}
		calltest.Near(t, tt.modulation+" "+tt.rate, got, tt.want, 0.005, tt.source)
	}
	if _, err := level.QualityNeeded("8PSK", "1/2"); err == nil {
		t.Error("8PSK 1/2 does not exist and has a threshold")
	}
}

// samplePath is dish, lnb, 60 ft, ground block, 40 ft, wall plate, jumper,
// receiver.
func samplePath() path.Path {
	return path.Path{
		Elements: []path.PathElement{
			{ID: "dish 1", Element: entry.Dish},
			{ID: "lnb 1", Element: entry.LNB},
			{ID: "cable 1", Element: entry.Cable, LengthFt: 60, Cable: "rg6"},
			{ID: "ground_block 1", Element: entry.GroundBlock},
			{ID: "cable 2", Element: entry.Cable, LengthFt: 40, Cable: "rg6"},
			{ID: "wall_plate 1", Element: entry.WallPlate},
			{ID: "jumper 1", Element: entry.Jumper, LengthFt: 6},
			{ID: "receiver 1", Element: entry.Receiver},
		},
		Parent: []int{-1, 0, 1, 2, 3, 4, 5, 6},
	}
}

func TestExpectedLevel(t *testing.T) {
	c := trace.Call{Path: samplePath(), Settings: trace.Settings{FloorDBm: -50, TemperatureF: 68}}
	tab := level.BuiltinTables()
	at := func(element int, side entry.Side) trace.Observation {
		return trace.Observation{Element: element, Side: side, Reading: entry.Reading{Transponder: 1}}
	}
	lnb, sd := level.ExpectedLevel(c, nil, at(1, entry.ReceiverSide))
	calltest.Near(t, "at the LNB", lnb, -32, 1e-9, "common practice")
	calltest.Near(t, "its spread", sd, math.Hypot(4, 1), 1e-9, "LNB 4 dB, transponder 1 dB")

	block, _ := level.ExpectedLevel(c, nil, at(3, entry.DishSide))
	fitting := tab.Part["fitting"]
	want := -32 - 0.6*tab.Cable["rg6"].Per100ft(tab, 974) - 2*fitting.At(tab, 974)
	calltest.Near(t, "before the ground block", block, want, 1e-9, "60 ft of Series 6 and two fittings")

	// Rule of thumb: -35 dBm is -45 dBm after 100 ft. At 2150 MHz, within 5 %.
	loss, _ := level.SegmentLoss(c, nil, at(1, entry.ReceiverSide), at(3, entry.DishSide))
	calltest.Near(t, "segment", loss, lnb-block, 1e-9, "difference of the two levels")
	if _, wide := level.ExpectedLevel(c, nil, trace.Observation{Element: 7, Side: entry.DishSide}); wide <= sd {
		t.Errorf("a reading without a transponder has spread %v, not more than %v", wide, sd)
	}
	c.Settings.TemperatureF = 100
	if hot, _ := level.ExpectedLevel(c, nil, at(3, entry.DishSide)); hot >= block {
		t.Errorf("hot cable loses no more: %v against %v", hot, block)
	}
	// A part that was not in the path takes nothing.
	o := at(5, entry.ReceiverSide)
	o.Versions = []int{0, 0, 0, trace.Absent, 0, 0, 0, 0}
	without, _ := level.ExpectedLevel(c, nil, o)
	o.Versions = nil
	with, _ := level.ExpectedLevel(c, nil, o)
	if without <= with {
		t.Errorf("an absent ground block takes level: %v against %v", without, with)
	}
}
