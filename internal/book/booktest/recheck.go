package booktest

import (
	"context"
	"errors"
	"reflect"
	"slices"
	"testing"
	"time"

	"ringtrue/internal/book"
)

// A stretch has each of its records once, as they are read one by one.
func testStretch(t *testing.T, s book.Store, _ *Clock) {
	ctx := context.Background()
	for n := range 6 {
		add(t, s, Entry(n, "seated", 1))
	}
	id := Entry(1, "seated", 1).Identity()
	fix := Entry(1, "seated", 1)
	fix.Corrects, fix.By, fix.Why, fix.Files.Readings.Bytes = &id, "Tomas", "wrong lot", nil
	add(t, s, fix)
	var numbers []int64
	err := s.Stretch(ctx, 3, 99, func(r *book.Record, f book.Files) error {
		numbers = append(numbers, r.Number)
		if want := must[book.Record](t)(s.Record(ctx, r.Number)); !reflect.DeepEqual(*r, want) {
			t.Errorf("record %+v; want %+v", *r, want)
		}
		if err := book.Whole(r, f); err != nil || f.Neck.Name != r.NeckName || f.Readings.Name != r.ReadingsName {
			t.Errorf("its files: %v", err)
		}
		return nil
	})
	if err != nil || !slices.Equal(numbers, []int64{3, 4, 5, 6, 7}) {
		t.Errorf("%v, %v", numbers, err)
	}
	stop := errors.New("enough")
	if err := s.Stretch(ctx, 1, 3, func(*book.Record, book.Files) error { return stop }); !errors.Is(err, stop) {
		t.Errorf("the callback's error came back as %v", err)
	}
}

func numberSet(numbers ...int64) *book.NumberSet {
	var s book.NumberSet
	for _, n := range numbers {
		s.Add(n)
	}
	return &s
}

// What a maker recalculated is his alone, is added up, and is over for a record whose
// results are replaced.
func testRecheck(t *testing.T, s book.Store, _ *Clock) {
	ctx := context.Background()
	for n := range 3 {
		add(t, s, Entry(n, "seated", 1))
	}
	const far = 3*book.BlockNumbers + 1
	has := func(maker string, want ...int64) {
		t.Helper()
		got := slices.Collect(must[*book.NumberSet](t)(s.Recalculated(ctx, maker)).Down())
		if !slices.Equal(got, want) {
			t.Errorf("%s has recalculated %v; want %v", maker, got, want)
		}
	}
	has("1.0")
	for _, numbers := range [][]int64{{1, far}, {2, 3}} {
		if err := s.Remember(ctx, "1.0", numberSet(numbers...)); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Remember(ctx, "2.0", numberSet(2)); err != nil {
		t.Fatal(err)
	}
	has("1.0", far, 3, 2, 1)
	has("2.0", 2)
	d := Entry(7, "seated", 3).Derived
	if err := s.Rederive(ctx, book.Rederived{Number: 2, Derived: &d}, book.Rederived{Number: 99, Derived: &d}); !errors.Is(err, book.ErrNotFound) {
		t.Errorf("record 99: %v", err)
	}
	if r := must[book.Record](t)(s.Record(ctx, 2)); reflect.DeepEqual(r.Derived, d) {
		t.Error("half of the changes were made")
	}
	has("2.0", 2)
	if err := s.Rederive(ctx, book.Rederived{Number: 2, Derived: &d}, book.Rederived{Number: 3, Derived: &d}); err != nil {
		t.Fatal(err)
	}
	has("1.0", far, 1)
	has("2.0")
	if err := s.Forget(ctx, "1.0"); err != nil {
		t.Fatal(err)
	}
	has("1.0")
	lastWhole(t, s)
}

func lastWhole(t *testing.T, s book.Store) {
	t.Helper()
	ctx := context.Background()
	is := func(wantBytes, wantResults time.Time) {
		t.Helper()
		bytes, results, err := s.LastWhole(ctx)
		if err != nil || !bytes.Equal(wantBytes) || !results.Equal(wantResults) {
			t.Errorf("last whole %s, with results %s, %v; want %s and %s", bytes, results, err, wantBytes, wantResults)
		}
	}
	is(time.Time{}, time.Time{})
	first, second := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC), time.Date(2026, 3, 3, 9, 0, 0, 0, time.UTC)
	if err := s.NoteWhole(ctx, first, true); err != nil {
		t.Fatal(err)
	}
	is(first, first)
	if err := s.NoteWhole(ctx, second, false); err != nil {
		t.Fatal(err)
	}
	is(second, first)
}
