package booktest

import (
	"context"
	"errors"
	"testing"
	"time"

	"ringtrue/internal/book"
)

func testImportNumbers(t *testing.T, s book.Store, _ *Clock) {
	ctx := context.Background()
	add(t, s, Entry(1, "seated", 1)) // takes number 1
	when := time.Date(2019, 5, 4, 3, 2, 1, 123456000, time.UTC)
	from := func(n int, number int64) *book.Entry {
		e := Entry(n, "seated", 1)
		e.Number, e.Added = number, when
		return e
	}
	in := must[[]book.Receipt](t)(s.Import(ctx, []*book.Entry{from(2, 1), from(3, 17), from(4, 2), from(5, 5)}))
	if in[1].Number != 17 || in[3].Number != 5 {
		t.Errorf("free numbers 17 and 5 became %d and %d", in[1].Number, in[3].Number)
	}
	seen := map[int64]bool{1: true}
	for _, r := range in {
		if seen[r.Number] || !r.New {
			t.Errorf("receipts %+v", in)
		}
		seen[r.Number] = true
	}
	if r := must[book.Record](t)(s.Record(ctx, 17)); !r.Added.Equal(when) {
		t.Errorf("imported record is dated %s; want %s", r.Added, when)
	}
	if r := add(t, s, Entry(6, "seated", 1)); seen[r.Number] || !r.New {
		t.Errorf("after the import: %+v", r)
	}
}

func testImportAtomic(t *testing.T, s book.Store, _ *Clock) {
	nobody := book.Identity{1}
	bad := Entry(3, "seated", 1)
	bad.Corrects, bad.Why = &nobody, "y"
	if _, err := s.Import(context.Background(), []*book.Entry{Entry(1, "seated", 1), Entry(2, "seated", 1), bad}); !errors.Is(err, book.ErrNotFound) {
		t.Fatalf("import: %v", err)
	}
	if n := must[int](t)(s.Count(context.Background())); n != 0 {
		t.Errorf("%d records of a failed import", n)
	}
	if r := add(t, s, Entry(1, "seated", 1)); !r.New {
		t.Error("a failed import left its record")
	}
}
