package main

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"downlead/cmd/downlead/cli"
)

func TestMain(m *testing.M) {
	collectSeldom() // as the program does
	testscript.Main(m, map[string]func(){
		"downlead": func() {
			e := cli.SystemEnv()
			e.SetZone()
			os.Exit(run(context.Background(), e, os.Args[1:]))
		},
	})
}

func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 filepath.Join("testdata", "script"),
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		UpdateScripts:       os.Getenv("UPDATE") == "1",
		Cmds:                map[string]func(*testscript.TestScript, bool, []string){"paste": paste},
		Setup: func(s *testscript.Env) error {
			s.Setenv("HOME", s.WorkDir)
			s.Setenv("TZ", "America/Denver")
			s.Setenv("XDG_DATA_HOME", "")
			s.Setenv("XDG_CONFIG_HOME", "")
			return nil
		},
	})
}

// paste runs, in a shell, the command line that the last command's standard
// error names after some words: what it tells to do next must work.
func paste(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: paste words-before-the-command")
	}
	said := ts.ReadFile("stderr")
	_, line, found := strings.Cut(said, args[0])
	if !found {
		ts.Fatalf("%q is not in %q", args[0], said)
	}
	line, _, _ = strings.Cut(line, "\n")
	line, _, _ = strings.Cut(line, "   (") // a remark
	if err := ts.Exec("sh", "-c", line); err != nil {
		ts.Fatalf("pasted%s: %v", line, err)
	}
}
