package level

import (
	"fmt"
	"io"
	"strings"
	"sync"

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
