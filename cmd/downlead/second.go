package main

import (
	"errors"
	"fmt"
	"path/filepath"

	"downlead/capture"
	"downlead/capture/confidence"
	"downlead/capture/hear"
	"downlead/cmd/downlead/dialogue"
)

// hearFolder is where set-up puts the second listener.
func (e *env) hearFolder() string {
	if dir := e.getenv("DOWNLEAD_HEAR"); dir != "" {
		return dir
	}
	return filepath.Join(e.dataFolder(), "hear")
}

// openSecond begins to load the second listener. With a microphone the first
// phrase does not wait for it; sound that is there already does, so that it is
// heard the same every time.
func (e *env) openSecond(live bool) *capture.Second {
	s := capture.OpenSecond(e.hearFolder())
	if live {
		return s
	}
	if err := s.Wait(); err != nil && !errors.Is(err, hear.ErrMissing) {
		fmt.Fprintln(e.err, "downlead: one listener hears alone:", err)
	}
	return s
}

// figure is how utterances that two listeners heard are decided about.
func (c listenConfig) figure() (dialogue.Figure, error) {
	table, err := confidence.Built()
	return dialogue.Figure{Table: table, Costs: c.Costs, Tuning: c.Tuning}, err
}
