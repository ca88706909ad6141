package capture

import (
	"errors"
	"os/exec"
	"strings"
	"testing"

	"downlead/capture/soundtest"
)

// A build without the recogniser has the same API, and says what to install.
func TestBuildWithoutRecogniser(t *testing.T) {
	if _, err := NewRecogniser(Config{JSGF: digitsGrammar}); err != nil {
		if !errors.Is(err, ErrNoRecogniser) && !errors.Is(err, ErrNoModel) {
			t.Errorf("error %v, want one that says what to install", err)
		}
		if !strings.Contains(err.Error(), "apt-get install") {
			t.Errorf("%v: does not say what to install", err)
		}
		return
	}
	soundtest.Needs(t, "go", "golang-go")
	// The library must not be asked for, even where it is absent.
	cmd := exec.Command("go", "vet", "-tags", "novoice", ".")
	cmd.Env = append(cmd.Environ(), "PKG_CONFIG=/bin/false")
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Errorf("%v: %s", err, out)
	}
}
