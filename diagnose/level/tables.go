package level

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"sync"

	"downlead/grammar/entry"

	_ "embed"

	"github.com/BurntSushi/toml"
)

// Tables are the figures a person may edit: losses, spreads, priors and
// minutes. Their meaning, units and sources stand in TablesTOML.
type Tables struct {
	Source   SourceTable           `toml:"source"`
	Meter    MeterTable            `toml:"meter"`
	Band     BandTable             `toml:"band"`
	Signal   SignalTable           `toml:"signal"`
	Cable    map[string]CableTable `toml:"cable"`
	Run      RunTable              `toml:"run"`
	Part     map[string]PartTable  `toml:"part"`
	Fault    map[string]FaultTable `toml:"fault"`
	Prior    map[string]PriorTable `toml:"prior"`
	Repair   RepairTable           `toml:"repair"`
	Supply   SupplyTable           `toml:"supply"`
	Minutes  MinutesTable          `toml:"minutes"`
	Zone     map[string]string     `toml:"zone"`
	Decide   DecideTable           `toml:"decide"`
	Learning LearningTable         `toml:"learning"`

	Sighting map[string]EvidenceTable `toml:"sighting"`
	Symptom  map[string]EvidenceTable `toml:"symptom"`
	When     map[string]EvidenceTable `toml:"when"`
	Swap     SwapTable                `toml:"swap"`

	// LearnedJobs is the number of closed jobs with a confirmed cause that the
	// fault priors were learned from; 0 for those of the tables.
	LearnedJobs int `toml:"-"`
}

// SourceTable is what a healthy dish and LNB deliver.
type SourceTable struct {
	LevelDBm      float64 `toml:"level_dbm"`
	SD            float64 `toml:"sd_db"`
	LNBSD         float64 `toml:"lnb_sd_db"`
	TransponderSD float64 `toml:"transponder_sd_db"`
	Strength      float64 `toml:"strength"`
	StrengthSD    float64 `toml:"strength_sd"`
	StrengthPerDB float64 `toml:"strength_per_db"`
	MER           float64 `toml:"mer_db"`
	MERSD         float64 `toml:"mer_sd_db"`
	MERPerDB      float64 `toml:"mer_per_db"`
	NeverWorked   float64 `toml:"never_worked"`
	CalledSound   float64 `toml:"called_sound"`
}

// MeterTable is how far the meter and its reader can be trusted.
type MeterTable struct {
	LevelSD    float64 `toml:"level_sd_db"`
	StrengthSD float64 `toml:"strength_sd"`
	MERSD      float64 `toml:"mer_sd_db"`
	VerdictSD  float64 `toml:"verdict_sd_db"`
	Misread    float64 `toml:"misread"`
	Nothing    float64 `toml:"nothing_dbm"`
	NothingSD  float64 `toml:"nothing_sd_db"`
	Dead       float64 `toml:"dead_dbm"`
	DeadSD     float64 `toml:"dead_sd_db"`
}

// BandTable is the intermediate band and the transponder plan.
type BandTable struct {
	Low        float64 `toml:"low_mhz"`
	High       float64 `toml:"high_mhz"`
	Plan       string  `toml:"plan"`
	Oscillator float64 `toml:"oscillator_mhz"`
}

// SignalTable is what a MER is judged against.
type SignalTable struct {
	Modulation string `toml:"modulation"`
	Rate       string `toml:"rate"`
}

// CableTable is a cable's loss per 100 ft at the ends of the band, its
// relative spread, and its resistance per 1000 ft.
type CableTable struct {
	Low       float64 `toml:"low_db"`
	High      float64 `toml:"high_db"`
	Spread    float64 `toml:"spread"`
	CentreOhm float64 `toml:"centre_ohm"`
	ShieldOhm float64 `toml:"shield_ohm"`
}

// RunTable is what is assumed of a cable run.
type RunTable struct {
	CableFt         float64 `toml:"cable_ft"`
	JumperFt        float64 `toml:"jumper_ft"`
	UnknownSpread   float64 `toml:"unknown_spread"`
	SaidSpread      float64 `toml:"said_spread"`
	TemperaturePerF float64 `toml:"temperature_per_f"`
}

// PartTable is a passive part's loss at the ends of the band.
type PartTable struct {
	Low    float64 `toml:"low_db"`
	High   float64 `toml:"high_db"`
	Spread float64 `toml:"spread_db"`
}

// FaultTable is what a failure mode does.
type FaultTable struct {
	Low      float64 `toml:"low_db"`
	High     float64 `toml:"high_db"`
	SD       float64 `toml:"sd"`
	Strength float64 `toml:"strength"`
	MER      float64 `toml:"mer_db"`
	Verdict  float64 `toml:"verdict_db"`
	Duty     float64 `toml:"duty"`
}

// PriorTable holds an element kind's fault probabilities by mode.
type PriorTable map[string]float64

// RepairTable is what work on a part leaves behind.
type RepairTable struct {
	ReplacedFactor float64 `toml:"replaced_factor"`
	MendedFault    float64 `toml:"mended_fault"`
}

// SupplyTable is the direct current from the receiver to the LNB, in V and A,
// and how faults divide by what they do to it.
type SupplyTable struct {
	Low        float64 `toml:"low_v"`
	High       float64 `toml:"high_v"`
	SourceSD   float64 `toml:"source_sd_v"`
	MeterSD    float64 `toml:"meter_sd_v"`
	DeadSD     float64 `toml:"dead_sd_v"`
	SagVolts   float64 `toml:"sag_v"`
	SagSD      float64 `toml:"sag_sd_v"`
	JointVolts float64 `toml:"joint_v"`
	JointSD    float64 `toml:"joint_sd_v"`
	Amperes    float64 `toml:"lnb_a"`
	DropSpread float64 `toml:"drop_spread"`
	Changed    float64 `toml:"changed"`
	Short      float64 `toml:"short"`
	SignalOnly float64 `toml:"signal_only"`
	PoorJoint  float64 `toml:"poor_joint"`
	Misread    float64 `toml:"misread"`
}

// MinutesTable is what reaching and measuring a point costs.
type MinutesTable struct {
	Measure     float64 `toml:"measure"`
	SamePlace   float64 `toml:"same_place"`
	SameZone    float64 `toml:"same_zone"`
	OtherRoom   float64 `toml:"other_room"`
	RoomOutside float64 `toml:"room_outside"`
	OutsideRoof float64 `toml:"outside_roof"`
	RoomRoof    float64 `toml:"room_roof"`
	Repair      float64 `toml:"repair"`
	Needless    float64 `toml:"needless"`
}

// DecideTable says when measuring ends.
type DecideTable struct {
	RepairAt  float64 `toml:"repair_at"`
	LeastBits float64 `toml:"least_bits"`
}

// SwapTable is what exchanging two receivers tells.
type SwapTable struct {
	Otherwise float64 `toml:"otherwise"`
}

// LearningTable weighs the built-in priors against closed jobs.
type LearningTable struct {
	WeightJobs float64 `toml:"weight_jobs"`
}

//go:embed tables.toml
var tablesTOML string

// builtin is the parsed table file, shared and never written to.
var builtin = sync.OnceValue(BuiltinTables)

// BuiltinTables returns a copy of the built-in tables.
func BuiltinTables() *Tables {
	t := new(Tables)
	if _, err := toml.Decode(tablesTOML, t); err != nil {
		panic("diagnose: built-in tables: " + err.Error())
	}
	return t
}

// TablesOr returns t, or the built-in tables where it is nil.
func TablesOr(t *Tables) *Tables {
	if t == nil {
		return builtin()
	}
	return t
}

// TablesTOML returns the documented table file with every value as a comment,
// to be edited and read back by ReadTables.
func TablesTOML() string {
	var b strings.Builder
	for line := range strings.Lines(tablesTOML) {
		if strings.Contains(line, "=") && !strings.HasPrefix(line, "#") {
			b.WriteString("# ")
		}
		b.WriteString(line)
	}
	return b.String()
}

// ReadTables reads a table file over the built-in tables. It refuses unknown
// names and figures that cannot be.
func ReadTables(r io.Reader) (*Tables, error) {
	data, err := io.ReadAll(r)
	if err != nil {
		return nil, fmt.Errorf("tables: %w", err)
	}
	base, file := map[string]any{}, map[string]any{}
	if _, err := toml.Decode(tablesTOML, &base); err != nil {
		return nil, fmt.Errorf("tables: %w", err)
	}
	if _, err := toml.Decode(string(data), &file); err != nil {
		return nil, fmt.Errorf("tables: %w", err)
	}
	merge(base, file)
	var merged strings.Builder
	if err := toml.NewEncoder(&merged).Encode(base); err != nil {
		return nil, fmt.Errorf("tables: %w", err)
	}
	t := new(Tables)
	md, err := toml.Decode(merged.String(), t)
	if err != nil {
		return nil, fmt.Errorf("tables: %w", err)
	}
	if extra := md.Undecoded(); len(extra) > 0 {
		return nil, fmt.Errorf("tables: %s is not a known figure; the built-in file lists them", extra[0])
	}
	if err := t.Check(); err != nil {
		return nil, err
	}
	return t, nil
}

// merge lays one decoded file over another, figure by figure.
func merge(base, over map[string]any) {
	for k, v := range over {
		below, isMap := base[k].(map[string]any)
		if m, ok := v.(map[string]any); ok && isMap {
			merge(below, m)
			continue
		}
		base[k] = v
	}
}

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
