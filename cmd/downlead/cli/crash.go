package cli

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime"
)

// Crashed is the last guard: it tells of a fault in the program itself in one
// line, and leaves what a maintainer needs in a file. What was acknowledged
// before is in the journal.
func Crashed(e *Env, g *Global, p any, stack []byte) int {
	Report(e, g, fmt.Errorf("the program itself failed; what was acknowledged is kept. Try it another way. %s", e.Crashed(p, stack)))
	return ExitFailed
}

// Crashed writes a report and says where it is.
func (e *Env) Crashed(p any, stack []byte) string {
	path, err := e.crashReport(fmt.Sprintf("downlead %s, %s, %s/%s\n\n%v\n\n%s", Version(), runtime.Version(), runtime.GOOS, runtime.GOARCH, p, stack))
	if err != nil {
		return "A report of it could not be written."
	}
	return "A report for whoever maintains it is in " + path
}

// crashReport keeps a report in the data folder, for its owner alone: it may
// hold what was said.
func (e *Env) crashReport(text string) (string, error) {
	dir := e.DataFolder()
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", err
	}
	f, err := os.CreateTemp(dir, "crash-*.txt") // mode 0600
	if err != nil {
		return "", err
	}
	if _, err := f.WriteString(text); err != nil {
		f.Close()
		return "", err
	}
	return filepath.Clean(f.Name()), f.Close()
}
