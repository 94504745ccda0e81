//go:build unix

package sqlite

import (
	"context"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"ringtrue/internal/book/booktest"
)

// A book, its log and its backup are their owner's alone, whatever the umask lets
// others do; an existing book keeps the mode that it was given.
func TestOwnersAlone(t *testing.T) {
	old := syscall.Umask(0)
	defer syscall.Umask(old)
	ctx := context.Background()
	dir := t.TempDir()
	path := filepath.Join(dir, "book.db")
	s := newBook(t, path, time.Now)
	if _, err := s.Add(ctx, booktest.Entry(1, "seated", 1)); err != nil {
		t.Fatal(err)
	}
	if err := s.Backup(ctx, filepath.Join(dir, "copy.db")); err != nil {
		t.Fatal(err)
	}
	found, err := os.ReadDir(dir)
	if err != nil || len(found) != 4 {
		t.Fatalf("%s, %v; want the book, its log, the log's index and a copy", names(t, dir), err)
	}
	for _, f := range found {
		if info, err := f.Info(); err != nil || info.Mode() != 0o600 {
			t.Errorf("%s has mode %v, %v", f.Name(), info.Mode(), err)
		}
	}
	if err := os.Chmod(path, 0o660); err != nil {
		t.Fatal(err)
	}
	again, err := Open(ctx, path, Options{Create: true})
	if err != nil {
		t.Fatal(err)
	}
	if err := again.Close(); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(path); err != nil || info.Mode() != 0o660 {
		t.Errorf("a shared book now has mode %v, %v", info.Mode(), err)
	}
}
