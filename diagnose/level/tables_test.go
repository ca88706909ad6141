package level

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestBuiltinTablesAreSound(t *testing.T) {
	if err := BuiltinTables().Check(); err != nil {
		t.Fatal(err)
	}
}

func TestTablesTOMLIsAllComments(t *testing.T) {
	got, err := ReadTables(strings.NewReader(TablesTOML()))
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(BuiltinTables(), got); diff != "" {
		t.Errorf("the documented file changes a figure:\n%s", diff)
	}
	for line := range strings.Lines(TablesTOML()) {
		if strings.Contains(line, "=") && !strings.HasPrefix(line, "#") {
			t.Errorf("not a comment: %s", line)
		}
	}
}

func TestReadTablesOverlays(t *testing.T) {
	got, err := ReadTables(strings.NewReader("[prior.cable]\nopen = 0.2\n[minutes]\nmeasure = 2.5\n"))
	if err != nil {
		t.Fatal(err)
	}
	want := BuiltinTables()
	want.Prior["cable"]["open"], want.Minutes.Measure = 0.2, 2.5
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("other figures changed:\n%s", diff)
	}
}

func TestReadTablesRefuses(t *testing.T) {
	for name, tt := range map[string]struct{ file, want string }{
		"not toml":          {"prior = = 1", "tables:"},
		"unknown name":      {"[meter]\nlevel_sd = 2.0\n", "meter.level_sd"},
		"unknown mode":      {"[prior.cable]\ngnawed = 0.1\n", "gnawed"},
		"unknown element":   {"[prior.sprinkler]\nopen = 0.1\n", "sprinkler"},
		"too likely":        {"[prior.cable]\nopen = 0.95\n", "prior.cable"},
		"negative":          {"[prior.cable]\nopen = -0.1\n", "prior.cable"},
		"not a number":      {"[meter]\nlevel_sd_db = nan\n", "meter.level_sd_db"},
		"wrong type":        {"[meter]\nlevel_sd_db = \"one\"\n", "tables:"},
		"below the floor":   {"[part.splitter_2]\nlow_db = 2.0\n", "splitter_2"},
		"tap that gains":    {"[part.tap]\nlow_db = 0.1\n", "part.tap"},
		"unknown zone":      {"[zone]\ndish = \"moon\"\n", "zone.dish"},
		"unknown plan":      {"[band]\nplan = \"region4\"\n", "band.plan"},
		"no such code rate": {"[signal]\nrate = \"1/9\"\n", "signal"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := ReadTables(strings.NewReader(tt.file))
			if err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("error %v does not name %q", err, tt.want)
			}
		})
	}
}
