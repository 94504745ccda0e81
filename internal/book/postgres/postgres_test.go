package postgres

import (
	"context"
	"testing"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/book/booktest"
)

// TestServer asks everything of one server: setting one up takes longest. What
// stops it comes last.
func TestServer(t *testing.T) {
	server := booktest.StartServer(t, booktest.Unflushed)
	t.Run("Store", func(t *testing.T) {
		booktest.Run(t, func(t *testing.T, now func() time.Time) book.Store {
			return newBook(t, server.Database(t), now)
		})
	})
	for _, c := range []struct {
		name string
		test func(*testing.T, *booktest.Server)
	}{
		{"EightBenchesAtOnce", testEightBenches},
		{"BegunByManyAtOnce", testManyBegin},
		{"NothingIsOverwritten", testNothingOverwritten},
		{"WrongDatabaseNameOrPassword", testRefused},
		{"WhoMayOnlyRead", testReader},
		{"WhoMayNot", testNoRights},
		{"NoRoomForAnother", testCrowded},
		{"NewerBookIsRefused", testNewer},
		{"OlderBookIsKeptFirst", testOlder},
		{"FailedChangeLeavesTheOldBook", testFailedChange},
		{"HangsUp", testHangsUp},
		{"Hangs", testHangs},
		{"StoppedAndStarted", testRestarts},
		{"GoneForGood", testGone},
	} {
		t.Run(c.name, func(t *testing.T) { c.test(t, server) })
	}
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
