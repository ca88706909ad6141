// Package officetest is for tests: a real PostgreSQL, and invented journals of
// a team.
package officetest

import (
	"fmt"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// Server is a PostgreSQL server in a folder of its own, on a Unix socket.
type Server struct {
	URL  string
	as   []string // the user it runs as, where tests run as root
	bin  string
	data string
	dir  string
}

// Start starts a server of Debian's package and stops it when the test ends.
// It refuses to run as root: then it runs as the user that the package made.
// Without the package the test is skipped.
func Start(t testing.TB) *Server {
	t.Helper()
	found, _ := filepath.Glob("/usr/lib/postgresql/*/bin/initdb")
	if len(found) == 0 {
		t.Skip("PostgreSQL is not installed: apt-get install postgresql")
	}
	slices.Sort(found)
	dir, err := os.MkdirTemp("", "pg") // short: a socket's path has at most 107 bytes
	if err != nil {
		t.Fatal(err)
	}
	s := &Server{bin: filepath.Dir(found[len(found)-1]), dir: dir, data: filepath.Join(dir, "data"), URL: "host=" + dir + " user=office dbname=postgres"}
	if os.Geteuid() == 0 {
		u, err := user.Lookup("postgres")
		if err != nil {
			t.Skip("there is no user postgres to run the server as")
		}
		uid, _ := strconv.Atoi(u.Uid)
		gid, _ := strconv.Atoi(u.Gid)
		if err := os.Chown(dir, uid, gid); err != nil {
			t.Fatal(err)
		}
		s.as = []string{"setpriv", "--reuid=" + u.Uid, "--regid=" + u.Gid, "--clear-groups"}
	}
	if out, err := s.run("initdb", "-D", s.data, "-U", "office", "--auth=trust", "--no-sync", "-E", "UTF8", "--locale=C"); err != nil {
		t.Fatalf("initdb: %v\n%s", err, out)
	}
	s.Up(t)
	t.Cleanup(func() {
		_, _ = s.run("pg_ctl", "-D", s.data, "-m", "immediate", "stop")
		os.RemoveAll(dir)
	})
	return s
}

func (s *Server) run(program string, args ...string) ([]byte, error) {
	line := append(slices.Clone(s.as), append([]string{filepath.Join(s.bin, program)}, args...)...)
	return exec.Command(line[0], line[1:]...).CombinedOutput()
}

// Up starts the server where it was stopped.
func (s *Server) Up(t testing.TB) {
	t.Helper()
	options := fmt.Sprintf("-c listen_addresses='' -k %s -c fsync=off -c max_wal_size=4GB -c shared_buffers=256MB", s.dir)
	if out, err := s.run("pg_ctl", "-D", s.data, "-w", "-t", "120", "-l", filepath.Join(s.dir, "log"), "-o", options, "start"); err != nil {
		log, _ := os.ReadFile(filepath.Join(s.dir, "log"))
		t.Fatalf("start: %v\n%s\n%s", err, out, log)
	}
}

// Kill ends the server as a power cut would: no process of it does anything more.
func (s *Server) Kill(t testing.TB) {
	t.Helper()
	if out, err := s.run("pg_ctl", "-D", s.data, "-m", "immediate", "-w", "stop"); err != nil {
		t.Fatalf("kill: %v\n%s", err, out)
	}
}

// SQL runs statements by the server's own client and returns what it prints.
func (s *Server) SQL(t testing.TB, sql string, args ...string) string {
	t.Helper()
	cmd := exec.Command(filepath.Join(s.bin, "psql"), append([]string{"-X", "-v", "ON_ERROR_STOP=1", "-d", s.URL}, args...)...)
	cmd.Stdin = strings.NewReader(sql)
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("psql: %v\n%s", err, out)
	}
	return string(out)
}

// Folder makes a folder that the server may write to.
func (s *Server) Folder(t testing.TB) string {
	t.Helper()
	dir := filepath.Join(s.dir, "files")
	if err := os.MkdirAll(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	return dir
}
