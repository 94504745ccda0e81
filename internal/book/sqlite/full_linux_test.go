package sqlite

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/book/booktest"
)

// TestFull_SmallDisk fills a disk of its own: a small tmpfs that only the child
// sees, which needs root's rights or those over one's own name space.
func TestFull_SmallDisk(t *testing.T) {
	c := childCommand("full", filepath.Join(t.TempDir(), "disk"), 0, 0)
	c.SysProcAttr = &syscall.SysProcAttr{Cloneflags: syscall.CLONE_NEWNS}
	if uid := os.Getuid(); uid != 0 {
		c.SysProcAttr.Cloneflags |= syscall.CLONE_NEWUSER
		c.SysProcAttr.UidMappings = []syscall.SysProcIDMap{{ContainerID: 0, HostID: uid, Size: 1}}
		c.SysProcAttr.GidMappings = []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getgid(), Size: 1}}
	}
	out, err := c.CombinedOutput()
	var ended *exec.ExitError
	if err != nil && !errors.As(err, &ended) || strings.Contains(string(out), noMount) {
		t.Skipf("mounting a small disk is not allowed here: %v %s", err, out)
	}
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	for _, want := range []string{
		"add: true false", "import: true false", "begin: true false", "backup: true false",
		"after: <nil>", "the disk is full",
	} {
		if !strings.Contains(string(out), want) {
			t.Errorf("the child did not say %q:\n%s", want, out)
		}
	}
}

const noMount = "cannot mount"

// childFull fills a book's disk, and prints of each kind of writing whether it
// said that the disk is full, and whether it called that the caller's fault.
func childFull(dir string) error {
	if err := os.Mkdir(dir, 0o700); err != nil {
		return err
	}
	if err := syscall.Mount("", "/", "", syscall.MS_REC|syscall.MS_PRIVATE, ""); err != nil {
		return fmt.Errorf("%s: %w", noMount, err)
	}
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=512k"); err != nil {
		return fmt.Errorf("%s: %w", noMount, err)
	}
	ctx := context.Background()
	ballast := filepath.Join(dir, "ballast")
	if err := os.WriteFile(ballast, make([]byte, 128<<10), 0o600); err != nil {
		return err
	}
	path := filepath.Join(dir, "book.db")
	s, err := Open(ctx, path, Options{Create: true, Now: time.Now})
	if err != nil {
		return err
	}
	said := func(what string, err error) {
		fmt.Printf("%s: %t %t: %v\n", what, errors.Is(err, book.ErrFull), book.IsCall(err), err)
	}
	kept, err := addUntil(ctx, s)
	said("add", err)
	_, err = s.Import(ctx, []*book.Entry{booktest.Entry(5001, "seated", 1), booktest.Entry(5002, "seated", 1)})
	said("import", err)
	said("backup", s.Backup(ctx, filepath.Join(dir, "backup.db")))
	if err := holds(s, kept); err != nil {
		return err
	}
	if err := s.Close(); err != nil {
		return fmt.Errorf("close: %w", err)
	}
	// Closing folded the log into the file: fill what that set free.
	if err := topUp(filepath.Join(dir, "more")); err != nil {
		return err
	}
	_, err = Open(ctx, filepath.Join(dir, "second.db"), Options{Create: true, Now: time.Now})
	said("begin", err)
	if s, err = Open(ctx, path, Options{Now: time.Now}); err != nil {
		return fmt.Errorf("opening the book on a full disk: %w", err)
	}
	defer s.Close()
	if err := holds(s, kept); err != nil {
		return err
	}
	if err := os.Remove(ballast); err != nil {
		return err
	}
	_, err = s.Add(ctx, booktest.Entry(kept, "seated", 1))
	fmt.Printf("after: %v\n", err)
	if err := holds(s, kept+1); err != nil {
		return err
	}
	if found, err := filepath.Glob(filepath.Join(dir, ".ringtrue-backup-*")); err != nil || len(found) > 0 {
		return fmt.Errorf("the failed backup left %v, %v", found, err)
	}
	return nil
}

// addUntil adds necks 0, 1, 2 ... until one is refused.
func addUntil(ctx context.Context, s *Store) (kept int, err error) {
	for {
		if _, err := s.Add(ctx, booktest.Entry(kept, "seated", 1)); err != nil {
			return kept, err
		}
		kept++
	}
}

// topUp fills a disk to its end.
func topUp(path string) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	for err == nil {
		_, err = f.Write(make([]byte, 1024))
	}
	if !errors.Is(err, syscall.ENOSPC) {
		return err
	}
	return f.Close()
}

// holds says what is wrong with a book that must hold necks 0 to n-1, whole.
func holds(s *Store, n int) error {
	ctx := context.Background()
	if bad, err := s.Verify(ctx); err != nil || len(bad) > 0 {
		return fmt.Errorf("not sound: %v, %w", bad, err)
	}
	serials, err := s.Serials(ctx)
	if err != nil || len(serials) != n || n == 0 {
		return fmt.Errorf("it holds %d necks; want %d, above 0: %w", len(serials), n, err)
	}
	for number, err := range book.Numbers(ctx, s) {
		if err != nil {
			return err
		}
		r, err := s.Record(ctx, number)
		if err != nil {
			return err
		}
		f, err := s.Files(ctx, number)
		if err != nil {
			return err
		}
		if err := book.Whole(&r, f); err != nil {
			return fmt.Errorf("record %d: %w", number, err)
		}
	}
	return nil
}

// TestFull_FileLimit lets no file grow beyond a size: writing fails in the
// middle, on any disk and for any user.
func TestFull_FileLimit(t *testing.T) {
	out, err := childCommand("limited", filepath.Join(t.TempDir(), "book.db"), 0, 0).CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	if !strings.Contains(string(out), "add: false: ") || !strings.Contains(string(out), "is the disk full, or your share of it?") {
		t.Errorf("the child said:\n%s", out)
	}
}

func childLimited(path string) error {
	signal.Ignore(syscall.SIGXFSZ)
	var had syscall.Rlimit
	if err := syscall.Getrlimit(syscall.RLIMIT_FSIZE, &had); err != nil {
		return err
	}
	limit := syscall.Rlimit{Cur: 400 << 10, Max: had.Max}
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
		return err
	}
	ctx := context.Background()
	s, err := Open(ctx, path, Options{Create: true, Now: time.Now})
	if err != nil {
		return err
	}
	defer s.Close()
	kept, err := addUntil(ctx, s)
	fmt.Printf("add: %t: %v\n", book.IsCall(err), err)
	if err := holds(s, kept); err != nil {
		return err
	}
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &had); err != nil {
		return err
	}
	if _, err := s.Add(ctx, booktest.Entry(kept, "seated", 1)); err != nil {
		return fmt.Errorf("with room again: %w", err)
	}
	return holds(s, kept+1)
}

// childOfThisSystem is work that only Linux can be asked for.
func childOfThisSystem(what, path string) error {
	switch what {
	case "full":
		return childFull(path)
	case "limited":
		return childLimited(path)
	}
	return fmt.Errorf("no such work: %s", what)
}
