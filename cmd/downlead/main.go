// Command downlead is a voice-and-notes field logger for the repair of
// satellite-television reception in homes.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"

	_ "time/tzdata" // zones must resolve on a machine without them
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	// A second interrupt kills: the first one has asked politely.
	context.AfterFunc(ctx, stop)
	e := systemEnv()
	e.setZone()
	os.Exit(run(ctx, e, os.Args[1:]))
}
