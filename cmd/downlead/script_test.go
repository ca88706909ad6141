package main

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"downlead": func() { os.Exit(run(context.Background(), systemEnv(), os.Args[1:])) },
	})
}

func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 filepath.Join("testdata", "script"),
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		UpdateScripts:       os.Getenv("UPDATE") == "1",
		Setup: func(s *testscript.Env) error {
			s.Setenv("HOME", s.WorkDir)
			s.Setenv("TZ", "America/Denver")
			s.Setenv("XDG_DATA_HOME", "")
			s.Setenv("XDG_CONFIG_HOME", "")
			return nil
		},
	})
}
