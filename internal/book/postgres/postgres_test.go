package postgres

import (
	"context"
	"testing"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/book/booktest"
)

func TestStore(t *testing.T) {
	server := booktest.StartServer(t)
	booktest.Run(t, func(t *testing.T, now func() time.Time) book.Store {
		return newBook(t, server.Database(t), now)
	})
}

func newBook(t testing.TB, address string, now func() time.Time) *Store {
	t.Helper()
	s, err := Open(context.Background(), address, Options{Create: true, Now: now})
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
