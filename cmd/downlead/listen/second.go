package listen

import (
	"errors"
	"fmt"
	"path/filepath"

	"downlead/capture"
	"downlead/capture/confidence"
	"downlead/capture/hear"
	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/dialogue"
)

// HearFolder is where set-up puts the second listener.
func HearFolder(e *cli.Env) string {
	if dir := e.Getenv("DOWNLEAD_HEAR"); dir != "" {
		return dir
	}
	return filepath.Join(e.DataFolder(), "hear")
}

// OpenSecond begins to load the second listener. With a microphone the first
// phrase does not wait for it; sound that is there already does, so that it is
// heard the same every time.
func OpenSecond(e *cli.Env, live bool) *capture.Second {
	s := capture.OpenSecond(HearFolder(e))
	if live {
		return s
	}
	if err := s.Wait(); err != nil && !errors.Is(err, hear.ErrMissing) {
		fmt.Fprintln(e.Err, "downlead: one listener hears alone:", err)
	}
	return s
}

// Figure is how utterances that two listeners heard are decided about.
func (c Config) Figure() (dialogue.Figure, error) {
	table, err := confidence.Built()
	return dialogue.Figure{Table: table, Costs: c.Costs, Tuning: c.Tuning}, err
}
