package demo_test

import (
	"context"
	"errors"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/book/sqlite"
	"ringtrue/internal/demo"
)

func emptyBook(t *testing.T) book.Store {
	t.Helper()
	b, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "book.db"), sqlite.Options{Create: true, Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	return b
}

func fill(t *testing.T, s book.Store, necks int, seed uint64) (*demo.Filled, error) {
	t.Helper()
	d, err := demo.New(demo.Request{Necks: necks, Seed: seed})
	if err != nil {
		t.Fatal(err)
	}
	return d.Fill(t.Context(), s, answer.Judge("test"), nil, nil)
}

// scanned is every record of a book in one value.
func scanned(t *testing.T, s book.Store) map[int64]book.Record {
	t.Helper()
	out := map[int64]book.Record{}
	serials, err := s.Serials(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, serial := range serials {
		records, err := s.Records(t.Context(), serial)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range records {
			out[r.Number] = r
		}
	}
	return out
}

// The same demo twice is one; another has no place beside it; the dates are
// those of the work, and every neck that came back can be compared.
func TestBookDemo(t *testing.T) {
	s := emptyBook(t)
	a, err := fill(t, s, 12, 1)
	if err != nil || a.New != a.Records || a.Records < 24 || len(a.Planted) == 0 {
		t.Fatalf("%+v, %v", a, err)
	}
	again, err := fill(t, s, 12, 1)
	if err != nil || again.New != 0 || again.Records != a.Records {
		t.Errorf("%+v, %v", again, err)
	}
	if _, err := fill(t, s, 12, 2); !errors.Is(err, book.ErrEntry) || !book.IsCall(err) {
		t.Errorf("another demo: %v", err)
	}
	compared, worn := 0, 0
	for _, r := range scanned(t, s) {
		if r.Derived.Taken.IsZero() || r.Added.Before(r.Derived.Taken) || r.Added.Sub(r.Derived.Taken) > 24*time.Hour || r.Derived.Verdict == "" {
			t.Errorf("record %d: read %s, added %s, %s", r.Number, r.Derived.Taken, r.Added, r.Derived.Verdict)
		}
		if r.Stage != "serviced" {
			continue
		}
		c, _, err := answer.BookCompare(t.Context(), s, answer.BookCompareRequest{Serial: r.Serial, From: "levelled", To: "serviced"})
		if err != nil {
			t.Fatal(err)
		}
		compared++
		if len(c.Wear) > 0 {
			worn++
		}
	}
	if compared == 0 || worn == 0 {
		t.Errorf("%d necks came back, %d of them worn", compared, worn)
	}
}

// One processor or more, the book is the same.
func TestBookDemo_SameOnAnyProcessors(t *testing.T) {
	one, more := emptyBook(t), emptyBook(t)
	before := runtime.GOMAXPROCS(1)
	_, err := fill(t, one, 4, 3)
	runtime.GOMAXPROCS(before)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := fill(t, more, 4, 3); err != nil {
		t.Fatal(err)
	}
	a, b := scanned(t, one), scanned(t, more)
	if len(a) == 0 || len(a) != len(b) {
		t.Fatalf("%d and %d records", len(a), len(b))
	}
	for n, r := range a {
		if o := b[n]; o.Checksum != r.Checksum || o.DerivedChecksum != r.DerivedChecksum {
			t.Errorf("record %d differs", n)
		}
	}
}

func TestBookDemo_Cancelled(t *testing.T) {
	s := emptyBook(t)
	d, err := demo.New(demo.Request{Necks: 3, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	judging := func(done, _ int) {
		if done == 2 {
			cancel()
		}
	}
	if _, err := d.Fill(ctx, s, answer.Judge("test"), judging, nil); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
	if n, err := s.Count(t.Context()); n != 0 || err != nil {
		t.Errorf("%d records, %v", n, err)
	}
	for _, n := range []int{0, -1, 1e6} {
		if _, err := demo.New(demo.Request{Necks: n}); !errors.Is(err, book.ErrEntry) {
			t.Errorf("%d necks: %v", n, err)
		}
	}
}

// A fill cut short between two batches is gone on with.
func TestBookDemo_GoneOnWith(t *testing.T) {
	s := emptyBook(t)
	d, err := demo.New(demo.Request{Necks: 26, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	if _, err := d.Fill(ctx, s, answer.Judge("test"), nil, func(_, _ int) { cancel() }); err == nil {
		t.Fatal("all fitted one batch: nothing was cut short")
	}
	part, err := s.Count(t.Context())
	if err != nil || part == 0 {
		t.Fatalf("%d records, %v", part, err)
	}
	a, err := fill(t, s, 26, 1)
	if err != nil || a.New != a.Records-part {
		t.Errorf("%d there, then %+v, %v", part, a, err)
	}
}
