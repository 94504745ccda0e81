package booktest

import (
	"context"
	"errors"
	"sync"
	"testing"

	"ringtrue/internal/book"
)

// testSweep scans records whose numbers lie far apart, so that the store reads
// them in several stretches at once.
func testSweep(t *testing.T, s book.Store, _ *Clock) {
	ctx := context.Background()
	var entries []*book.Entry
	numbers := []int64{1, 2, 4095, 4096, 4097, 8191, 8192, 20_000, 50_000, 99_999, 100_000, 1 << 40}
	for i, n := range numbers {
		e := Entry(i, "seated", 1)
		e.Number, e.Added = n, Entry(i, "", 1).Derived.Taken
		entries = append(entries, e)
	}
	must[[]book.Receipt](t)(s.Import(ctx, entries))
	id := entries[4].Identity()
	fix := Entry(4, "seated", 1)
	fix.Corrects, fix.By, fix.Why = &id, "Ines", "another lot"
	corrected := add(t, s, fix)
	for _, inForce := range []bool{false, true} {
		seen := map[int64]int{}
		var alone sync.Mutex
		err := s.Scan(ctx, book.Filter{InForce: inForce}, book.CrownColumns, func(r *book.Row) error {
			if !alone.TryLock() {
				t.Error("two rows are handed out at once")
			}
			defer alone.Unlock()
			seen[r.Number]++
			return r.Crowns.Check()
		})
		if err != nil {
			t.Fatal(err)
		}
		for i, n := range append(numbers, corrected.Number) {
			want := 1
			if inForce && i == 4 {
				want = 0
			}
			if seen[n] != want {
				t.Errorf("in force %v: record %d is seen %d times, want %d", inForce, n, seen[n], want)
			}
		}
	}
	stop := errors.New("enough")
	for range 20 {
		calls := 0
		if err := s.Scan(ctx, book.Filter{}, 0, func(*book.Row) error { calls++; return stop }); !errors.Is(err, stop) || calls != 1 {
			t.Fatalf("stopped by %v after %d rows", err, calls)
		}
	}
	gone, cancel := context.WithCancel(ctx)
	err := s.Scan(gone, book.Filter{}, 0, func(*book.Row) error { cancel(); return nil })
	if err != nil && !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}
