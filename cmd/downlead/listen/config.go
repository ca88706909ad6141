package listen

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/BurntSushi/toml"

	"downlead/capture"
	"downlead/capture/confidence"
	"downlead/cmd/downlead/cli"
)

// Config is the technician's listen.toml.
type Config struct {
	Device     string             `toml:"device"` // part of the microphone's name; "": the system's own
	Wake       string             `toml:"wake"`   // a phrase without which nothing is heard; "": always listening
	Wait       float64            `toml:"wait"`   // seconds that the beginning of a phrase waits for the rest; 0: 6
	Voice      voiceConfig        `toml:"voice"`
	Thresholds capture.Thresholds `toml:"thresholds"` // where one listener hears alone
	Costs      confidence.Costs   `toml:"costs"`      // where two do: what a mistake costs
	Tuning     confidence.Tuning  `toml:"confidence"` // and what the technician's own phrases say of the figure
}

// voiceConfig is how answers are spoken.
type voiceConfig struct {
	Program string  `toml:"program"` // "flite", "espeak-ng"; "": whichever is installed
	Name    string  `toml:"name"`    // the program's own name of a voice
	Volume  float64 `toml:"volume"`  // 0..1; 0: 0.8
	Speed   float64 `toml:"speed"`   // times the usual, 0.5..2; 0: 1
	Device  string  `toml:"device"`  // part of the loudspeaker's name
}

// longestWait is in seconds. A judgement: who is silent for longer has gone.
const longestWait = 60

// wait is how long the beginning of a phrase waits for the rest; 0 leaves it to
// capture.
func (c Config) wait() time.Duration { return time.Duration(c.Wait * float64(time.Second)) }

// BuiltConfig holds where there is no listen.toml.
func BuiltConfig() Config {
	return Config{Thresholds: capture.DefaultThresholds(), Costs: confidence.DefaultCosts()}
}

// parseConfig reads and checks a listen.toml over the built-in values.
func parseConfig(r io.Reader) (Config, error) {
	c := BuiltConfig()
	meta, err := toml.NewDecoder(r).Decode(&c)
	if err != nil {
		return c, err
	}
	var errs []error
	for _, key := range meta.Undecoded() {
		errs = append(errs, fmt.Errorf("%s is not a setting", key))
	}
	if c.Voice.Volume < 0 || c.Voice.Volume > 1 {
		errs = append(errs, fmt.Errorf("voice.volume is %g; it goes from 0 to 1", c.Voice.Volume))
	}
	if s := c.Voice.Speed; s != 0 && (s < 0.5 || s > 2) {
		errs = append(errs, fmt.Errorf("voice.speed is %g; it goes from 0.5 to 2", s))
	}
	if c.Wait < 0 || c.Wait > longestWait {
		errs = append(errs, fmt.Errorf("wait is %g; it goes from 0 to %d seconds", c.Wait, longestWait))
	}
	t := c.Thresholds
	if t.AskGrammar > t.Grammar || t.AskRatio > t.Ratio || t.AskWorstWord > t.WorstWord {
		errs = append(errs, errors.New("thresholds: a limit for asking must not be above the one for accepting"))
	}
	errs = append(errs, c.Costs.Check(), c.Tuning.Check())
	c.Wake = strings.ToLower(strings.TrimSpace(c.Wake))
	return c, errors.Join(errs...)
}

// ReadConfig reads the technician's listen.toml, where there is one.
func ReadConfig(e *cli.Env) (Config, error) {
	f, err := e.ConfigFile("listen.toml")
	if err != nil {
		return Config{}, fmt.Errorf("listen settings: %w", err)
	}
	if f == nil {
		return BuiltConfig(), nil
	}
	defer f.Close()
	c, err := parseConfig(f)
	if err != nil {
		return c, fmt.Errorf("%s: %w", f.Name(), err)
	}
	return c, nil
}
