package level

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"downlead/grammar/entry"
)

// elementKinds are the elements that a prior or a zone may be given for.
var elementKinds = []entry.Element{
	entry.Dish, entry.LNB, entry.Cable, entry.Jumper, entry.Fitting, entry.GroundBlock,
	entry.Barrel, entry.WallPlate, entry.Splitter, entry.Tap, entry.Multiswitch,
	entry.Diplexer, entry.Triplexer, entry.PowerInserter, entry.Receiver,
}

// Check refuses figures that cannot be.
func (t *Tables) Check() error {
	if err := t.checkFigures(); err != nil {
		return err
	}
	for kind, modes := range t.Prior {
		if !slices.Contains(elementKinds, entry.Element(kind)) {
			return fmt.Errorf("tables: prior.%s: there is no such element", kind)
		}
		sum := 0.0
		for mode, p := range modes {
			if !slices.Contains(ModeNames, mode) {
				return fmt.Errorf("tables: prior.%s.%s: there is no such failure mode; use one of %s", kind, mode, strings.Join(ModeNames, " "))
			}
			sum += p
			if !(p >= 0 && sum < 0.9) {
				return fmt.Errorf("tables: prior.%s: the modes must be 0 or more and sum to less than 0.9", kind)
			}
		}
	}
	for kind, zone := range t.Zone {
		if !slices.Contains(elementKinds, entry.Element(kind)) {
			return fmt.Errorf("tables: zone.%s: there is no such element", kind)
		}
		if zone != ZoneRoom && zone != zoneOutside && zone != ZoneRoof {
			return fmt.Errorf("tables: zone.%s: use room, outside or roof", kind)
		}
	}
	for table, all := range map[string]map[string]EvidenceTable{"sighting": t.Sighting, "symptom": t.Symptom, "when": t.When} {
		for name, e := range all {
			if err := e.Check(); err != nil {
				return fmt.Errorf("tables: %s.%s.%w", table, name, err)
			}
		}
	}
	return t.checkParts()
}

func (t *Tables) checkParts() error {
	for name, c := range t.Cable {
		if !(c.Low > 0 && c.High >= c.Low && c.High < 100 && c.Spread >= 0 && c.Spread < 1 && c.CentreOhm >= 0 && c.ShieldOhm >= 0) {
			return fmt.Errorf("tables: cable.%s: losses must rise with frequency and stay under 100 dB per 100 ft", name)
		}
	}
	for name, p := range t.Part {
		if !(p.Low >= 0 && p.High >= p.Low && p.High < 60 && p.Spread >= 0 && p.Spread < 20) {
			return fmt.Errorf("tables: part.%s: the loss must be 0 to 60 dB and not fall with frequency", name)
		}
		var ways int
		if n, _ := fmt.Sscanf(name, "splitter_%d", &ways); n == 1 && p.Low < SplitFloor(ways) {
			return fmt.Errorf("tables: part.%s: a %d-way splitter cannot lose less than %.2f dB", name, ways, SplitFloor(ways))
		}
	}
	if leg, through := t.Part["tap_leg"], t.Part["tap"]; through.Low < TapThrough(leg.Low) {
		return fmt.Errorf("tables: part.tap: beside a leg of %.1f dB it cannot lose less than %.2f dB", leg.Low, TapThrough(leg.Low))
	}
	for name, f := range t.Fault {
		if !slices.Contains(ModeNames, name) {
			return fmt.Errorf("tables: fault.%s: there is no such failure mode", name)
		}
		if !(f.Low >= 0 && f.High >= 0 && f.SD >= 0 && f.SD < 1 && f.Duty >= 0 && f.Duty <= 1) {
			return fmt.Errorf("tables: fault.%s: losses must be 0 or more, sd under 1, duty 0 to 1", name)
		}
	}
	return nil
}

func (t *Tables) checkFigures() error {
	for _, f := range []struct {
		name     string
		v        float64
		min, max float64
	}{
		{"source.level_dbm", t.Source.LevelDBm, -80, 0},
		{"source.sd_db", t.Source.SD, 0, 30},
		{"source.lnb_sd_db", t.Source.LNBSD, 0, t.Source.SD},
		{"source.never_worked", t.Source.NeverWorked, 0, 0.5},
		{"source.called_sound", t.Source.CalledSound, 0, 0.5},
		{"source.transponder_sd_db", t.Source.TransponderSD, 0, 30},
		{"source.strength", t.Source.Strength, 0, 100},
		{"source.strength_sd", t.Source.StrengthSD, 0, 100},
		{"source.mer_db", t.Source.MER, 0, 40},
		{"source.mer_sd_db", t.Source.MERSD, 0, 40},
		{"meter.level_sd_db", t.Meter.LevelSD, 0.01, 30},
		{"meter.strength_sd", t.Meter.StrengthSD, 0.01, 100},
		{"meter.mer_sd_db", t.Meter.MERSD, 0.01, 40},
		{"meter.verdict_sd_db", t.Meter.VerdictSD, 0.01, 30},
		{"meter.nothing_sd_db", t.Meter.NothingSD, 0.01, 30},
		{"meter.dead_sd_db", t.Meter.DeadSD, 0.01, 30},
		{"meter.misread", t.Meter.Misread, 0, 0.5},
		{"band.low_mhz", t.Band.Low, 5, 5000},
		{"band.high_mhz", t.Band.High, t.Band.Low + 1, 5000},
		{"band.oscillator_mhz", t.Band.Oscillator, 5000, 30000},
		{"run.cable_ft", t.Run.CableFt, 0, 5000},
		{"run.jumper_ft", t.Run.JumperFt, 0, 500},
		{"run.unknown_spread", t.Run.UnknownSpread, 0, 2},
		{"run.said_spread", t.Run.SaidSpread, 0, 2},
		{"repair.replaced_factor", t.Repair.ReplacedFactor, 0, 1},
		{"repair.mended_fault", t.Repair.MendedFault, 0, 0.9},
		{"supply.low_v", t.Supply.Low, 5, 30},
		{"supply.high_v", t.Supply.High, t.Supply.Low, 30},
		{"supply.source_sd_v", t.Supply.SourceSD, 0.01, 10},
		{"supply.meter_sd_v", t.Supply.MeterSD, 0.01, 10},
		{"supply.dead_sd_v", t.Supply.DeadSD, 0.01, 10},
		{"supply.sag_v", t.Supply.SagVolts, 0, 30},
		{"supply.sag_sd_v", t.Supply.SagSD, 0.01, 30},
		{"supply.joint_v", t.Supply.JointVolts, 0, 30},
		{"supply.joint_sd_v", t.Supply.JointSD, 0.01, 30},
		{"supply.lnb_a", t.Supply.Amperes, 0, 5},
		{"supply.drop_spread", t.Supply.DropSpread, 0, 2},
		{"supply.changed", t.Supply.Changed, 0, 0.5},
		{"supply.short", t.Supply.Short, 0, 1},
		{"supply.signal_only", t.Supply.SignalOnly, 0, 1 - t.Supply.Short},
		{"supply.poor_joint", t.Supply.PoorJoint, 0, 1},
		{"supply.misread", t.Supply.Misread, 1e-6, 0.5},
		{"swap.otherwise", t.Swap.Otherwise, 1e-6, 1},
		{"minutes.measure", t.Minutes.Measure, 0.01, 600},
		{"minutes.same_place", t.Minutes.SamePlace, 0, 600},
		{"minutes.same_zone", t.Minutes.SameZone, 0, 600},
		{"minutes.other_room", t.Minutes.OtherRoom, 0, 600},
		{"minutes.room_outside", t.Minutes.RoomOutside, 0, 600},
		{"minutes.outside_roof", t.Minutes.OutsideRoof, 0, 600},
		{"minutes.room_roof", t.Minutes.RoomRoof, 0, 600},
		{"minutes.repair", t.Minutes.Repair, 0, 600},
		{"minutes.needless", t.Minutes.Needless, 0, 600},
		{"decide.repair_at", t.Decide.RepairAt, 0.5, 1},
		{"decide.least_bits", t.Decide.LeastBits, 0, 1},
		{"learning.weight_jobs", t.Learning.WeightJobs, 0.01, 1e6},
	} {
		if !(f.v >= f.min && f.v <= f.max) || math.IsNaN(f.v) {
			return fmt.Errorf("tables: %s is %g; it must be %g to %g", f.name, f.v, f.min, f.max)
		}
	}
	if t.Band.Plan != "region1" && t.Band.Plan != "region2" {
		return fmt.Errorf("tables: band.plan is %q; use region1 or region2", t.Band.Plan)
	}
	if _, err := QualityNeeded(t.Signal.Modulation, t.Signal.Rate); err != nil {
		return fmt.Errorf("tables: signal: %w", err)
	}
	return nil
}
