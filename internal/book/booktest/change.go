package booktest

import (
	"context"
	"errors"
	"reflect"
	"strings"
	"testing"

	"ringtrue/internal/book"
)

func testCorrection(t *testing.T, s book.Store, _ *Clock) {
	ctx := context.Background()
	wrong := Entry(1, "seated", 1)
	old := add(t, s, wrong)
	id := wrong.Identity()
	fix := Entry(1, "seated", 1)
	fix.Tags = book.Tags{"wire": "lot9"}
	fix.Corrects, fix.By, fix.Why = &id, "Tomas", "wrong lot written down"
	first := add(t, s, fix)
	if !first.New || add(t, s, fix).New {
		t.Error("a correction is one new record")
	}
	r := must[book.Record](t)(s.Record(ctx, first.Number))
	if r.Corrects == nil || *r.Corrects != id || r.CorrectsNo != old.Number || r.Why != fix.Why {
		t.Errorf("the correction: %+v", r)
	}
	was := must[book.Record](t)(s.Record(ctx, old.Number))
	if was.CorrectedBy != first.Number || was.Tags["wire"] == "lot9" {
		t.Errorf("the corrected record: %+v", was)
	}
	if n := count(t, s, book.Filter{InForce: true}); n != 1 {
		t.Errorf("%d records in force; want 1", n)
	}
	for _, bad := range []func(*book.Entry){
		func(e *book.Entry) { e.Why = "" },
		func(e *book.Entry) { e.By = "" },
	} {
		e := Entry(1, "seated", 1)
		e.Corrects, e.By, e.Why = &id, "x", "y"
		bad(e)
		if _, err := s.Add(ctx, e); !errors.Is(err, book.ErrEntry) {
			t.Errorf("a correction without who and why: %v", err)
		}
	}
	nobody := book.Identity{1}
	e := Entry(3, "seated", 1)
	e.Corrects, e.Why = &nobody, "y"
	if _, err := s.Add(ctx, e); !errors.Is(err, book.ErrNotFound) {
		t.Errorf("a correction of nothing: %v", err)
	}
}

func testClock(t *testing.T, s book.Store, clock *Clock) {
	ctx := context.Background()
	for i, stage := range []string{"seated", "levelled", "played"} {
		clock.At = clock.At.AddDate(-i, 0, 0) // the clock falls back by years
		r := add(t, s, Entry(1, stage, uint64(i)))
		want := r.Added.Sub(clock.At)
		if r.Behind != want || (r.Behind > 0) != (i > 0) {
			t.Errorf("record %d: the clock is said to stand %s behind; it stands %s", r.Number, r.Behind, want)
		}
		if again := add(t, s, Entry(1, stage, uint64(i))); again.New || again.Behind != 0 {
			t.Errorf("the same once more: %+v", again)
		}
	}
	all := must[[]book.Record](t)(s.Records(ctx, Entry(1, "", 1).Serial))
	var stages []string
	for i, r := range all {
		stages = append(stages, r.Stage)
		if i > 0 && !r.Added.After(all[i-1].Added) {
			t.Errorf("record %d is dated %s, not after %s", r.Number, r.Added, all[i-1].Added)
		}
		if err := book.Whole(&r, must[book.Files](t)(s.Files(ctx, r.Number))); err != nil {
			t.Error(err)
		}
	}
	if strings.Join(stages, " ") != "seated levelled played" {
		t.Errorf("order %v", stages)
	}
	brought := Entry(1, "strung", 1)
	brought.Added = clock.At.AddDate(9, 0, 0)
	batch := []*book.Entry{brought, Entry(3, "seated", 1)}
	for _, r := range must[[]book.Receipt](t)(s.Import(ctx, batch)) {
		if !r.New || r.Behind != 0 {
			t.Errorf("imported: %+v", r)
		}
	}
	if r := add(t, s, Entry(2, "seated", 1)); r.Added.Year() != clock.At.Year() || r.Behind != 0 {
		t.Errorf("another neck is dated %s; its clock said %s", r.Added, clock.At)
	}
}

func testRederive(t *testing.T, s book.Store, _ *Clock) {
	ctx := context.Background()
	e := Entry(1, "seated", 1)
	n := add(t, s, e).Number
	before := must[book.Record](t)(s.Record(ctx, n))
	d := Entry(2, "seated", 7).Derived
	d.Program, d.Revision = "newer", 12
	if err := s.Rederive(ctx, book.Rederived{Number: n, Derived: &d}); err != nil {
		t.Fatal(err)
	}
	after := must[book.Record](t)(s.Record(ctx, n))
	if !reflect.DeepEqual(after.Derived, d) || after.DerivedChecksum != d.Checksum() {
		t.Errorf("derived %+v; want %+v", after.Derived, d)
	}
	after.Derived, after.DerivedChecksum = before.Derived, before.DerivedChecksum
	if !reflect.DeepEqual(after, before) {
		t.Error("more than the derived values changed")
	}
	empty := book.Derived{}
	if err := s.Rederive(ctx, book.Rederived{Number: n, Derived: &empty}); err != nil {
		t.Fatal(err)
	}
	if r := must[book.Record](t)(s.Record(ctx, n)); r.Derived.ZoneMM.Known() || !r.Derived.Taken.IsZero() || len(r.Derived.Crowns) != 0 {
		t.Errorf("nothing derived came back as %+v", r.Derived)
	}
	if err := s.Rederive(ctx, book.Rederived{Number: 99, Derived: &d}); !errors.Is(err, book.ErrNotFound) {
		t.Errorf("record 99: %v", err)
	}
}
