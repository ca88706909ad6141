package listen

import (
	"testing"
	"time"

	"downlead/capture"
	"downlead/cmd/downlead/cli"
	"downlead/journal/record"
)

// A microphone's own clock runs fast or slow by some parts in ten thousand:
// over a day its count of samples is seconds off. Entries keep the computer's
// time; those of a recording keep the recording's.
func TestDriftOfTheSoundClock(t *testing.T) {
	began := time.Date(2026, 11, 18, 8, 0, 0, 0, time.UTC)
	now := began
	e := &cli.Env{Now: func() time.Time { return now }}
	live, file := timesOf(e, true), timesOf(e, false)
	now = began.Add(8 * time.Hour)
	const fast = 1.0003
	said := capture.Utterance{Start: time.Duration(fast * 8 * float64(time.Hour))}
	if at, source := live(said); !at.Equal(now) || source != record.FromClock {
		t.Errorf("from the microphone: %s (%s), want %s", at, source, now)
	}
	if at, source := file(said); !at.Equal(began.Add(said.Start)) || source != record.FromRecording {
		t.Errorf("from a file: %s (%s)", at, source)
	}
}
