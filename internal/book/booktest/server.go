package booktest

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	_ "github.com/jackc/pgx/v5/stdlib" // the driver "pgx"
)

// Server is a PostgreSQL server of the tests' own, on a Unix socket in a
// temporary folder, run by a user that is not root.
type Server struct {
	dir, bin string
	as       *syscall.SysProcAttr
	settings []string
	process  *exec.Cmd
	done     chan error
	made     int
}

// Locked is a role that needs a password.
const (
	Locked         = "locked"
	LockedPassword = "a-secret-of-the-shop"
)

// Missing skips a test that lacks something of the machine; where CI is set
// that is a failure, as nobody would notice the skip.
func Missing(t testing.TB, what string) {
	t.Helper()
	if os.Getenv("CI") == "true" {
		t.Fatalf("%s is missing", what)
	}
	t.Skipf("%s is missing", what)
}

// Unflushed is a setting that spares the tests' disk: a server that is killed
// loses nothing by it, as the system lives on.
const Unflushed = "fsync=off"

// StartServer sets up a server and starts it, with settings such as Unflushed;
// it ends with the test.
func StartServer(t testing.TB, settings ...string) *Server {
	t.Helper()
	bin := programs()
	if bin == "" {
		Missing(t, "PostgreSQL's server (Debian package postgresql)")
	}
	dir, err := os.MkdirTemp("/tmp", "ringtrue-pg-") // a socket's path must be short
	if err != nil {
		t.Fatal(err)
	}
	s := &Server{dir: dir, bin: bin, settings: settings}
	t.Cleanup(func() {
		s.Stop(t)
		if err := os.RemoveAll(dir); err != nil {
			t.Error(err)
		}
	})
	if err := s.useOtherUser(); err != nil {
		t.Fatal(err)
	}
	out, err := s.command("initdb", "-D", s.data(), "-U", "bench", "--auth=trust", "--no-sync", "-E", "UTF8", "--locale=C.UTF-8").CombinedOutput()
	if err != nil {
		t.Fatalf("initdb: %v\n%s", err, out)
	}
	hba := filepath.Join(s.data(), "pg_hba.conf")
	rules, err := os.ReadFile(hba)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(hba, append([]byte("local all "+Locked+" scram-sha-256\n"), rules...), 0o600); err != nil {
		t.Fatal(err)
	}
	s.Start(t)
	s.Exec(t, fmt.Sprintf("CREATE ROLE %s LOGIN PASSWORD '%s'", Locked, LockedPassword))
	return s
}

func (s *Server) data() string { return filepath.Join(s.dir, "data") }

// programs is the folder of PostgreSQL's programs, the newest where there are
// several; "" where there are none.
func programs() string {
	if p, err := exec.LookPath("initdb"); err == nil {
		if p, err = filepath.EvalSymlinks(p); err == nil {
			return filepath.Dir(p)
		}
	}
	found, err := filepath.Glob("/usr/lib/postgresql/*/bin/initdb") // where Debian puts them
	if err != nil || len(found) == 0 {
		return ""
	}
	slices.SortFunc(found, func(a, b string) int { return release(a) - release(b) })
	return filepath.Dir(found[len(found)-1])
}

func release(path string) int {
	n, err := strconv.Atoi(strings.Split(path, "/")[4])
	if err != nil {
		return 0
	}
	return n
}

// useOtherUser hands the folder to a user without rights where the tests run
// as root, which the server refuses to do.
func (s *Server) useOtherUser() error {
	if os.Getuid() != 0 {
		return nil
	}
	u, err := user.Lookup("postgres")
	if err != nil {
		if u, err = user.Lookup("nobody"); err != nil {
			return err
		}
	}
	uid, err1 := strconv.Atoi(u.Uid)
	gid, err2 := strconv.Atoi(u.Gid)
	if err := errors.Join(err1, err2); err != nil {
		return err
	}
	s.as = asUser(uid, gid)
	return os.Chown(s.dir, uid, gid)
}

func (s *Server) command(program string, args ...string) *exec.Cmd {
	c := exec.Command(filepath.Join(s.bin, program), args...)
	c.SysProcAttr = s.as
	c.Dir = s.dir
	return c
}

// Start starts a server that was stopped.
func (s *Server) Start(t testing.TB) {
	t.Helper()
	log, err := os.OpenFile(filepath.Join(s.dir, "log"), os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o600)
	if err != nil {
		t.Fatal(err)
	}
	defer log.Close()
	args := []string{"-D", s.data(), "-k", s.dir, "-c", "listen_addresses="}
	for _, set := range s.settings {
		args = append(args, "-c", set)
	}
	s.process = s.command("postgres", args...)
	s.process.Stdout, s.process.Stderr = log, log
	if err := s.process.Start(); err != nil {
		t.Fatal(err)
	}
	s.done = make(chan error, 1)
	go func(p *exec.Cmd, done chan<- error) { done <- p.Wait() }(s.process, s.done)
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	for {
		if err = s.ask(ctx, "SELECT 1"); err == nil {
			return
		}
		select {
		case <-ctx.Done():
			text, readErr := os.ReadFile(log.Name())
			t.Fatalf("the server does not answer: %v\n%s %v", err, text, readErr)
		case <-time.After(20 * time.Millisecond):
		}
	}
}

// Stop ends the server at once: what was not yet committed is lost, and every
// connection is cut.
func (s *Server) Stop(t testing.TB) { s.end(t, syscall.SIGINT) }

// Kill ends the server as a power cut would; it recovers from its log.
func (s *Server) Kill(t testing.TB) { s.end(t, syscall.SIGQUIT) }

func (s *Server) end(t testing.TB, how syscall.Signal) {
	t.Helper()
	if s.process == nil {
		return
	}
	if err := s.process.Process.Signal(how); err != nil && !errors.Is(err, os.ErrProcessDone) {
		t.Error(err)
	}
	<-s.done // how it ended is not the tests' matter
	s.process = nil
}

// Address is a database's address for a role; the password may be empty.
func (s *Server) Address(role, password, database string) string {
	if password != "" {
		role += ":" + password
	}
	return fmt.Sprintf("postgres://%s@/%s?host=%s", role, database, s.dir)
}

// Database makes an empty database and gives its address.
func (s *Server) Database(t testing.TB) string {
	t.Helper()
	s.made++
	name := fmt.Sprintf("book%d", s.made)
	s.Exec(t, "CREATE DATABASE "+name)
	return s.Address("bench", "", name)
}

// Exec runs a command as the server's owner.
func (s *Server) Exec(t testing.TB, command string) {
	t.Helper()
	if err := s.ask(context.Background(), command); err != nil {
		t.Fatal(err)
	}
}

func (s *Server) ask(ctx context.Context, command string) error {
	db, err := sql.Open("pgx", s.Address("bench", "", "postgres"))
	if err != nil {
		return err
	}
	defer db.Close()
	_, err = db.ExecContext(ctx, command)
	return err
}

// Freeze stops the server's processes where they stand: it keeps its
// connections, and answers nothing. The function it gives lets them go on; it
// may be called twice.
func (s *Server) Freeze(t testing.TB) (thaw func()) {
	t.Helper()
	all := append(childrenOf(t, s.process.Process.Pid), s.process.Process.Pid)
	hold(t, all)
	return func() { letGo(t, all) }
}

// childrenOf lists the processes that a process started (proc(5)).
func childrenOf(t testing.TB, parent int) []int {
	t.Helper()
	found, err := filepath.Glob("/proc/[0-9]*/stat")
	if err != nil {
		t.Fatal(err)
	}
	var all []int
	for _, f := range found {
		text, err := os.ReadFile(f)
		if err != nil {
			continue // it has ended since
		}
		var pid, ppid int
		var state string
		end := strings.LastIndex(string(text), ")") // its name may hold anything
		if _, err := fmt.Sscan(string(text[:max(0, strings.Index(string(text), " "))]), &pid); err != nil {
			t.Fatal(err)
		}
		if _, err := fmt.Sscan(string(text[end+1:]), &state, &ppid); err != nil {
			t.Fatal(err)
		}
		if ppid == parent {
			all = append(all, pid)
		}
	}
	if len(all) == 0 {
		t.Fatal("the server has no processes of its own")
	}
	return all
}
