package main

import (
	"fmt"
	"strings"

	"github.com/BurntSushi/toml"
)

// technician is the name that stands on every entry: the flag, the variable,
// technician.toml in the config folder. "" where none is set.
func (e *env) technician(g *global) (string, error) {
	if g.technician != "" {
		return g.technician, nil
	}
	if name := e.getenv("DOWNLEAD_TECHNICIAN"); name != "" {
		return name, nil
	}
	f, err := e.configFile("technician.toml")
	if err != nil {
		return "", fmt.Errorf("technician: %w", err)
	}
	if f == nil {
		return "", nil
	}
	defer f.Close()
	var setting struct {
		Name string `toml:"name"`
	}
	meta, err := toml.NewDecoder(f).Decode(&setting)
	if err != nil {
		return "", fmt.Errorf("%s: %w", f.Name(), err)
	}
	if left := meta.Undecoded(); len(left) > 0 {
		return "", fmt.Errorf("%s: %s is not a setting: name is", f.Name(), left[0])
	}
	return strings.TrimSpace(setting.Name), nil
}
