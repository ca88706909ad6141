// Command downlead is a voice-and-notes field logger for the repair of
// satellite-television reception in homes.
package main

import (
	"context"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"

	"downlead/cmd/downlead/cli"

	_ "time/tzdata" // zones must resolve on a machine without them
)

func main() {
	collectSeldom()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	// A second interrupt kills: the first one has asked politely.
	context.AfterFunc(ctx, stop)
	e := cli.SystemEnv()
	e.SetZone()
	os.Exit(run(ctx, e, os.Args[1:]))
}

// collectSeldom has memory collected seldom: a command is short and holds little,
// and collecting as often as is usual costs a tenth of a phrase and a fifth of an
// export of all jobs.
func collectSeldom() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(400)
	}
}
