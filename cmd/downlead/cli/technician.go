package cli

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/BurntSushi/toml"

	"downlead/grammar/entry"
)

// TechnicianConfig is the technician's technician.toml; what is not set is empty.
type TechnicianConfig struct {
	Name      string   `toml:"name"`      // or a number; stands on every entry
	Threshold *float64 `toml:"threshold"` // of strength in the area, 0..100; said of every job that starts
	Zone      string   `toml:"zone"`      // an IANA name, where TZ is not set
}

// TechnicianConfig reads the technician's technician.toml, where there is one.
func (e *Env) TechnicianConfig() (TechnicianConfig, error) {
	var c TechnicianConfig
	f, err := e.ConfigFile("technician.toml")
	if err != nil {
		return c, fmt.Errorf("technician: %w", err)
	}
	if f == nil {
		return c, nil
	}
	defer f.Close()
	meta, err := toml.NewDecoder(f).Decode(&c)
	if err != nil {
		return c, fmt.Errorf("%s: %w", f.Name(), err)
	}
	if left := meta.Undecoded(); len(left) > 0 {
		return c, fmt.Errorf("%s: %s is not a setting: name, threshold and zone are", f.Name(), left[0])
	}
	c.Name = strings.TrimSpace(c.Name)
	if err := c.Check(); err != nil {
		return c, fmt.Errorf("%s: %w", f.Name(), err)
	}
	return c, nil
}

func (c TechnicianConfig) Check() error {
	if t := c.Threshold; t != nil && !(*t >= 0 && *t <= 100) {
		return fmt.Errorf("threshold is %g; it goes from 0 to 100", *t)
	}
	if _, err := time.LoadLocation(c.Zone); err != nil {
		return fmt.Errorf("zone %q is not known; write an IANA name such as America/Denver", c.Zone)
	}
	if strings.ContainsFunc(c.Name, func(r rune) bool { return r < ' ' || r == 0x7f }) {
		return errors.New("name has a character that is no text")
	}
	return nil
}

// technician is the name that stands on every entry: the flag, the variable,
// technician.toml in the config folder. "" where none is set.
func (e *Env) technician(g *Global) (string, error) {
	if g.Technician != "" {
		return g.Technician, nil
	}
	if name := e.Getenv("DOWNLEAD_TECHNICIAN"); name != "" {
		return name, nil
	}
	c, err := e.TechnicianConfig()
	return c.Name, err
}

// Area is the threshold that jobs of this technician start with; none was
// said where none is set.
func (e *Env) Area() (entry.Decimal, error) {
	c, err := e.TechnicianConfig()
	if err != nil || c.Threshold == nil {
		return entry.Decimal{}, err
	}
	return entry.ParseDecimal(fmt.Sprint(*c.Threshold))
}

// SetZone has times kept in the zone that technician.toml names, unless TZ
// names one. A file that cannot be read is told by the commands that need it.
func (e *Env) SetZone() {
	if e.Getenv("TZ") != "" {
		return
	}
	if c, err := e.TechnicianConfig(); err == nil && c.Zone != "" {
		if zone, err := time.LoadLocation(c.Zone); err == nil {
			time.Local = zone
		}
	}
}
