package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/clitest"
)

// BenchmarkCommands times whole commands over journals of 100, 1,000 and 10,000
// closed calls: the cost is to be linear in the jobs, and in nothing more.
func BenchmarkCommands(b *testing.B) {
	for _, n := range []int{100, 1000, 10000} {
		file := clitest.Calls(b, n)
		for _, line := range []string{
			"pay --week 2026-W46", "quality --month 2026-11", "export --parquet OUT --force", "job", "job show 10050", "diagnose", "say what next",
			"say ground block dish side, pass, minus thirty six",
		} {
			b.Run(fmt.Sprintf("%s/jobs=%d", strings.ReplaceAll(line, " ", "_"), n), func(b *testing.B) {
				e, out, errs := clitest.Env(b, "")
				rates := filepath.Join(b.TempDir(), "rates.toml")
				if code := run(b.Context(), e, []string{"pay", "--example"}); code != cli.ExitDone {
					b.Fatal(errs)
				}
				if err := os.WriteFile(rates, out.Bytes(), 0o600); err != nil {
					b.Fatal(err)
				}
				args := strings.Fields(strings.ReplaceAll(line, "OUT", filepath.Join(b.TempDir(), "all.parquet")))
				args = append(args, "--journal", file)
				if args[0] == "pay" {
					args = append(args, "--rates", rates)
				}
				for b.Loop() {
					out.Reset()
					if code := run(b.Context(), e, args); code != cli.ExitDone {
						b.Fatalf("exit code %d: %s", code, errs)
					}
				}
			})
		}
	}
}
