package booktest

import (
	"context"
	"testing"

	"ringtrue/internal/book"
)

// Whole fails the test unless the database is sound and every record in it is
// what was given, and gives the serial of each number.
func Whole(t testing.TB, s book.Store) map[int64]string {
	t.Helper()
	ctx := context.Background()
	bad, err := s.Verify(ctx)
	if err != nil || len(bad) > 0 {
		t.Errorf("not sound: %v, %v", bad, err)
	}
	serials := map[int64]string{}
	for n, err := range book.Numbers(ctx, s) {
		if err != nil {
			t.Fatalf("record %d: %v", n, err)
		}
		r, err := s.Record(ctx, n)
		if err != nil {
			t.Fatalf("record %d: %v", n, err)
		}
		f, err := s.Files(ctx, n)
		if err == nil {
			err = book.Whole(&r, f)
		}
		if err != nil || r.DerivedChecksum != r.Derived.Checksum() {
			t.Errorf("record %d is not whole: %v", n, err)
		}
		serials[n] = r.Serial
	}
	if n, err := s.Count(ctx); err != nil || n != len(serials) {
		t.Errorf("the walk met %d records; the book counts %d, %v", len(serials), n, err)
	}
	return serials
}
