package sqlite

import (
	"context"
	"path/filepath"
	"testing"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/book/booktest"
)

func TestStore(t *testing.T) {
	booktest.Run(t, func(t *testing.T, now func() time.Time) book.Store {
		return newBook(t, filepath.Join(t.TempDir(), "book.db"), now)
	})
}

func newBook(t testing.TB, path string, now func() time.Time) *Store {
	t.Helper()
	s, err := Open(context.Background(), path, Options{Create: true, Now: now})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}
