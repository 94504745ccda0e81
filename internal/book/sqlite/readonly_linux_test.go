package sqlite

import (
	"context"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"ringtrue/internal/book/booktest"
)

// guest is another user's place: a folder that anybody may look into, and where
// the tests run as root, who may write everywhere, a user without rights.
type guest struct {
	dir, program string
	as           *syscall.SysProcAttr
}

func newGuest(t *testing.T) *guest {
	t.Helper()
	dir, err := os.MkdirTemp("", "ringtrue-guest-") // t.TempDir lets no other user in
	if err != nil {
		t.Fatal(err)
	}
	g := &guest{dir: dir, program: os.Args[0]}
	t.Cleanup(func() {
		g.allow(t, 0o755)
		if err := os.RemoveAll(dir); err != nil {
			t.Error(err)
		}
	})
	g.allow(t, 0o755)
	if os.Getuid() != 0 {
		return g
	}
	const nobody = 65534
	g.as = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
	g.program = filepath.Join(dir, "program")
	copyFile(t, os.Args[0], g.program, 0o755)
	return g
}

// allow sets what may be done in the guest's folder.
func (g *guest) allow(t *testing.T, mode os.FileMode) {
	t.Helper()
	if err := os.Chmod(g.dir, mode); err != nil {
		t.Fatal(err)
	}
}

// read has the guest read a book and try to write to it.
func (g *guest) read(path string) (string, error) {
	c := exec.Command(g.program, path, "0", "0")
	c.Env = append(os.Environ(), childVariable+"=read")
	c.SysProcAttr = g.as
	c.Dir = "/"
	out, err := c.CombinedOutput()
	return string(out), err
}

func copyFile(t *testing.T, from, to string, mode os.FileMode) {
	t.Helper()
	in, err := os.Open(from)
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_WRONLY|os.O_TRUNC, 0o600)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := io.Copy(out, in); err != nil {
		t.Fatal(err)
	}
	if err := out.Close(); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(to, mode); err != nil {
		t.Fatal(err)
	}
}

// A book that may only be read is read, its log as well; writing is refused in
// a word.
func TestReadOnly(t *testing.T) {
	for _, c := range []struct {
		what        string
		file, dir   os.FileMode
		log, index  bool // what a program that was killed left beside it
		want, error string
	}{
		{what: "file", file: 0o444, dir: 0o777, want: "whole 7, unsound 0, refused true"},
		{what: "file and folder", file: 0o444, dir: 0o555, want: "whole 7, unsound 0, refused true"},
		{what: "file and folder with a log", file: 0o444, dir: 0o555, log: true, index: true, want: "whole 7, unsound 0, refused true"},
		{what: "folder with a log, its index lost", file: 0o444, dir: 0o555, log: true, error: "book.db-wal; to read them, copy both files to a folder that you may write to"},
	} {
		t.Run(c.what, func(t *testing.T) {
			g := newGuest(t)
			path := filepath.Join(g.dir, "book.db")
			if c.log {
				withLog(t, path, c.index, c.file)
			} else {
				fill(t, path, 7)
			}
			if err := os.Chmod(path, c.file); err != nil {
				t.Fatal(err)
			}
			g.allow(t, c.dir)
			out, err := g.read(path)
			if c.error != "" {
				if err == nil || !strings.Contains(out, c.error) || !strings.Contains(out, "the book may not be written") {
					t.Errorf("%v, %s; want %q", err, out, c.error)
				}
				return
			}
			if err != nil || !strings.Contains(out, c.want) || !strings.Contains(out, "the book may not be written") {
				t.Errorf("%v, %s; want %q", err, out, c.want)
			}
		})
	}
}

// withLog makes a book of seven necks as a program leaves it that is killed: the
// records stand in the log.
func withLog(t *testing.T, path string, index bool, mode os.FileMode) {
	t.Helper()
	at := filepath.Join(t.TempDir(), "book.db")
	s := newBook(t, at, time.Now)
	for n := range 7 {
		if _, err := s.Add(context.Background(), booktest.Entry(n, "seated", 1)); err != nil {
			t.Fatal(err)
		}
	}
	copyFile(t, at, path, mode)
	copyFile(t, at+"-wal", path+"-wal", mode)
	if index {
		copyFile(t, at+"-shm", path+"-shm", mode)
	}
}
